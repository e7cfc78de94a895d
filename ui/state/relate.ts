// A relation as the maker builds it from two picks. It only puts words into the form that the server reads.

import type { Edit, Piece, Says, Strength, Whom } from "./wire";

export type Manner = "at_least" | "about" | "level";

export interface Wanted {
  readonly upper: Whom;
  readonly lower: Whom;
  readonly manner: Manner;
  /** µm; unused for level. */
  readonly by: number;
  readonly strength: Strength;
}

export function relate({ upper, lower, manner, by, strength }: Wanted): Edit {
  const pair = { above: upper, below: lower, by };
  const says: Says =
    manner === "level"
      ? { level: [upper, lower] }
      : manner === "about"
        ? { about: pair }
        : { at_least: pair };
  return { relief: { relate: { says, strength } } };
}

/** The piece, or the part that it lies in when parts are meant. */
export function whomOf(piece: Piece, parts: boolean): Whom {
  return parts && piece.part !== null ? { part: piece.part } : { piece: piece.number };
}
