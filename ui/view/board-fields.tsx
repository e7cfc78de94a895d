// What is asked of a board however it comes: its name, its wood and its measures.

import type { Signal } from "@preact/signals";
import { useId } from "preact/hooks";
import { lengthSaid, lengthTyped } from "../state/length";
import type { Model } from "../state/model";
import type { Unit } from "../state/wire";

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

/** No board is longer, µm. */
export const LONGEST = 8_000_000;

interface MeasureFieldProps {
  readonly words: string;
  readonly text: Signal<string>;
  readonly unit: Unit;
  /** One that a board could have, in the unit. */
  readonly example: string;
}

/** A measure of a board as it is typed; what cannot be one is told below it. */
export function MeasureField({ words, text, unit, example }: MeasureFieldProps) {
  const told = useId();
  const typed = lengthTyped(text.value, unit) ?? 0;
  const long = typed > LONGEST;
  const wrong = text.value.trim() !== "" && (!(typed > 0) || long);
  return (
    <label class="field">
      <span>{words}</span>
      <input
        value={text.value}
        inputMode={unit === "mm" ? "decimal" : "text"}
        placeholder={example}
        aria-invalid={wrong}
        aria-describedby={wrong ? told : undefined}
        onInput={(event) => {
          text.value = event.currentTarget.value;
        }}
      />
      {wrong && (
        <small id={told} class="amiss" role="status">
          {long
            ? `No board is longer than ${lengthSaid(LONGEST, unit)}: check the unit.`
            : `Give a length above 0, as in ${example} ${unit === "mm" ? "mm" : "in"}.`}
        </small>
      )}
    </label>
  );
}
