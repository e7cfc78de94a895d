// How pieces are laid: the rules that a layout keeps, and how long it is sought.

import type { Signal } from "@preact/signals";
import type { Model } from "../../state/model";
import type { Laying } from "../../state/wire";
import { LengthField } from "../../view/length-field";
import { NumberField } from "../../view/number-field";
import { Collapsible } from "../../view/section";
import { useStudio } from "../../view/shared-parts";

/** Attempts beyond the first, each with what it took for the demo of 180 pieces on two cores. */
export const EFFORTS = [
  { effort: 0, said: "no time: the plain first layout" },
  { effort: 4, said: "some seconds" },
  { effort: 16, said: "a quarter of a minute" },
  { effort: 64, said: "a minute; it can be stopped" },
] as const;
/** What is sought at first. */
export const USUAL = 4;
/** No board has use for more room, µm. */
const ROOM: readonly [number, number] = [0, 100_000];
const HUNDREDTHS = 100;

export function HowLaid({ model, effort }: { model: Model; effort: Signal<number> }) {
  const studio = useStudio();
  const { laying, unit } = model.setup;
  const set = (change: Partial<Laying>) => studio.edit({ stock: { laying: { ...laying, ...change } } });
  return (
    <Collapsible title="How they are laid" aside={`grain within ${laying.grain_within / HUNDREDTHS}°`} folded>
      <NumberField
        word="Grain off its direction by at most, degrees"
        value={laying.grain_within / HUNDREDTHS}
        within={[0, 90]}
        take={(degrees) => set({ grain_within: Math.round(degrees * HUNDREDTHS) })}
      />
      <LengthField
        word="Between pieces: the kerf and room for a rough cut"
        um={laying.apart}
        unit={unit}
        within={ROOM}
        take={(apart) => set({ apart })}
      />
      <LengthField
        word="To edges and faults"
        um={laying.edge}
        unit={unit}
        within={ROOM}
        take={(edge) => set({ edge })}
      />
      <NumberField
        word="Bought above the need, percent"
        value={laying.allowance}
        within={[0, 500]}
        whole
        take={(allowance) => set({ allowance })}
      />
      <label class="choice">
        <input
          type="checkbox"
          checked={laying.flip}
          onChange={(event) => set({ flip: event.currentTarget.checked })}
        />
        <span>Pieces may be turned end for end</span>
      </label>
      <label class="choice">
        <input
          type="checkbox"
          checked={laying.plane}
          onChange={(event) => set({ plane: event.currentTarget.checked })}
        />
        <span>A thicker board may be planed down</span>
      </label>
      <label class="choice">
        <input
          type="checkbox"
          checked={laying.crosscut}
          onChange={(event) => set({ crosscut: event.currentTarget.checked })}
        />
        <span>A board may be cut across, so that each part is planed by itself</span>
      </label>
      <label class="field">
        <span>A better layout is sought for</span>
        <select
          value={effort.value}
          onChange={(event) => {
            effort.value = Number(event.currentTarget.value);
          }}
        >
          {EFFORTS.map((one) => (
            <option key={one.effort} value={one.effort}>
              {one.said}
            </option>
          ))}
        </select>
      </label>
    </Collapsible>
  );
}
