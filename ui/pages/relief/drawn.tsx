// What is said and seen by drawing: a climb over a row of pieces, and a section with its profile.

import { useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { lengthBare, lengthSaid } from "../../state/length";
import type { Model } from "../../state/model";
import type { Taken } from "../../state/tool";
import type { Piece, SectionStretch, Unit, Whom } from "../../state/wire";
import { tools } from "../../view/canvas";
import { Section } from "../../view/section";
import { useStudio } from "../../view/shared-parts";
import { umOf, useTyped } from "../../view/typed";
import { whomSaid } from "../../view/words";
import { SaidLine } from "./figure";
import { useStrong } from "./strong";
import { sameWhom } from "./who";

export function Drawn({ model }: { model: Model }) {
  const studio = useStudio();
  const shown = useSignal<{ tool: Taken["tool"]; stretches: readonly SectionStretch[] } | null>(null);
  const taken = tools.taken.value;
  // The line is shown on the pattern as long as this page speaks of it.
  useEffect(
    () => () => {
      tools.taken.value = null;
    },
    [],
  );
  useEffect(() => {
    if (!taken) {
      shown.value = null;
      return;
    }
    void studio.section(taken.line.map(({ x, y }) => [x, y])).then((stretches) => {
      shown.value = { tool: taken.tool, stretches };
    });
  }, [taken, model.revision]);
  return (
    <Section title="Drawn over the pattern">
      <div class="row">
        <button type="button" class="button grow" onClick={() => tools.take("climb")}>
          Draw a climb
        </button>
        <button type="button" class="button grow" onClick={() => tools.take("section")}>
          Draw a section
        </button>
      </div>
      {shown.value?.tool === "climb" && (
        <Climb
          key={String(shown.value.stretches.map(({ area }) => area))}
          model={model}
          row={rowOf(model, shown.value.stretches)}
        />
      )}
      {shown.value?.tool === "section" && <Profile model={model} stretches={shown.value.stretches} />}
    </Section>
  );
}

function pieceOf(model: Model, stretch: SectionStretch): Piece | undefined {
  const number = model.areas.get(stretch.area)?.number ?? null;
  return number === null ? undefined : model.pieces.get(number);
}

/** The pieces under the line, each once, in the order in which it meets them. */
function rowOf(model: Model, stretches: readonly SectionStretch[]): readonly Piece[] {
  const row = new Set<Piece>();
  for (const stretch of stretches) {
    const piece = pieceOf(model, stretch);
    if (piece) row.add(piece);
  }
  return [...row];
}

/** The parts of the row, each once, pieces of no part as they are; null where that leaves fewer than two, or no part. */
function partsOver(row: readonly Piece[]): readonly Whom[] | null {
  const found: Whom[] = [];
  for (const { part, number } of row) {
    const whom: Whom = part === null ? { piece: number } : { part };
    if (!found.some((other) => sameWhom(other, whom))) found.push(whom);
  }
  return found.length > 1 && found.some((whom) => typeof whom !== "string" && "part" in whom) ? found : null;
}

function Climb({ model, row }: { model: Model; row: readonly Piece[] }) {
  const studio = useStudio();
  const { unit, stock } = model.setup;
  const from = useTyped(row[0]?.height?.value ?? stock.lowest, unit);
  const to = useTyped(row.at(-1)?.height?.value ?? stock.highest, unit);
  const strong = useStrong();
  const byParts = useSignal(false);
  // The row is lit on the pattern, and stays so when it is said.
  useEffect(() => studio.picking.these(row.map((piece) => piece.area)), []);
  const parts = partsOver(row);
  const whoms: readonly Whom[] =
    byParts.value && parts ? parts : row.map((piece) => ({ piece: piece.number }));
  if (row.length < 2) return <p class="soft small">The line runs over fewer than two pieces.</p>;
  const falls = (umOf(from) ?? 0) > (umOf(to) ?? 0);
  return (
    <>
      <p class="saying">
        {falls ? "Falls" : "Climbs"} over {whoms.map((whom) => briefly(whom, model)).join(", ")}
      </p>
      {parts && (
        <label class="choice">
          <input
            type="checkbox"
            checked={byParts.value}
            onChange={(event) => {
              byParts.value = event.currentTarget.checked;
            }}
          />
          Over whole parts
        </label>
      )}
      <SaidLine
        figures={[
          { word: "From", typed: from },
          { word: "To", typed: to },
        ]}
        strong={strong}
        word="Say so"
        say={async ([start = 0, end = 0], strength) => {
          const says = { climbs: { row: [...whoms], from: start, to: end } };
          if (await studio.edit({ relief: { relate: { says, strength } } })) tools.taken.value = null;
        }}
      />
    </>
  );
}

/** A piece by its number alone. */
function briefly(whom: Whom, model: Model): string {
  return typeof whom !== "string" && "piece" in whom ? String(whom.piece) : whomSaid(whom, model);
}

/** How much of the drawing's width the highest piece takes in height. */
const TALL = 0.45;

function Profile({ model, stretches }: { model: Model; stretches: readonly SectionStretch[] }) {
  const { unit, frame_depth: front } = model.setup;
  const end = Math.max(1, ...stretches.map((stretch) => stretch.to_mm));
  const begin = Math.min(end, ...stretches.map((stretch) => stretch.from_mm));
  const long = Math.max(1, end - begin);
  const known = stretches.flatMap((stretch) => pieceOf(model, stretch)?.height?.value ?? []);
  const top = Math.max(1000, front ?? 0, ...known) / 1000;
  const times = Math.max(1, (TALL * long) / top);
  const size = long / 26;
  const cut = stretches.map((stretch) => ({ stretch, piece: pieceOf(model, stretch) }));
  const words = cut.flatMap(({ piece }) =>
    piece ? [`${piece.number}: ${piece.height ? lengthSaid(piece.height.value, unit) : "undecided"}`] : [],
  );
  return (
    <figure class="profile">
      <svg
        viewBox={`${begin} ${-top * times - 2.4 * size} ${long} ${top * times + 3.1 * size}`}
        role="img"
        aria-label={`Section: ${words.join(", ")}`}
      >
        {front !== null && (
          <path
            d={`M${begin} ${(-front / 1000) * times}H${end}`}
            fill="none"
            stroke="currentColor"
            stroke-width={size / 14}
            stroke-dasharray={`${size / 2} ${size / 3}`}
          />
        )}
        {cut.map(({ stretch, piece }) => (
          <Stretch
            key={stretch.from_mm}
            stretch={stretch}
            piece={piece}
            look={piece === undefined ? null : (model.areas.get(stretch.area)?.look ?? null)}
            scale={{ top, times, size, unit }}
          />
        ))}
        <path class="saw" d={`M${begin} 0H${end}`} />
      </svg>
      <figcaption class="soft small">
        {times > 1.05 ? `Heights drawn ${times.toFixed(1)} times as large. ` : ""}Under each number its height
        {unit === "mm" ? " in mm" : " in inches"}; hatched is undecided
        {front === null ? "" : "; dashes are the frame's front"}.
      </figcaption>
    </figure>
  );
}

interface Cut {
  readonly stretch: SectionStretch;
  readonly piece: Piece | undefined;
  readonly look: string | null;
  readonly scale: {
    readonly top: number;
    readonly times: number;
    readonly size: number;
    readonly unit: Unit;
  };
}

/** How wide a digit is, of the letters' size; and how large heights are written beside numbers. */
const DIGIT = 0.7;
const SMALL = 0.8;

function Stretch({ stretch, piece, look, scale }: Cut) {
  if (!piece) return null;
  const wide = stretch.to_mm - stretch.from_mm;
  const up = ((piece.height?.value ?? 1000 * scale.top) / 1000) * scale.times;
  const lift = ((piece.raiser?.value ?? 0) / 1000) * scale.times;
  const middle = (stretch.from_mm + stretch.to_mm) / 2;
  const fits = (text: string, small = 1) => wide > text.length * DIGIT * small * scale.size;
  const said = piece.height ? lengthBare(piece.height.value, scale.unit) : "";
  const high = said !== "" && fits(said, SMALL) && fits(String(piece.number)) ? said : null;
  return (
    <g>
      <rect
        x={stretch.from_mm}
        y={-up}
        width={wide}
        height={up - lift}
        fill={piece.height ? (look ?? "#b99a6b") : "url(#undecided)"}
        stroke="currentColor"
        stroke-width={scale.size / 20}
      />
      {lift > 0 && (
        <rect
          x={stretch.from_mm}
          y={-lift}
          width={wide}
          height={lift}
          fill="none"
          stroke="currentColor"
          stroke-width={scale.size / 20}
        />
      )}
      {fits(String(piece.number)) && (
        <text
          x={middle}
          y={-up - scale.size * (high ? 1.25 : 0.3)}
          font-size={scale.size}
          text-anchor="middle"
          fill="currentColor"
        >
          {piece.number}
        </text>
      )}
      {high && (
        <text
          x={middle}
          y={-up - scale.size * 0.3}
          font-size={scale.size * SMALL}
          text-anchor="middle"
          fill="currentColor"
          opacity={0.75}
        >
          {high}
        </text>
      )}
    </g>
  );
}
