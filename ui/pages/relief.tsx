// Relief: how high each piece stands, and what stands above what.

import { useSignal } from "@preact/signals";
import { lengthBare, lengthSaid, lengthTyped, rangeSaid } from "../state/length";
import type { Model } from "../state/model";
import type { Depth, Mark, Piece, Relation, Whom } from "../state/wire";
import { Bench } from "../view/bench";
import { Findings } from "../view/findings";
import { Icon } from "../view/icons";
import { Begun, Pieces, pinnedHeight } from "../view/pieces";
import { Collapsible, Section } from "../view/section";
import { NoPattern, useStudio } from "../view/shared-parts";
import { umOf, useTyped } from "../view/typed";
import { pieces, planned, whomSaid } from "../view/words";
import { Alone } from "./relief/alone";
import { Changed } from "./relief/changed";
import { Drawn } from "./relief/drawn";
import { Figure } from "./relief/figure";
import { Above } from "./relief/saying";
import { StepSlider } from "./relief/step";
import { StockAndRange } from "./relief/stock";
import { areasOf, partsOf, sameWhom } from "./relief/who";
import { Whole } from "./relief/whole";

const KINDS = [
  "no_way",
  "unmet",
  "off_stock",
  "unreadable_step",
  "lost_border",
  "out_of_frame",
  "planer_settings",
  "empty_part",
] as const;

export function ReliefPage() {
  const through = useSignal(0);
  const model = useStudio().model.value;
  if (!model) return null;
  if (!model.setup.accepted) return <NoPattern />;
  return (
    <Bench name="Relief" fill="height" through={through} findings={false}>
      <WorkOut model={model} />
      <ForPicked model={model} />
      <Above model={model} />
      <Drawn model={model} />
      <Findings kinds={KINDS} title="Found of the heights" />
      <StockAndRange model={model} />
      <Whole model={model} />
      <MarksSaid model={model} />
      <Relations model={model} />
      <Pieces model={model} about="height" />
    </Bench>
  );
}

function WorkOut({ model }: { model: Model }) {
  const studio = useStudio();
  const busy = studio.acts.runs("work_out_heights");
  const mending = studio.acts.runs("mend_heights");
  const known = [...model.pieces.values()].flatMap((piece) => piece.height?.value ?? []);
  const unit = model.setup.unit;
  const open = model.pieces.size - known.length;
  const range = known.length === 0 ? "" : rangeSaid(Math.min(...known), Math.max(...known), unit);
  return (
    <Section title="Heights" aside={open > 0 ? `${pieces(open)} undecided` : range}>
      <button
        type="button"
        class="button main"
        disabled={busy}
        onClick={() => studio.ask("work_out_heights")}
      >
        <Icon name="relief" /> {busy ? "Working out…" : "Work out heights"}
      </button>
      {known.length > 0 && (
        <button
          type="button"
          class="button"
          disabled={mending}
          title="After a change: keep every height but those that have to move"
          onClick={() => studio.ask("mend_heights")}
        >
          {mending ? "Mending…" : "Mend: move as few as can be"}
        </button>
      )}
      <StepSlider model={model} />
      {model.marks.length === 0 && (
        <p class="soft small">
          Nothing is marked near or far yet, so what no relation says is guessed from the borders: of two
          pieces that touch, the one whose outline runs on where the other's stops seems to lie in front.
          First mark what is nearest and what is farthest, a few pieces or whole parts; then work the heights
          out.
        </p>
      )}
      <p class="soft small">
        Light is near the eye, dark lies deep, hatched is undecided. Heights are tops above the backer; pinned
        ones stay.
      </p>
    </Section>
  );
}

const DEPTHS: readonly (readonly [Depth, string])[] = [
  ["far", "Far"],
  ["middle", "Middle"],
  ["near", "Near"],
];

function ForPicked({ model }: { model: Model }) {
  const { picking } = useStudio();
  const list = picking.pieces.value;
  const one = list.length === 1 ? list[0] : undefined;
  return (
    <Section
      title="Picked"
      aside={list.length === 0 ? "nothing yet" : one ? `piece ${one.number}` : pieces(list.length)}
    >
      {list.length === 0 ? (
        <p class="soft small">Pick pieces to pin their height, or to mark them near or far.</p>
      ) : (
        <>
          <Begun pieces={list} stays="the height stays as it is" />
          <Height key={list.map((piece) => piece.number).join()} model={model} list={list} />
          {one && (
            <Built
              key={`built ${one.number} ${one.thickness?.value} ${one.raiser?.value}`}
              model={model}
              piece={one}
            />
          )}
          <Marks model={model} list={list} />
          {one && <Alone key={`alone ${one.number}`} model={model} piece={one} />}
        </>
      )}
    </Section>
  );
}

function Height({ model, list }: { model: Model; list: readonly Piece[] }) {
  const studio = useStudio();
  const unit = model.setup.unit;
  const free = list.filter(open);
  const first = list[0]?.height?.value;
  const same = first !== undefined && list.every((piece) => piece.height?.value === first);
  const text = useSignal<string | null>(null);
  const typed = text.value ?? (same ? lengthBare(first, unit) : "");
  const height = lengthTyped(typed, unit);
  const pin = async (event: Event) => {
    event.preventDefault();
    if (height === null) return;
    await studio.edit(...free.map((piece) => pinnedHeight(piece, height)));
    text.value = null;
  };
  return (
    <form class="row end" onSubmit={pin}>
      <label class="field grow">
        <span>Height in {unit === "mm" ? "mm" : "inches"}</span>
        <input
          value={typed}
          disabled={free.length === 0}
          inputMode={unit === "mm" ? "decimal" : "text"}
          placeholder={first === undefined ? "undecided" : "differ"}
          onInput={(event) => {
            text.value = event.currentTarget.value;
          }}
        />
      </label>
      <button type="submit" class="button" disabled={height === null || free.length === 0}>
        <Icon name="pin" /> Pin
      </button>
      <button
        type="button"
        class="button"
        disabled={free.every((piece) => piece.height === null)}
        onClick={() => studio.edit(...free.map((piece) => ({ relief: { unpin: { piece: piece.number } } })))}
      >
        Free
      </button>
    </form>
  );
}

/** Whether a piece's height is no fact of the bench yet. */
const open = (piece: Piece) => planned(piece) && piece.height?.by !== "fact";

/** Fixes thickness and raiser: a piece from which the others are said. */
function Built({ model, piece }: { model: Model; piece: Piece }) {
  const studio = useStudio();
  const { unit } = model.setup;
  const thick = useTyped(piece.thickness?.value ?? null, unit);
  const lift = useTyped(piece.raiser?.value ?? 0, unit);
  const [thickness, raiser] = [umOf(thick), umOf(lift)];
  const whom = { piece: piece.number };
  const fix = async (event: Event) => {
    event.preventDefault();
    if (thickness === null || raiser === null) return;
    await studio.edit({ relief: { build: { whom, thickness, raiser } } });
    thick.text.value = null;
    lift.text.value = null;
  };
  return (
    <form class="row end" onSubmit={fix}>
      <Figure word="Thickness" typed={thick} hint="undecided" />
      <Figure word="Raiser" typed={lift} />
      <button type="submit" class="button" disabled={thickness === null || raiser === null || !open(piece)}>
        Fix thickness
      </button>
    </form>
  );
}

function Marks({ model, list }: { model: Model; list: readonly Piece[] }) {
  const studio = useStudio();
  const whole = useSignal<number | null>(null);
  const parts = [...new Set(list.flatMap((piece) => partsOf(piece, model)))];
  const part = parts.find((one) => one === whole.value);
  const whoms: readonly Whom[] =
    part !== undefined ? [{ part }] : list.map((piece) => ({ piece: piece.number }));
  const above = part === undefined && list.length === 1 ? markedBy(model, list[0]) : null;
  const depths = new Set(whoms.map((whom) => markOf(model, whom)));
  const depth = depths.size === 1 ? ([...depths][0] ?? null) : null;
  const mark = (next: Depth) =>
    studio.edit(
      ...whoms.map((whom) => ({
        relief: depth === next ? { unmark: whom } : { mark: { whom, depth: next } },
      })),
    );
  return (
    <fieldset class="stack">
      <legend class="legend">In the picture it is</legend>
      <div class="row even">
        {DEPTHS.map(([key, word]) => (
          <button
            key={key}
            type="button"
            class="button grow"
            aria-pressed={depth === key}
            onClick={() => mark(key)}
          >
            {word}
          </button>
        ))}
      </div>
      {parts.length > 0 && (
        <select
          class="input"
          aria-label="Who is marked"
          value={part ?? ""}
          onChange={(event) => {
            const chosen = event.currentTarget.value;
            whole.value = chosen === "" ? null : Number(chosen);
          }}
        >
          <option value="">{list.length === 1 ? "this piece alone" : `${pieces(list.length)}, each`}</option>
          {parts.map((one) => (
            <option key={one} value={one}>
              the whole part {whomSaid({ part: one }, model)}
            </option>
          ))}
        </select>
      )}
      {above && (
        <p class="soft small">
          It counts as {above.depth}, as {whomSaid(above.whom, model)} is marked.
        </p>
      )}
    </fieldset>
  );
}

function markOf(model: Model, whom: Whom): Depth | null {
  return model.marks.find((mark) => JSON.stringify(mark.whom) === JSON.stringify(whom))?.depth ?? null;
}

/** The mark that a piece has from the innermost marked part around it, if it has none of its own. */
function markedBy(model: Model, piece: Piece | undefined): Mark | null {
  if (!piece || markOf(model, { piece: piece.number }) !== null) return null;
  const marks = partsOf(piece, model).flatMap(
    (part) => model.marks.find((mark) => sameWhom(mark.whom, { part })) ?? [],
  );
  return marks[0] ?? null;
}

function MarksSaid({ model }: { model: Model }) {
  const studio = useStudio();
  if (model.marks.length === 0) return null;
  return (
    <Collapsible title="Marked" aside={`${model.marks.length}`} folded>
      <ul class="list">
        {model.marks.map((mark) => (
          <li key={JSON.stringify(mark.whom)} class="list-row">
            <p class="grow said">
              {whomSaid(mark.whom, model)}: {mark.depth}
            </p>
            <button
              type="button"
              class="button quiet"
              aria-label={`Take the mark back: ${whomSaid(mark.whom, model)}`}
              onClick={() => studio.edit({ relief: { unmark: mark.whom } })}
            >
              <Icon name="bin" />
            </button>
          </li>
        ))}
      </ul>
    </Collapsible>
  );
}

function Relations({ model }: { model: Model }) {
  const list = model.relations;
  return (
    <Collapsible title="What was said" aside={list.length === 0 ? "nothing yet" : `${list.length}`}>
      {list.length === 0 && (
        <p class="soft small">Say what stands above what; the heights are worked out from it.</p>
      )}
      <ul class="list">
        {list.map((relation) => (
          <li key={relation.id}>
            <RelationRow relation={relation} />
          </li>
        ))}
      </ul>
    </Collapsible>
  );
}

function RelationRow({ relation }: { relation: Relation }) {
  const studio = useStudio();
  const model = studio.model.value;
  const unit = model?.setup.unit ?? "mm";
  const broken = model?.findings?.some((finding) => finding.relations.includes(relation.id));
  const changing = useSignal(false);
  if (changing.value)
    return (
      <Changed
        relation={relation}
        unit={unit}
        done={() => {
          changing.value = false;
        }}
      />
    );
  return (
    <div class="list-row">
      <button
        type="button"
        class="grow said of-pieces"
        title="Light its pieces on the pattern"
        onClick={() => studio.picking.these(model ? areasOf(relation.says, model) : [])}
      >
        {broken && <Icon name="warn" />}
        <span>
          {relation.words}
          {relation.strength === "must" && <span class="soft small"> must</span>}
          {relation.missed !== null && (
            <span class="soft small">, given up by {lengthSaid(relation.missed, unit)}</span>
          )}
          {relation.uneven !== null && (
            <span class="soft small">
              , not in even steps: piece {relation.uneven[0]} stands at {lengthSaid(relation.uneven[1], unit)}
              , evenly it would be {lengthSaid(relation.uneven[2], unit)}
            </span>
          )}
        </span>
      </button>
      <button
        type="button"
        class="button quiet"
        aria-label={`Change: ${relation.words}`}
        onClick={() => {
          changing.value = true;
        }}
      >
        Change
      </button>
      <button
        type="button"
        class="button quiet"
        aria-label={`Take back: ${relation.words}`}
        title="Take this back"
        onClick={() => studio.edit({ relief: { unrelate: relation.id } })}
      >
        <Icon name="bin" />
      </button>
    </div>
  );
}
