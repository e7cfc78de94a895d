// Relief: how high each piece stands, and what stands above what.

import { useSignal } from "@preact/signals";
import { lengthBare, lengthSaid, lengthTyped } from "../state/length";
import type { Model } from "../state/model";
import type { Depth, Edit, Piece, Relation, Whom } from "../state/wire";
import { Bench } from "../view/bench";
import { Findings } from "../view/findings";
import { Icon } from "../view/icons";
import { Pieces, pinnedHeight } from "../view/pieces";
import { Collapsible, Section } from "../view/section";
import { NoPattern, useStudio } from "../view/shared-parts";
import { pieces, whomSaid } from "../view/words";
import { Drawn } from "./relief/drawn";
import { Above } from "./relief/saying";
import { StepSlider } from "./relief/step";
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
      <Findings kinds={KINDS} title="What cannot hold" />
      <Whole model={model} />
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
  const range =
    known.length === 0
      ? ""
      : `${lengthBare(Math.min(...known), unit)} to ${lengthSaid(Math.max(...known), unit)}`;
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
          <Height key={list.map((piece) => piece.number).join()} model={model} list={list} />
          <Marks model={model} list={list} />
        </>
      )}
    </Section>
  );
}

function Height({ model, list }: { model: Model; list: readonly Piece[] }) {
  const studio = useStudio();
  const unit = model.setup.unit;
  const first = list[0]?.height?.value;
  const same = first !== undefined && list.every((piece) => piece.height?.value === first);
  const text = useSignal<string | null>(null);
  const typed = text.value ?? (same ? lengthBare(first, unit) : "");
  const height = lengthTyped(typed, unit);
  const pin = async (event: Event) => {
    event.preventDefault();
    if (height === null) return;
    if (await studio.edit(...list.map((piece) => pinnedHeight(piece, height)))) text.value = null;
  };
  return (
    <form class="row end" onSubmit={pin}>
      <label class="field grow">
        <span>Height in {unit === "mm" ? "mm" : "inches"}</span>
        <input
          value={typed}
          inputMode={unit === "mm" ? "decimal" : "text"}
          placeholder={first === undefined ? "undecided" : "differ"}
          onInput={(event) => {
            text.value = event.currentTarget.value;
          }}
        />
      </label>
      <button type="submit" class="button" disabled={height === null}>
        <Icon name="pin" /> Pin
      </button>
      <button
        type="button"
        class="button"
        onClick={() => studio.edit(...list.map((piece) => ({ relief: { unpin: { piece: piece.number } } })))}
      >
        Free
      </button>
      <button
        type="button"
        class="button"
        disabled={height === null}
        title="Fixes the thickness, without a raiser: a piece from which the others are said"
        onClick={() => height !== null && studio.edit(...list.map((piece) => thickness(piece, height)))}
      >
        Fix as thickness
      </button>
    </form>
  );
}

function thickness(piece: Piece, thickness: number): Edit {
  return { relief: { build: { whom: { piece: piece.number }, thickness, raiser: 0 } } };
}

function Marks({ model, list }: { model: Model; list: readonly Piece[] }) {
  const studio = useStudio();
  const whole = useSignal(false);
  const parts = new Set(list.flatMap((piece) => piece.part ?? []));
  const whoms: readonly Whom[] =
    whole.value && parts.size > 0
      ? [...parts].map((part) => ({ part }))
      : list.map((piece) => ({ piece: piece.number }));
  const depths = new Set(whoms.map((whom) => markOf(model, whom)));
  const depth = depths.size === 1 ? ([...depths][0] ?? null) : null;
  const mark = (next: Depth) =>
    studio.edit(
      ...whoms.map((whom) => ({
        relief: depth === next ? { unmark: whom } : { mark: { whom, depth: next } },
      })),
    );
  return (
    <fieldset class="row">
      <legend class="legend">In the picture it is</legend>
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
      {parts.size > 0 && (
        <label class="choice">
          <input
            type="checkbox"
            checked={whole.value}
            onChange={(event) => {
              whole.value = event.currentTarget.checked;
            }}
          />
          Mark the whole part: {[...parts].map((part) => whomSaid({ part }, model)).join(", ")}
        </label>
      )}
    </fieldset>
  );
}

function markOf(model: Model, whom: Whom): Depth | null {
  return model.marks.find((mark) => JSON.stringify(mark.whom) === JSON.stringify(whom))?.depth ?? null;
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
  const unit = studio.model.value?.setup.unit ?? "mm";
  const broken = studio.model.value?.findings?.some((finding) => finding.relations.includes(relation.id));
  return (
    <div class="list-row">
      <p class="grow said">
        {broken && <Icon name="warn" />}
        {relation.words}
        <span class="soft small"> {relation.strength === "must" ? "must" : "wish"}</span>
        {relation.missed !== null && (
          <span class="soft small">, given up by {lengthSaid(relation.missed, unit)}</span>
        )}
        {relation.uneven !== null && (
          <span class="soft small">
            , not in even steps: piece {relation.uneven[0]} stands at {lengthSaid(relation.uneven[1], unit)},
            evenly it would be {lengthSaid(relation.uneven[2], unit)}
          </span>
        )}
      </p>
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
