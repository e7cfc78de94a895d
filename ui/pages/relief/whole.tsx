// What is wished of the relief as a whole: few planer settings, that it shows from afar, that it fits its frame.

import { useSignal } from "@preact/signals";
import { lengthBare, lengthSaid, lengthTyped } from "../../state/length";
import type { Model } from "../../state/model";
import type { Reading } from "../../state/wire";
import { Collapsible } from "../../view/section";
import { useStudio } from "../../view/shared-parts";

export function Whole({ model }: { model: Model }) {
  return (
    <Collapsible title="The relief as a whole" aside={spread(model)}>
      <Settings model={model} />
      <FrameDepth key={`frame ${model.setup.frame_depth}`} model={model} />
      <LookedAt key={JSON.stringify(model.setup.reading)} model={model} />
    </Collapsible>
  );
}

/** The thicknesses that planned pieces are planed to, ascending. */
function thicknesses(model: Model): readonly number[] {
  const planned = [...model.pieces.values()].filter((piece) => piece.state === "planned");
  return [...new Set(planned.flatMap((piece) => piece.thickness?.value ?? []))].sort((a, b) => a - b);
}

function spread(model: Model): string {
  const count = thicknesses(model).length;
  return count === 0 ? "" : count === 1 ? "one thickness" : `${count} thicknesses`;
}

const MOST_SETTINGS = 8;

function Settings({ model }: { model: Model }) {
  const studio = useStudio();
  const { unit, planer_settings: most } = model.setup;
  const now = thicknesses(model);
  return (
    <>
      <label class="field">
        <span>Planer settings</span>
        <select
          class="input"
          value={most ?? ""}
          onChange={(event) => {
            const typed = event.currentTarget.value;
            void studio.edit({ setup: { planer_settings: typed === "" ? null : Number(typed) } });
          }}
        >
          <option value="">as many as serve best</option>
          {Array.from({ length: Math.max(MOST_SETTINGS, most ?? 0) }, (_, at) => at + 1).map((count) => (
            <option key={count} value={count}>
              {count === 1 ? "one, if the musts leave it" : `${count} at most, if the musts leave it`}
            </option>
          ))}
        </select>
      </label>
      {now.length > 0 && (
        <p class="soft small">
          Now {now.length}: {now.map((one) => lengthSaid(one, unit)).join(", ")} thick. A new wish counts when
          the heights are worked out.
        </p>
      )}
    </>
  );
}

function FrameDepth({ model }: { model: Model }) {
  const studio = useStudio();
  const { unit, frame_depth: depth } = model.setup;
  const text = useSignal(depth === null ? "" : lengthBare(depth, unit));
  const typed = text.value.trim() === "" ? null : lengthTyped(text.value, unit);
  const wrong = text.value.trim() !== "" && typed === null;
  const give = (event: Event) => {
    event.preventDefault();
    if (!wrong) void studio.edit({ setup: { frame_depth: typed } });
  };
  return (
    <form class="row end" onSubmit={give}>
      <label class="field grow">
        <span>Depth of the frame before the backer, {unit === "mm" ? "mm" : "inches"}</span>
        <input
          value={text.value}
          inputMode={unit === "mm" ? "decimal" : "text"}
          placeholder="not given"
          onInput={(event) => {
            text.value = event.currentTarget.value;
          }}
        />
      </label>
      <button type="submit" class="button" disabled={wrong || typed === depth}>
        Set
      </button>
    </form>
  );
}

const FROM: readonly (readonly [number, string])[] = [
  [0, "above"],
  [45, "above right"],
  [90, "the right"],
  [135, "below right"],
  [180, "below"],
  [225, "below left"],
  [270, "the left"],
  [315, "above left"],
];

const UM_PER_METRE = 1_000_000;
const UM_PER_FOOT = 304_800;

/** Across a room, in the light of a window aside. */
const USUAL: Reading = { distance: 2_500_000, from: 315, height: 35 };

function LookedAt({ model }: { model: Model }) {
  const studio = useStudio();
  const { reading, unit } = model.setup;
  const far = unit === "mm" ? UM_PER_METRE : UM_PER_FOOT;
  const say = (next: Reading | null) => void studio.edit({ setup: { reading: next } });
  const change = (event: { currentTarget: HTMLInputElement | HTMLSelectElement }, key: keyof Reading) => {
    const typed = Number(event.currentTarget.value);
    const value = key === "distance" ? Math.round(typed * far) : Math.round(typed);
    if (reading && event.currentTarget.value !== "") say({ ...reading, [key]: value });
  };
  return (
    <>
      <label class="choice">
        <input type="checkbox" checked={reading !== null} onChange={() => say(reading ? null : USUAL)} />
        Find borders that do not show from afar
      </label>
      {reading && (
        <div class="row end">
          <label class="field grow">
            <span>Seen from, {unit === "mm" ? "metres" : "feet"}</span>
            <input
              type="number"
              min={unit === "mm" ? "0.2" : "0.7"}
              max={unit === "mm" ? "50" : "164"}
              step="0.1"
              value={Math.round((reading.distance / far) * 100) / 100}
              onChange={(event) => change(event, "distance")}
            />
          </label>
          <label class="field grow">
            <span>Light from</span>
            <select class="input" value={reading.from} onChange={(event) => change(event, "from")}>
              {!FROM.some(([from]) => from === reading.from) && (
                <option value={reading.from}>{reading.from}°</option>
              )}
              {FROM.map(([from, words]) => (
                <option key={from} value={from}>
                  {words}
                </option>
              ))}
            </select>
          </label>
          <label class="field grow">
            <span>Light above the wall, degrees</span>
            <input
              type="number"
              min="5"
              max="85"
              step="5"
              value={reading.height}
              onChange={(event) => change(event, "height")}
            />
          </label>
        </div>
      )}
    </>
  );
}
