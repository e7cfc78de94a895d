// What a step between pieces is: one slider, and a hair and a lot follow from it.

import { useSignal } from "@preact/signals";
import { lengthSaid } from "../../state/length";
import type { Model } from "../../state/model";
import { useStudio } from "../../view/shared-parts";

export function StepSlider({ model }: { model: Model }) {
  const studio = useStudio();
  const { unit, stock, steps } = model.setup;
  const slid = useSignal<number | null>(null);
  const step = slid.value ?? steps[1];
  const said = (um: number) => lengthSaid(um, unit);
  return (
    <label class="field">
      <span>
        A step is {said(step)}, a hair {said(Math.max(step / 2, stock.readable_step))}, a lot {said(2 * step)}
      </span>
      <input
        type="range"
        aria-label="What a step is"
        min={stock.readable_step}
        max={Math.max(stock.readable_step, Math.min(8 * stock.readable_step, stock.highest - stock.lowest))}
        step={stock.readable_step / 2}
        value={step}
        onInput={(event) => {
          slid.value = Number(event.currentTarget.value);
        }}
        onChange={async (event) => {
          await studio.edit({ setup: { step: Math.round(Number(event.currentTarget.value)) } });
          slid.value = null;
        }}
      />
    </label>
  );
}
