// How far pieces are at the bench: what is noted of them, what is taken back, and how many are how far.

import type { Model } from "./model";
import type { Date as Day, Edit, Part, Piece, State, Um } from "./wire";

export type Begun = Exclude<State, "planned">;
export const BEGUN: readonly Begun[] = ["cut", "shaped", "set"];

const ORDER: readonly State[] = ["planned", ...BEGUN];
const rank = (state: State) => ORDER.indexOf(state);

/** The entry of the log that is struck is said to be this. */
const WHY = "noted by mistake";

/** Of these pieces those that are not so far yet. */
export function notYet(list: readonly Piece[], state: Begun): Piece[] {
  return list.filter((piece) => rank(piece.state) < rank(state));
}

/** Notes that the pieces that are not so far yet came to be so, on this day; with their measured height, if it was taken. */
export function noted(list: readonly Piece[], state: Begun, on: Day, height: Um | null = null): Edit[] {
  return notYet(list, state).map(({ number }) => ({
    bench: { log: { became: { piece: number, state, on, height } } },
  }));
}

/** The furthest that any of these pieces is, and those that are so far; null where none is begun. */
export function furthest(list: readonly Piece[]): { state: Begun; those: readonly Piece[] } | null {
  const state = BEGUN.findLast((each) => list.some((piece) => piece.state === each));
  return state === undefined ? null : { state, those: list.filter((piece) => piece.state === state) };
}

/** Takes back that each of these pieces is as far as it is. What no entry of the log tells was said at its board. */
export function takenBack(those: readonly Piece[]): Edit[] {
  return those.map((piece): Edit => {
    const told = piece.logged.findLast(({ state }) => state === piece.state);
    return told
      ? { bench: { log: { struck: { entry: told.entry, why: WHY } } } }
      : { stock: { uncut: piece.number } };
  });
}

/** "7 of 12 cut, 3 set": what is set was cut as well. Null where none is begun. */
export function benchSaid(list: readonly Piece[]): string | null {
  const reached = (state: Begun) => list.length - notYet(list, state).length;
  const [cut, shaped, set] = [reached("cut"), reached("shaped"), reached("set")];
  if (cut === 0) return null;
  if (set === list.length) return list.length === 1 ? "set" : `all ${set} set`;
  if (list.length === 1) return list[0]?.state ?? null;
  return [
    `${cut} of ${list.length} cut`,
    list.some((piece) => piece.state === "shaped") ? `${shaped} shaped` : "",
    set > 0 ? `${set} set` : "",
  ]
    .filter((words) => words !== "")
    .join(", ");
}

/** The pieces of a part and of the parts within it, by number. */
export function piecesIn(part: Part, { parts, pieces }: Pick<Model, "parts" | "pieces">): Piece[] {
  const within = (id: number): number[] => [
    id,
    ...parts.filter((each) => each.within === id).flatMap((each) => within(each.id)),
  ];
  const ids = new Set(within(part.id));
  return [...pieces.values()]
    .filter((piece) => piece.part !== null && ids.has(piece.part))
    .sort((a, b) => a.number - b.number);
}
