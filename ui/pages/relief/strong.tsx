// How strongly something is said: a must, or a wish of a weight.

import { type Signal, useSignal } from "@preact/signals";
import type { Strength } from "../../state/wire";

/** A wish that the maker says without a weight. */
const USUAL_WISH = 10;
const HEAVIEST = 1_000_000;

export interface Strong {
  /** About is seldom exact, so it begins as a wish; what else is said after it is as strong as before. */
  readonly aboutSaid: (about: boolean) => void;
  readonly must: Signal<boolean>;
  readonly weight: Signal<string>;
}

export function useStrong(said: Strength = "must"): Strong {
  const must = useSignal(said === "must");
  const lent = useSignal(false);
  const weight = useSignal(String(said === "must" ? USUAL_WISH : said.wish));
  const aboutSaid = (about: boolean) => {
    if (about && must.value) [must.value, lent.value] = [false, true];
    else if (!about && lent.value) [must.value, lent.value] = [true, false];
  };
  return { must, weight, aboutSaid };
}

/** The strength that is set; null while the weight is no weight. */
export function strengthOf({ must, weight }: Strong): Strength | null {
  if (must.value) return "must";
  const typed = /^\s*\d+\s*$/.test(weight.value) ? Number(weight.value) : 0;
  return typed >= 1 && typed <= HEAVIEST ? { wish: typed } : null;
}

export function Strongly({ strong }: { strong: Strong }) {
  const { must, weight } = strong;
  return (
    <div class="row">
      <label class="choice">
        <input
          type="checkbox"
          checked={must.value}
          onChange={(event) => {
            must.value = event.currentTarget.checked;
          }}
        />
        It must; otherwise it is a wish
      </label>
      {!must.value && (
        <label class="choice" title="1 to 1 000 000; only the proportions of the wishes count">
          of weight
          <input
            class="input short"
            type="text"
            inputMode="numeric"
            aria-invalid={strengthOf(strong) === null}
            value={weight.value}
            onInput={(event) => {
              weight.value = event.currentTarget.value;
            }}
          />
        </label>
      )}
    </div>
  );
}
