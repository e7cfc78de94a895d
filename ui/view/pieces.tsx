// The list of pieces, with wood and height; each can be picked and pinned from here.

import { lengthSaid } from "../state/length";
import type { Model } from "../state/model";
import type { Edit, Piece } from "../state/wire";
import { Icon } from "./icons";
import { memo } from "./memo";
import { Collapsible } from "./section";
import { useStudio } from "./shared";
import { begunSaid, planned, woodName } from "./words";

/** What of a piece the list is about. */
export type About = "wood" | "height";

export function Pieces({ model, about }: { model: Model; about: About }) {
  const { picking } = useStudio();
  const list = [...model.pieces.values()].sort((a, b) => a.number - b.number);
  const pinned = list.filter((piece) => byHand(piece, about)).length;
  return (
    <Collapsible title="Pieces" aside={`${list.length}, ${pinned} pinned`}>
      <ul class="list">
        {list.map((piece) => (
          <Row
            key={piece.number}
            piece={piece}
            about={about}
            on={picking.ids.value.has(piece.area)}
            words={about === "wood" ? woodName(piece.wood?.value ?? null, model) : ""}
            look={model.areas.get(piece.area)?.look ?? null}
            unit={model.setup.unit}
          />
        ))}
      </ul>
    </Collapsible>
  );
}

function byHand(piece: Piece, about: About): boolean {
  return (about === "wood" ? piece.wood?.by : piece.height?.by) === "hand";
}

interface RowProps {
  piece: Piece;
  about: About;
  on: boolean;
  words: string;
  look: string | null;
  unit: Model["setup"]["unit"];
}

const Row = memo(function Row({ piece, about, on, words, look, unit }: RowProps) {
  const studio = useStudio();
  const said = about === "wood" ? words : piece.height ? lengthSaid(piece.height.value, unit) : "undecided";
  const pinned = byHand(piece, about);
  const decided = about === "wood" ? piece.wood !== null : piece.height !== null;
  const begun = !planned(piece);
  const label = begun
    ? `Piece ${piece.number} is ${piece.state} already`
    : pinned
      ? `Free piece ${piece.number}: it may be chosen anew`
      : `Pin piece ${piece.number}: ${said}`;
  return (
    <li class={on ? "piece-row on" : "piece-row"}>
      <button
        type="button"
        class="piece-pick"
        aria-pressed={on}
        onClick={(event) =>
          event.shiftKey || event.ctrlKey
            ? studio.picking.toggle(piece.area)
            : studio.picking.only(piece.area)
        }
      >
        <span class="number">{piece.number}</span>
        <Swatch colour={look} />
        <span class="name">
          {said}
          {begun && <span class="soft small"> {piece.state}</span>}
        </span>
      </button>
      <button
        type="button"
        class="button quiet"
        aria-pressed={pinned}
        aria-label={label}
        title={label}
        disabled={!decided || begun}
        onClick={() => studio.edit(pinned ? free(piece, about) : pin(piece, about))}
      >
        <Icon name="pin" />
      </button>
    </li>
  );
});

function pin(piece: Piece, about: About): Edit {
  const whom = { piece: piece.number };
  return about === "wood"
    ? { wood: { choose: { whom, wood: piece.wood?.value ?? "" } } }
    : pinnedHeight(piece, piece.height?.value ?? 0);
}

/** Thickness and raiser stay where they already make the height. */
export function pinnedHeight(piece: Piece, height: number): Edit {
  const whom = { piece: piece.number };
  const [thickness, raiser] = [piece.thickness?.value, piece.raiser?.value];
  if (thickness !== undefined && raiser !== undefined && height === piece.height?.value)
    return { relief: { build: { whom, thickness, raiser } } };
  return { relief: { height: { whom, height } } };
}

function free(piece: Piece, about: About): Edit {
  const whom = { piece: piece.number };
  return about === "wood" ? { wood: { unchoose: whom } } : { relief: { unpin: whom } };
}

/** Says which of the picked are begun, and what of them stays. */
export function Begun({ pieces, stays }: { pieces: readonly Piece[]; stays: string }) {
  const begun = begunSaid(pieces);
  if (begun === null) return null;
  return (
    <p class="small">
      <strong>{begun}</strong>: {stays}.
    </p>
  );
}

/** A patch of colour; hatched where nothing is decided. */
export function Swatch({ colour }: { colour: string | null }) {
  return (
    <svg class="swatch" viewBox="0 0 28 28" aria-hidden="true">
      <rect x="0.5" y="0.5" width="27" height="27" rx="6" fill={colour ?? "none"} />
      {colour === null && <path d="M4 24 24 4" stroke="currentColor" opacity="0.5" />}
    </svg>
  );
}
