// A piece in a few words.

import { lengthSaid } from "../state/length";
import type { Model } from "../state/model";
import type { Area, Piece, Whom } from "../state/wire";

export function spoken(area: Area, model: Model): string {
  const piece = area.number === null ? undefined : model.pieces.get(area.number);
  if (!piece) return area.becomes === "shadow" ? "Shadow: the backer shows" : "Ground: nothing is sawn";
  const height = piece.height
    ? `${lengthSaid(piece.height.value, model.setup.unit)} high`
    : "height undecided";
  const part = partOf(piece, model);
  const many = (model.findings ?? []).filter((finding) => finding.areas.includes(area.id)).length;
  return [
    `Piece ${piece.number}`,
    planned(piece) ? "" : piece.state,
    woodName(piece.wood?.value ?? null, model),
    height,
    part === null ? "" : `in ${part}`,
    many === 0 ? "" : many === 1 ? "1 finding" : `${many} findings`,
  ]
    .filter((word) => word !== "")
    .join(", ");
}

/** Pieces that nothing settles yet. */
export const planned = (piece: Piece): boolean => piece.state === "planned";

/** Pieces that need a place on a board: what is cut, shaped or set has had its wood. */
export const stillToLay = ({ pieces, lies }: Pick<Model, "pieces" | "lies">): Piece[] =>
  [...pieces.values()].filter((piece) => planned(piece) && !lies.has(piece.number));

/** What is begun among pieces, and that it stays so; null where nothing is. */
export function begunSaid(list: readonly Piece[]): string | null {
  const begun = list.filter((piece) => !planned(piece));
  if (begun.length === 0) return null;
  const said = ["cut", "shaped", "set"].flatMap((state) => {
    const numbers = begun.filter((piece) => piece.state === state).map((piece) => piece.number);
    if (numbers.length === 0) return [];
    const one = numbers.length === 1;
    return [`piece${one ? "" : "s"} ${runs(numbers.sort((a, b) => a - b))} ${one ? "is" : "are"} ${state}`];
  });
  return said.join("; ").replace("p", "P");
}

export function woodName(key: string | null, model: Model): string {
  if (key === null) return "wood undecided";
  return model.woods.find((wood) => wood.key === key)?.name ?? key;
}

export function partOf(piece: Piece, model: Model): string | null {
  return model.parts.find((part) => part.id === piece.part)?.name ?? null;
}

export function whomSaid(whom: Whom, model: Model): string {
  if (whom === "backer") return "the backer's face";
  if (whom === "frame") return "the frame's front";
  if ("piece" in whom) return `piece ${whom.piece}`;
  const part = model.parts.find((each) => each.id === whom.part);
  return part ? `“${part.name}”` : `part ${whom.part}`;
}

export function pieces(count: number): string {
  return count === 1 ? "1 piece" : `${count} pieces`;
}

/** Numbers as runs: 1–4, 7, 9, 10. */
export function runs(numbers: readonly number[]): string {
  const found: [number, number][] = [];
  for (const number of numbers) {
    const last = found.at(-1);
    if (last && last[1] + 1 === number) last[1] = number;
    else found.push([number, number]);
  }
  return found
    .map(([from, to]) => (from === to ? `${from}` : `${from}${to === from + 1 ? ", " : "–"}${to}`))
    .join(", ");
}
