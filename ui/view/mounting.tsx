// What the relief hangs in and before: the backer's veneer, the veneer behind the ground, the frame with its rabbet.

import type { Model } from "../state/model";
import type { Frame } from "../state/wire";
import { Woods } from "./judged";
import { Collapsible } from "./section";
import { useStudio } from "./shared-parts";
import { shownOf, umOf, useTyped } from "./typed";
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
  const fields = { width: useTyped(frame.width, unit), lip: useTyped(frame.lip, unit) };
  const [width, lip] = [umOf(fields.width), umOf(fields.lip)];
  const same = width === frame.width && lip === frame.lip;
  const named = unit === "mm" ? "mm" : "inches";
  return (
    <form
      class="row end"
      onSubmit={async (event) => {
        event.preventDefault();
        if (width === null || lip === null) return;
        await studio.edit({ setup: { frame: { ...frame, width, lip } } });
        fields.width.text.value = null;
        fields.lip.text.value = null;
      }}
    >
      {(
        [
          ["Width of its face", fields.width],
          ["Lip over the panel", fields.lip],
        ] as const
      ).map(([name, typed]) => (
        <label key={name} class="field grow">
          <span>
            {name}, {named}
          </span>
          <input
            value={shownOf(typed)}
            inputMode={unit === "mm" ? "decimal" : "text"}
            onInput={(event) => {
              typed.text.value = event.currentTarget.value;
            }}
          />
        </label>
      ))}
      <button type="submit" class="button" disabled={width === null || lip === null || same}>
        Set
      </button>
    </form>
  );
}
