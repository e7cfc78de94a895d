// What is asked of a board however it comes: its name and its wood.

import type { Signal } from "@preact/signals";
import type { Model } from "../state/model";

/** The job's woods, those that pieces have first. */
export function woodsInUseFirst(model: Model) {
  const used = new Set([...model.pieces.values()].map((piece) => piece.wood?.value));
  return [...model.woods].sort((a, b) => Number(used.has(b.key)) - Number(used.has(a.key)));
}

export function WoodField({ model, wood }: { model: Model; wood: Signal<string> }) {
  return (
    <label class="field">
      <span>Wood</span>
      <select
        value={wood.value}
        onChange={(event) => {
          wood.value = event.currentTarget.value;
        }}
      >
        {woodsInUseFirst(model).map((each) => (
          <option key={each.key} value={each.key}>
            {each.name}
          </option>
        ))}
      </select>
    </label>
  );
}

export function NameField({ name }: { name: Signal<string> }) {
  return (
    <label class="field">
      <span>Name, as written on its end</span>
      <input
        value={name.value}
        maxLength={80}
        onInput={(event) => {
          name.value = event.currentTarget.value;
        }}
      />
    </label>
  );
}
