// What the relief hangs in and before: the backer's veneer, the veneer behind the ground, the frame with its rabbet.

import { useSignal } from "@preact/signals";
import { lengthBare, lengthTyped } from "../state/length";
import type { Model } from "../state/model";
import type { Frame } from "../state/wire";
import { Woods } from "./judged";
import { Collapsible } from "./section";
import { useStudio } from "./shared-parts";
import { woodName } from "./words";

/** A moulding to begin with: its lip is the usual quarter of an inch. */
const USUAL: Frame = { wood: "walnut-black", width: 30_000, lip: 6_350 };

export function Mounting({ model }: { model: Model }) {
  const studio = useStudio();
  const { backer, ground, frame } = model.setup;
  const grounds = [...model.areas.values()].some((area) => area.becomes === "ground");
  return (
    <Collapsible
      title="Backer and frame"
      aside={frame ? `framed in ${woodName(frame.wood, model)}` : "no frame"}
    >
      <label class="field">
        <span>Backer's front veneer</span>
        <select
          value={backer}
          onChange={(event) => void studio.edit({ setup: { backer: event.currentTarget.value } })}
        >
          <Woods model={model} />
        </select>
      </label>
      {grounds && (
        <label class="field">
          <span>Veneer of the board behind the ground</span>
          <select
            value={ground ?? ""}
            onChange={(event) => void studio.edit({ setup: { ground: event.currentTarget.value || null } })}
          >
            <option value="">plain</option>
            <Woods model={model} />
          </select>
        </label>
      )}
      <label class="field">
        <span>Frame</span>
        <select
          value={frame?.wood ?? ""}
          onChange={(event) => {
            const wood = event.currentTarget.value;
            void studio.edit({ setup: { frame: wood === "" ? null : { ...(frame ?? USUAL), wood } } });
          }}
        >
          <option value="">none</option>
          <Woods model={model} />
        </select>
      </label>
      {frame && <Moulding key={JSON.stringify(frame)} model={model} frame={frame} />}
    </Collapsible>
  );
}

function Moulding({ model, frame }: { model: Model; frame: Frame }) {
  const studio = useStudio();
  const { unit } = model.setup;
  const [width, lip] = [useSignal(lengthBare(frame.width, unit)), useSignal(lengthBare(frame.lip, unit))];
  const typed = { width: lengthTyped(width.value, unit), lip: lengthTyped(lip.value, unit) };
  const wrong = typed.width === null || typed.lip === null;
  const same = typed.width === frame.width && typed.lip === frame.lip;
  const named = unit === "mm" ? "mm" : "inches";
  return (
    <form
      class="row end"
      onSubmit={(event) => {
        event.preventDefault();
        if (typed.width !== null && typed.lip !== null)
          void studio.edit({ setup: { frame: { ...frame, width: typed.width, lip: typed.lip } } });
      }}
    >
      {(
        [
          ["Width of its face", width],
          ["Lip over the panel", lip],
        ] as const
      ).map(([name, text]) => (
        <label key={name} class="field grow">
          <span>
            {name}, {named}
          </span>
          <input
            value={text.value}
            inputMode={unit === "mm" ? "decimal" : "text"}
            onInput={(event) => {
              text.value = event.currentTarget.value;
            }}
          />
        </label>
      ))}
      <button type="submit" class="button" disabled={wrong || same}>
        Set
      </button>
    </form>
  );
}
