// A relation said otherwise: its figures and how strongly it holds.

import { signal } from "@preact/signals";
import { useMemo } from "preact/hooks";
import type { Relation, Says, Unit } from "../../state/wire";
import { useStudio } from "../../view/shared-parts";
import { SaidLine } from "./figure";
import { useStrong } from "./strong";

interface ChangedProps {
  readonly relation: Relation;
  readonly unit: Unit;
  readonly done: () => void;
}

export function Changed({ relation, unit, done }: ChangedProps) {
  const studio = useStudio();
  const figures = useMemo(
    () =>
      figuresOf(relation.says).map(({ word, um }) => ({
        word,
        typed: { text: signal<string | null>(null), known: um, unit },
      })),
    [],
  );
  const strong = useStrong(relation.strength);
  return (
    <div class="stack">
      <p class="said">{relation.words}</p>
      <SaidLine
        figures={figures}
        strong={strong}
        word="Change it"
        say={async (typed, strength) => {
          const says = withFigures(relation.says, typed);
          if (await studio.edit({ relief: { restate: { relation: relation.id, says, strength } } })) done();
        }}
      >
        <button type="button" class="button" onClick={done}>
          Leave it
        </button>
      </SaidLine>
    </div>
  );
}

/** The figures that a relation has, with what each is called. */
function figuresOf(says: Says): readonly { word: string; um: number }[] {
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
