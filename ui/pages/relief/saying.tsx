// How two picked pieces, or their parts, stand to each other.

import { type Signal, useSignal } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import { lengthBare, lengthSaid, lengthTyped } from "../../state/length";
import type { Model } from "../../state/model";
import { fixed, hasDistance, type Manner, relate } from "../../state/relate";
import type { Named, Piece, Whom } from "../../state/wire";
import { Icon } from "../../view/icons";
import { Section } from "../../view/section";
import { useStudio } from "../../view/shared-parts";
import { Strongly, strengthOf, useStrong } from "./strong";
import { sameWhom, Who, whomsOf } from "./who";

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
  const strong = useStrong();
  const [highAt, lowAt] = [useSignal(0), useSignal(0)];
  const [highs, lows] = apart(whomsOf(upper, model), whomsOf(lower, model));
  const [high, low] = [highs[highAt.value] ?? highs[0], lows[lowAt.value] ?? lows[0]];
  const length = by.value === "own" ? lengthTyped(own.value, model.setup.unit) : by.value;
  const strength = strengthOf(strong);
  const edit =
    length === null || strength === null || !high || !low
      ? null
      : relate({ upper: high, lower: low, manner: manner.value, by: length, strength });
  const refused = useRef<unknown>(null);
  const forget = () => {
    if (refused.current !== null && studio.said.value === refused.current) studio.said.value = null;
    refused.current = null;
  };
  // What was refused of these two is not left over the next two.
  useEffect(() => forget, []);
  const say = async () => {
    if (!edit) return;
    const done = await studio.edit(edit);
    if (done) forget();
    else refused.current = studio.said.value;
  };
  return (
    <>
      <div class="row">
        <Who model={model} label="The upper" among={highs} at={highAt.value} choose={chosen(highAt)} />
        <button
          type="button"
          class="button quiet"
          onClick={turn}
          aria-label="Turn round: the other one is above"
        >
          ⇅
        </button>
        <Who model={model} label="The lower" among={lows} at={lowAt.value} choose={chosen(lowAt)} />
      </div>
      <div class="row">
        <select
          class="input grow"
          aria-label="How they stand"
          value={manner.value}
          onChange={(event) => {
            manner.value = event.currentTarget.value as Manner;
            strong.aboutSaid(manner.value === "about");
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
      {manner.value === "about" && strong.must.value && (
        <p class="soft small">As a must it is exact: only steps between heights in stock can be kept.</p>
      )}
      <Strongly strong={strong} />
      <button type="button" class="button main" disabled={edit === null} onClick={() => void say()}>
        <Icon name="check" /> Say so
      </button>
    </>
  );
}

function chosen(at: Signal<number>): (next: number) => void {
  return (next) => {
    at.value = next;
  };
}

/** Who may be meant on either side: no part that holds both, since it cannot stand to itself. */
function apart(one: readonly Whom[], other: readonly Whom[]): [readonly Whom[], readonly Whom[]] {
  const holds = (list: readonly Whom[], whom: Whom) => list.some((each) => sameWhom(each, whom));
  return [one.filter((whom) => !holds(other, whom)), other.filter((whom) => !holds(one, whom))];
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
