// A relation said otherwise: its figures and how strongly it holds.

import { useSignal } from "@preact/signals";
import { lengthBare, lengthTyped } from "../../state/length";
import type { Relation, Says, Unit } from "../../state/wire";
import { useStudio } from "../../view/shared-parts";
import { Strongly, strengthOf, useStrong } from "./strong";

interface ChangedProps {
  readonly relation: Relation;
  readonly unit: Unit;
  readonly done: () => void;
}

export function Changed({ relation, unit, done }: ChangedProps) {
  const studio = useStudio();
  const known = figures(relation.says);
  const texts = useSignal(known.map(({ um }) => lengthBare(um, unit)));
  const strong = useStrong(relation.strength);
  const strength = strengthOf(strong);
  const typed = known.map(({ um }, at) => {
    const text = texts.value[at] ?? "";
    return text === lengthBare(um, unit) ? um : lengthTyped(text, unit);
  });
  const ready = strength !== null && !typed.includes(null);
  const change = async (event: Event) => {
    event.preventDefault();
    if (!ready) return;
    const says = withFigures(relation.says, typed as number[]);
    if (await studio.edit({ relief: { restate: { relation: relation.id, says, strength } } })) done();
  };
  return (
    <form class="stack" onSubmit={change}>
      <p class="said">{relation.words}</p>
      <div class="row end">
        {known.map(({ word }, at) => (
          <label key={word} class="field grow">
            <span>
              {word}, {unit === "mm" ? "mm" : "inches"}
            </span>
            <input
              value={texts.value[at]}
              onInput={(event) => {
                const next = event.currentTarget.value;
                texts.value = texts.value.map((text, other) => (other === at ? next : text));
              }}
            />
          </label>
        ))}
        <button type="submit" class="button main" disabled={!ready}>
          Change it
        </button>
        <button type="button" class="button" onClick={done}>
          Leave it
        </button>
      </div>
      <Strongly strong={strong} />
    </form>
  );
}

/** The figures that a relation has, with what each is called. */
function figures(says: Says): readonly { word: string; um: number }[] {
  if ("at_least" in says) return [{ word: "At least", um: says.at_least.by }];
  if ("about" in says) return [{ word: "About", um: says.about.by }];
  if ("at" in says) return [{ word: "At", um: says.at[1] }];
  if ("within" in says)
    return [
      { word: "From", um: says.within[1] },
      { word: "To", um: says.within[2] },
    ];
  if ("climbs" in says)
    return [
      { word: "From", um: says.climbs.from },
      { word: "To", um: says.climbs.to },
    ];
  return [];
}

function withFigures(says: Says, [one = 0, two = 0]: readonly number[]): Says {
  if ("at_least" in says) return { at_least: { ...says.at_least, by: one } };
  if ("about" in says) return { about: { ...says.about, by: one } };
  if ("at" in says) return { at: [says.at[0], one] };
  if ("within" in says) return { within: [says.within[0], one, two] };
  if ("climbs" in says) return { climbs: { ...says.climbs, from: one, to: two } };
  return says;
}
