// How two picked pieces, or their parts, stand to each other.

import { type Signal, useSignal } from "@preact/signals";
import { lengthBare, lengthSaid, lengthTyped } from "../../state/length";
import type { Model } from "../../state/model";
import { fixed, hasDistance, type Manner, relate, whomOf } from "../../state/relate";
import type { Named, Piece, Whom } from "../../state/wire";
import { Icon } from "../../view/icons";
import { Section } from "../../view/section";
import { useStudio } from "../../view/shared-parts";
import { whomSaid } from "../../view/words";

const MANNERS: readonly (readonly [Manner, string])[] = [
  ["at_least", "stands above, by at least"],
  ["about", "stands above, by about"],
  ["thinner", "is thinner, by at least"],
  ["level", "is level with"],
  ["same_as", "is built the same as"],
  ["apart", "is kept apart, by"],
];

const NAMED: readonly (readonly [Named, string])[] = [
  ["hair", "a hair"],
  ["step", "a step"],
  ["lot", "a lot"],
];

/** A wish that the maker says without a weight. */
const USUAL_WISH = 10;

export function Above({ model }: { model: Model }) {
  const studio = useStudio();
  const list = studio.picking.pieces.value;
  const turned = useSignal(false);
  const [one, other] = turned.value ? [list[1], list[0]] : [list[0], list[1]];
  return (
    <Section title="This stands above that">
      {one && other && list.length === 2 ? (
        <Saying
          key={`${one.number} ${other.number}`}
          model={model}
          upper={one}
          lower={other}
          turn={() => {
            turned.value = !turned.value;
          }}
        />
      ) : (
        <p class="soft small">
          Pick two pieces: first the upper one, then, holding Shift or with Several, the lower one.
        </p>
      )}
    </Section>
  );
}

interface Two {
  readonly model: Model;
  readonly upper: Piece;
  readonly lower: Piece;
  readonly turn: () => void;
}

function Saying({ model, upper, lower, turn }: Two) {
  const studio = useStudio();
  const manner = useSignal<Manner>("at_least");
  const by = useSignal<Named | "own">("step");
  const own = useSignal(lengthBare(model.setup.steps[1], model.setup.unit));
  const must = useSignal(true);
  const parts = useSignal(false);
  const canParts = (upper.part !== null || lower.part !== null) && upper.part !== lower.part;
  const [high, low] = [whomOf(upper, parts.value && canParts), whomOf(lower, parts.value && canParts)];
  const length = by.value === "own" ? lengthTyped(own.value, model.setup.unit) : by.value;
  const strength = must.value ? ("must" as const) : { wish: USUAL_WISH };
  const edit =
    length === null ? null : relate({ upper: high, lower: low, manner: manner.value, by: length, strength });
  return (
    <>
      <Names model={model} high={high} low={low} turn={turn} />
      <div class="row">
        <select
          class="input grow"
          aria-label="How they stand"
          value={manner.value}
          onChange={(event) => {
            manner.value = event.currentTarget.value as Manner;
          }}
        >
          {MANNERS.filter(([key]) => key !== "thinner" || fixed(lower)).map(([key, words]) => (
            <option key={key} value={key}>
              {words}
            </option>
          ))}
        </select>
      </div>
      {hasDistance(manner.value) && (
        <Distance model={model} by={by} own={own} named={manner.value === "apart"} />
      )}
      {manner.value === "apart" && (
        <p class="soft small">The one that lies in front is put above: by the marks, else by the borders.</p>
      )}
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
      {canParts && (
        <label class="choice">
          <input
            type="checkbox"
            checked={parts.value}
            onChange={(event) => {
              parts.value = event.currentTarget.checked;
            }}
          />
          Say it of the whole parts
        </label>
      )}
      <button
        type="button"
        class="button main"
        disabled={edit === null}
        onClick={() => edit && void studio.edit(edit)}
      >
        <Icon name="check" /> Say so
      </button>
    </>
  );
}

function Names({ model, high, low, turn }: { model: Model; high: Whom; low: Whom; turn: () => void }) {
  return (
    <p class="saying">
      <strong>{whomSaid(high, model)}</strong>
      <button
        type="button"
        class="button quiet"
        onClick={turn}
        aria-label="Turn round: the other one is above"
      >
        ⇅
      </button>
      <strong>{whomSaid(low, model)}</strong>
    </p>
  );
}

interface By {
  readonly model: Model;
  readonly by: Signal<Named | "own">;
  readonly own: Signal<string>;
  /** Only a named step will do. */
  readonly named: boolean;
}

function Distance({ model, by, own, named }: By) {
  const { unit, steps } = model.setup;
  return (
    <div class="row">
      <select
        class="input grow"
        aria-label="By how much"
        value={by.value}
        onChange={(event) => {
          by.value = event.currentTarget.value as Named | "own";
        }}
      >
        {NAMED.map(([key, words], at) => (
          <option key={key} value={key}>
            {words}: {lengthSaid(steps[at] ?? 0, unit)}
          </option>
        ))}
        {!named && <option value="own">another length</option>}
      </select>
      {by.value === "own" && !named && (
        <input
          class="input short"
          aria-label={`By how much, in ${unit === "mm" ? "mm" : "inches"}`}
          value={own.value}
          onInput={(event) => {
            own.value = event.currentTarget.value;
          }}
        />
      )}
    </div>
  );
}
