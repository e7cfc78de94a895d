// A relation as the maker builds it from two picks. It only puts words into the form that the server reads.

import type { Edit, Named, Piece, Says, Strength, Whom } from "./wire";

export type Manner = "at_least" | "about" | "thinner" | "level" | "same_as" | "apart";

/** Manners that say no distance. */
export function hasDistance(manner: Manner): boolean {
  return manner !== "level" && manner !== "same_as";
}

export interface Wanted {
  readonly upper: Whom;
  readonly lower: Whom;
  readonly manner: Manner;
  /** A named step, or µm; unused where no distance is said. */
  readonly by: Named | number;
  readonly strength: Strength;
}

/** What is said; null where it has no such form: apart has a named step. */
export function relate({ upper, lower, manner, by, strength }: Wanted): Edit | null {
  if (manner === "apart")
    return typeof by === "number"
      ? null
      : { relief: { keep_apart: { one: upper, other: lower, named: by, strength } } };
  const says = saying(upper, lower, manner, typeof by === "number" ? by : 0);
  if (typeof by === "number" || !hasDistance(manner)) return { relief: { relate: { says, strength } } };
  return { relief: { relate_by: { says, strength, named: by } } };
}

function saying(upper: Whom, lower: Whom, manner: Manner, by: number): Says {
  switch (manner) {
    case "level":
      return { level: [upper, lower] };
    case "same_as":
      return { same_as: [upper, lower] };
    case "about":
      return { about: { above: upper, below: lower, by } };
    case "thinner":
      return { at_least: { above: lower, below: upper, by } };
    default:
      return { at_least: { above: upper, below: lower, by } };
  }
}

/** Whether its thickness is settled, so that others can be said from it. */
export function fixed(piece: Piece): boolean {
  return piece.thickness !== null && piece.thickness.by !== "act";
}
