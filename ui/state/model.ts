// What the pages know of the open job: the server's values, by id. Never computed here, only replaced.

import type {
  Area,
  BoardSeen,
  Border,
  Delta,
  Finding,
  LineSeen,
  Lying,
  Mark,
  MissingSeen,
  Part,
  Piece,
  Relation,
  Seen,
  Setup,
  Swallowed,
  Wood,
} from "./wire";

/** The open job as the server last told it. Values are replaced, never changed in place. */
export interface Model {
  readonly revision: number;
  /** The step of the file's history that it stands at; the same after a new start of the server. */
  readonly step: number;
  readonly path: string;
  readonly undo: string | null;
  readonly redo: string | null;
  readonly setup: Setup;
  readonly areas: ReadonlyMap<number, Area>;
  readonly borders: ReadonlyMap<number, Border>;
  readonly pieces: ReadonlyMap<number, Piece>;
  readonly parts: readonly Part[];
  readonly woods: readonly Wood[];
  readonly relations: readonly Relation[];
  readonly marks: readonly Mark[];
  readonly swallowed: readonly Swallowed[];
  /** Lines that end in the open, in the order in which edits count them. */
  readonly lines: readonly LineSeen[];
  readonly boards: readonly BoardSeen[];
  /** Where pieces lie on boards, by piece. */
  readonly lies: ReadonlyMap<number, Lying>;
  readonly missing: readonly MissingSeen[];
  /** What the last check found; null while the first is under way. */
  readonly findings: readonly Finding[] | null;
}

export function modelOf(seen: Seen): Model {
  return {
    ...seen,
    areas: byKey(seen.areas, (area) => area.id),
    borders: byKey(seen.borders, (border) => border.id),
    pieces: byKey(seen.pieces, (piece) => piece.number),
    lies: byKey(seen.lies, (one) => one.piece),
  };
}

/**
 * The model after a change. The same model if the change is already in it; "gap" if one before it was missed, and the
 * whole must be fetched again.
 */
export function withDelta(model: Model, delta: Delta): Model | "gap" {
  if (delta.revision <= model.revision) return model;
  if (delta.from !== model.revision) return "gap";
  return {
    ...model,
    revision: delta.revision,
    step: delta.step,
    undo: delta.undo,
    redo: delta.redo,
    setup: delta.setup ?? model.setup,
    areas: patched(model.areas, delta.gone_areas, delta.areas, (area) => area.id),
    borders: patched(model.borders, delta.gone_borders, delta.borders, (border) => border.id),
    pieces: patched(model.pieces, delta.gone_pieces, delta.pieces, (piece) => piece.number),
    parts: delta.parts ?? model.parts,
    woods: delta.woods ?? model.woods,
    relations: delta.relations ?? model.relations,
    marks: delta.marks ?? model.marks,
    swallowed: delta.swallowed ?? model.swallowed,
    lines: delta.lines ?? model.lines,
    boards: delta.boards ?? model.boards,
    lies: patched(model.lies, delta.gone_lies, delta.lies, (one) => one.piece),
    missing: delta.missing ?? model.missing,
  };
}

function byKey<T>(list: readonly T[], key: (value: T) => number): Map<number, T> {
  return new Map(list.map((value) => [key(value), value]));
}

/** The same map when nothing in it changed, so that what is drawn from it is not drawn again. */
function patched<T>(
  map: ReadonlyMap<number, T>,
  gone: readonly number[],
  come: readonly T[],
  key: (value: T) => number,
): ReadonlyMap<number, T> {
  if (gone.length === 0 && come.length === 0) return map;
  const next = new Map(map);
  for (const id of gone) next.delete(id);
  for (const value of come) next.set(key(value), value);
  return next;
}
