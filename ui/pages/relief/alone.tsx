// What is said of one piece or part alone: at a height, between two, or how it stands to an anchor: the backer's face or
// the front of the frame.

import { useSignal } from "@preact/signals";
import { lengthSaid } from "../../state/length";
import type { Model } from "../../state/model";
import type { Piece, Says, Whom } from "../../state/wire";
import { useStudio } from "../../view/shared-parts";
import { type Typed, useTyped } from "../../view/typed";
import { SaidLine } from "./figure";
import { useStrong } from "./strong";
import { Who, whomsOf } from "./who";

type Manner = "between" | "at" | "above_backer" | "below_front" | "about_front" | "level_front";

const MANNERS: readonly (readonly [Manner, string])[] = [
  ["between", "between two heights"],
  ["at", "at a height"],
  ["above_backer", "above the backer, by at least"],
  ["below_front", "below the frame's front, by at least"],
  ["about_front", "below the frame's front, by about"],
  ["level_front", "level with the frame's front"],
];

export function Alone({ model, piece }: { model: Model; piece: Piece }) {
  const studio = useStudio();
  const { unit, stock, steps, frame_depth: depth } = model.setup;
  const whoms = whomsOf(piece, model);
  const at = useSignal(whoms.length > 1 ? 1 : 0);
  const manner = useSignal<Manner>("between");
  const typed: Lengths = {
    least: useTyped(stock.lowest, unit),
    most: useTyped(stock.highest, unit),
    by: useTyped(steps[1], unit),
    up: useTyped(stock.lowest, unit),
  };
  const strong = useStrong();
  const whom = whoms[at.value] ?? { piece: piece.number };
  return (
    <fieldset class="stack">
      <legend class="legend">It stands</legend>
      <Who
        model={model}
        label="Who stands so"
        among={whoms}
        at={at.value}
        choose={(chosen) => {
          at.value = chosen;
        }}
      />
      <select
        class="input"
        aria-label="How it stands"
        value={manner.value}
        onChange={(event) => {
          manner.value = event.currentTarget.value as Manner;
          strong.aboutSaid(manner.value === "about_front");
        }}
      >
        {MANNERS.map(([key, words]) => (
          <option key={key} value={key} disabled={depth === null && key.endsWith("_front")}>
            {words}
            {depth === null && key.endsWith("_front") ? " (its depth is not given)" : ""}
          </option>
        ))}
      </select>
      {depth !== null && manner.value.endsWith("_front") && (
        <p class="soft small">The frame's front stands {lengthSaid(depth, unit)} before the backer.</p>
      )}
      <SaidLine
        figures={figuresOf(manner.value, typed)}
        strong={strong}
        word="Say it stands so"
        say={(figures, strength) =>
          void studio.edit({ relief: { relate: { says: said(manner.value, whom, figures), strength } } })
        }
      />
    </fieldset>
  );
}

type Lengths = Readonly<Record<"least" | "most" | "by" | "up", Typed>>;

function figuresOf(manner: Manner, { least, most, by, up }: Lengths) {
  if (manner === "level_front") return [];
  if (manner === "at") return [{ word: "Height", typed: least }];
  if (manner === "above_backer") return [{ word: "By", typed: up }];
  if (manner !== "between") return [{ word: "By", typed: by }];
  return [
    { word: "From", typed: least },
    { word: "To", typed: most },
  ];
}

function said(manner: Manner, whom: Whom, [one = 0, two = 0]: readonly number[]): Says {
  switch (manner) {
    case "between":
      return { within: [whom, one, two] };
    case "at":
      return { at: [whom, one] };
    case "above_backer":
      return { at_least: { above: whom, below: "backer", by: one } };
    case "below_front":
      return { at_least: { above: "frame", below: whom, by: one } };
    case "about_front":
      return { about: { above: "frame", below: whom, by: one } };
    case "level_front":
      return { level: [whom, "frame"] };
  }
}
