// Who is meant: a piece, the part that it lies in, or a part around that.

import type { Model } from "../../state/model";
import type { Piece, Says, Whom } from "../../state/wire";
import { whomSaid } from "../../view/words";

/** A piece and the parts that it lies in, the innermost first. */
export function whomsOf(piece: Piece, model: Model): readonly Whom[] {
  return [{ piece: piece.number }, ...partsOf(piece, model).map((part) => ({ part }))];
}

/** The parts that a piece lies in, the innermost first. */
export function partsOf(piece: Piece, model: Model): readonly number[] {
  const found: number[] = [];
  let next: number | null = piece.part;
  while (next !== null && !found.includes(next)) {
    found.push(next);
    next = model.parts.find((part) => part.id === found.at(-1))?.within ?? null;
  }
  return found;
}

/** Everyone that a relation names. */
function named(says: Says): readonly Whom[] {
  if ("at_least" in says) return [says.at_least.above, says.at_least.below];
  if ("about" in says) return [says.about.above, says.about.below];
  if ("level" in says) return says.level;
  if ("same_as" in says) return says.same_as;
  if ("at" in says) return [says.at[0]];
  if ("within" in says) return [says.within[0]];
  return says.climbs.row;
}

/** The areas of all pieces that a relation speaks of, alone or in a part, in the order in which it names them. */
export function areasOf(says: Says, model: Model): readonly number[] {
  return named(says).flatMap((whom) => {
    if (typeof whom === "string") return [];
    if ("piece" in whom) return model.pieces.get(whom.piece)?.area ?? [];
    return [...model.pieces.values()]
      .filter((piece) => partsOf(piece, model).includes(whom.part))
      .map((piece) => piece.area);
  });
}

export function sameWhom(one: Whom, other: Whom): boolean {
  return JSON.stringify(one) === JSON.stringify(other);
}

interface WhoProps {
  readonly model: Model;
  readonly label: string;
  readonly among: readonly Whom[];
  readonly at: number;
  readonly choose: (at: number) => void;
}

export function Who({ model, label, among, at, choose }: WhoProps) {
  const [only] = among;
  if (among.length === 1 && only) return <strong>{whomSaid(only, model)}</strong>;
  return (
    <select
      class="input grow"
      aria-label={label}
      value={at}
      onChange={(event) => choose(Number(event.currentTarget.value))}
    >
      {among.map((whom, at) => (
        <option key={JSON.stringify(whom)} value={at}>
          {typeof whom !== "string" && "part" in whom
            ? `the whole part ${whomSaid(whom, model)}`
            : whomSaid(whom, model)}
        </option>
      ))}
    </select>
  );
}
