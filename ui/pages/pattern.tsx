// Pattern: how many pieces, what is picked, parts, findings.

import { useSignal } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import { BEGUN, benchSaid, piecesIn } from "../state/benching";
import { areaSaid, lengthSaid } from "../state/length";
import type { Model } from "../state/model";
import type { Part, Piece, Unit } from "../state/wire";
import { ACTIONS, hindered, naming } from "../view/actions";
import { AtBench, StateMark } from "../view/at-bench";
import { Bench } from "../view/bench";
import { Findings } from "../view/findings";
import { Icon } from "../view/icons";
import { NumberField } from "../view/number-field";
import { BladeAsked } from "../view/sawn";
import { Collapsible, Section } from "../view/section";
import { useStudio } from "../view/shared";
import { PartVariants } from "../view/variants";
import { begunSaid, partOf, pieces, planned, woodName } from "../view/words";
import { LooseLines } from "./pattern/lines";
import { OnPaper } from "./pattern/paper";

export function PatternPage() {
  const through = useSignal(0);
  const model = useStudio().model.value;
  if (!model) return null;
  return (
    <Bench name="Pattern" fill="picture" through={through} findings begun more="lines">
      {model.setup.picture || !model.setup.accepted ? (
        <HowMany model={model} />
      ) : model.setup.trace.paper ? (
        <OnPaper model={model} />
      ) : (
        <p class="soft small">This pattern is your own drawing: change it with the line tools.</p>
      )}
      {model.setup.accepted && <PickedSection model={model} />}
      {(model.setup.picture || model.setup.trace.paper) && (
        <Section title={model.setup.picture ? "Picture underneath" : "Drawing underneath"}>
          <label class="field">
            <span>Strength</span>
            <input
              type="range"
              min="0"
              max="100"
              value={through.value * 100}
              onInput={(event) => {
                through.value = Number(event.currentTarget.value) / 100;
              }}
            />
          </label>
        </Section>
      )}
      {model.setup.accepted && <LooseLines model={model} />}
      {model.setup.accepted && <Findings />}
      {model.setup.accepted && <Parts model={model} />}
      {model.setup.accepted && <Done model={model} />}
    </Bench>
  );
}

const FEWEST = 20;
const MOST = 800;
/** A draft with less than this share of the pieces asked for is told so. */
const FEWER = 0.8;

function HowMany({ model }: { model: Model }) {
  const studio = useStudio();
  const wanted = studio.wanted.value ?? model.setup.trace.pieces;
  const draft = studio.draft.value;
  const tracing = studio.acts.runs("trace");
  const accepted = model.setup.accepted;
  const sawn = [...model.pieces.values()].length;
  const staying = [...model.areas.values()].filter((area) => area.stays !== null).length;
  return (
    <Section
      title="How many pieces?"
      aside={
        studio.drawing.value ? "" : draft ? `draft: ${pieces(draft.pieces)}` : accepted ? pieces(sawn) : ""
      }
    >
      <div class="line-row">
        <label class="field grow">
          <span class="unseen">About how many pieces</span>
          <input
            type="range"
            min={FEWEST}
            max={MOST}
            step="5"
            value={wanted}
            aria-valuetext={`about ${wanted} pieces`}
            disabled={tracing}
            onInput={(event) => void studio.wish(Number(event.currentTarget.value))}
          />
        </label>
        <div class="width">
          <NumberField
            word="As a number"
            value={wanted}
            within={[FEWEST, MOST]}
            whole
            off={tracing}
            take={(pieces) => void studio.wish(pieces)}
          />
        </div>
      </div>
      {studio.wanted.value === null ? (
        <>
          {!accepted && (
            <button type="button" class="button main" onClick={() => void studio.wish(wanted)}>
              <Icon name="pattern" /> Draw it
            </button>
          )}
          <p class="soft small">
            {accepted
              ? "Slide to try another drawing. The pattern stays until you accept it."
              : "Slide for more pieces or fewer."}
          </p>
        </>
      ) : (
        <>
          <p class="row">
            <button
              type="button"
              class="button main grow"
              disabled={tracing || !draft || studio.drawing.value}
              onClick={() => studio.accept()}
            >
              <Icon name="check" />{" "}
              {draft && !studio.drawing.value ? `Accept about ${pieces(draft.pieces)}` : "Drawing it…"}
            </button>
            {accepted && (
              <button type="button" class="button" disabled={tracing} onClick={() => studio.unwish()}>
                Leave it
              </button>
            )}
          </p>
          {draft && !studio.drawing.value && draft.pieces < FEWER * wanted && (
            <p class="soft small">
              You asked for {wanted}: the picture, at this size and sawn from this stock, gives no more.
            </p>
          )}
          {accepted && staying > 0 && (
            <p class="soft small">
              {staying === 1 ? "One place stays" : `${staying} places stay`} as{" "}
              {staying === 1 ? "it lies" : "they lie"}: what you drew, held or settled.
            </p>
          )}
          <p class="soft small">
            {accepted
              ? "This draws the pattern anew; undo brings the present one back."
              : "Pieces get their numbers when you accept."}
          </p>
        </>
      )}
    </Section>
  );
}

function PickedSection({ model }: { model: Model }) {
  const { picking } = useStudio();
  const areas = picking.areas.value;
  return (
    <Section title="Picked" aside={areas.length === 0 ? "nothing yet" : `${areas.length}`}>
      {areas.length === 0 ? (
        <p class="soft small">Click a piece, draw a loop, or pick by wood, part or finding.</p>
      ) : (
        <Summary model={model} />
      )}
      <Actions />
      {picking.pieces.value.length > 0 && (
        <PickedAtBench list={picking.pieces.value} unit={model.setup.unit} />
      )}
      <PickBy model={model} />
      {picking.pieces.value.length > 0 && <NamePart />}
    </Section>
  );
}

/** What is done of the picked pieces. */
function PickedAtBench({ list, unit }: { list: readonly Piece[]; unit: Unit }) {
  return (
    <div class="stack">
      <p class="soft small">At the bench: {benchSaid(list) ?? "not begun"}</p>
      <AtBench key={list.map((piece) => piece.number).join(" ")} list={list} unit={unit} />
    </div>
  );
}

function Summary({ model }: { model: Model }) {
  const picked = useStudio().picking;
  const list = picked.pieces.value;
  const one = list.length === 1 ? list[0] : undefined;
  const unit = model.setup.unit;
  if (one) {
    return (
      <>
        <p>
          <strong>Piece {one.number}</strong>, {!planned(one) && <strong>{one.state}, </strong>}
          {areaSaid(one.area_mm2, unit)}, widest {lengthSaid(one.widest, unit)},{" "}
          {woodName(one.wood?.value ?? null, model)}
          {one.part === null ? "" : `, in ${partOf(one, model)}`}
          {picked.areas.value.some((area) => area.stays === "drawn") && "; held as it lies"}
        </p>
        <BladeAsked model={model} piece={one.number} />
      </>
    );
  }
  if (list.length === 0)
    return (
      <p>
        {picked.areas.value[0]?.becomes === "shadow" ? "Shadow: the backer shows" : "Ground: nothing is sawn"}
      </p>
    );
  const begun = begunSaid(list);
  const area = list.reduce((sum, piece) => sum + piece.area_mm2, 0);
  return (
    <p>
      {pieces(list.length)}, {areaSaid(area, unit)} together
      {begun !== null && <span class="soft small block">{begun} already.</span>}
    </p>
  );
}

function Actions() {
  const studio = useStudio();
  const picked = studio.picking.areas.value;
  return (
    <div class="pair">
      {ACTIONS.map((action) => {
        const missing = hindered(action, studio);
        return (
          <button
            key={action.key}
            type="button"
            class="button"
            disabled={missing !== null || studio.draft.value !== null}
            title={missing ?? `${action.word} (${action.key.toUpperCase()})`}
            onClick={() => studio.edit(...action.edits(picked))}
          >
            <Icon name={action.icon} /> {action.word}
          </button>
        );
      })}
    </div>
  );
}

function PickBy({ model }: { model: Model }) {
  const { picking } = useStudio();
  const used = new Set([...model.pieces.values()].flatMap((piece) => (piece.wood ? [piece.wood.value] : [])));
  const choose = (value: string) => {
    const [kind, key] = [value.slice(0, 1), value.slice(1)];
    const all = [...model.pieces.values()];
    const part = model.parts.find((each) => kind === "p" && each.id === Number(key));
    const chosen = part
      ? piecesIn(part, model)
      : all.filter((piece) => (kind === "w" ? (piece.wood?.value ?? "") : piece.state) === key);
    picking.these(chosen.map((piece) => piece.area));
  };
  return (
    <label class="field">
      <span>Pick by wood, part or what is done</span>
      <select
        value=""
        onChange={(event) => {
          choose(event.currentTarget.value);
          event.currentTarget.value = "";
        }}
      >
        <option value="">Choose…</option>
        <optgroup label="Parts">
          {model.parts.map((part) => (
            <option key={part.id} value={`p${part.id}`}>
              {part.name}
            </option>
          ))}
        </optgroup>
        <optgroup label="At the bench">
          <option value="splanned">not begun</option>
          {BEGUN.map((state) => (
            <option key={state} value={`s${state}`}>
              {state}
            </option>
          ))}
        </optgroup>
        <optgroup label="Woods">
          <option value="w">wood undecided</option>
          {model.woods
            .filter((wood) => used.has(wood.key))
            .map((wood) => (
              <option key={wood.key} value={`w${wood.key}`}>
                {wood.name}
              </option>
            ))}
        </optgroup>
      </select>
    </label>
  );
}

function NamePart() {
  const studio = useStudio();
  const name = useSignal("");
  const field = useRef<HTMLInputElement>(null);
  useEffect(() => {
    if (naming.value > 0) field.current?.focus();
  }, [naming.value]);
  const give = async (event: Event) => {
    event.preventDefault();
    const numbers = studio.picking.pieces.value.map((piece) => piece.number).sort((a, b) => a - b);
    if (name.value.trim() === "") return;
    if (await studio.edit({ part: { name: { name: name.value.trim(), pieces: numbers, within: null } } }))
      name.value = "";
  };
  return (
    <form class="row" onSubmit={give}>
      <input
        ref={field}
        class="input grow"
        aria-label="Name of the part"
        placeholder="near wing, reeds…"
        value={name.value}
        onInput={(event) => {
          name.value = event.currentTarget.value;
        }}
      />
      <button type="submit" class="button" disabled={name.value.trim() === ""}>
        <Icon name="tag" /> Name as part
      </button>
    </form>
  );
}

function Parts({ model }: { model: Model }) {
  return (
    <Collapsible title="Parts" aside={model.parts.length === 0 ? "none named" : `${model.parts.length}`}>
      {model.parts.length === 0 && (
        <p class="soft small">
          Pick pieces and name them as you speak of them. Woods and heights can then be given to a part.
        </p>
      )}
      <ul class="list">
        {model.parts.map((part) => (
          <li key={part.id}>
            <PartRow part={part} model={model} />
            <PartAtBench part={part} model={model} />
            <PartVariants part={part} />
          </li>
        ))}
      </ul>
    </Collapsible>
  );
}

/** How far a part is, with the parts within it. */
function PartAtBench({ part, model }: { part: Part; model: Model }) {
  const open = useSignal(false);
  const list = piecesIn(part, model);
  if (list.length === 0) return null;
  return (
    <details
      class="under"
      onToggle={(event) => {
        open.value = event.currentTarget.open;
      }}
    >
      <summary class="soft small">At the bench: {benchSaid(list) ?? "not begun"}</summary>
      {open.value && <AtBench list={list} unit={model.setup.unit} />}
    </details>
  );
}

/** What of all is done, and by which marks it shows. */
function Done({ model }: { model: Model }) {
  const all = [...model.pieces.values()];
  const said = benchSaid(all);
  if (said === null) return null;
  return (
    <Section title="At the bench" aside={said}>
      <ul class="row legend-marks">
        {BEGUN.map((state) => (
          <li key={state}>
            <StateMark state={state} /> {state}
          </li>
        ))}
      </ul>
    </Section>
  );
}

function PartRow({ part, model }: { part: Part; model: Model }) {
  const studio = useStudio();
  const list = piecesIn(part, model);
  const pick = () => studio.picking.these(list.map((piece) => piece.area));
  const picked = studio.picking.pieces.value
    .filter((piece) => piece.part !== part.id)
    .map((piece) => piece.number);
  return (
    <div class="list-row">
      <button type="button" class="button quiet grow start-aligned" onClick={pick}>
        {part.name} <span class="soft small">{pieces(list.length)}</span>
      </button>
      {picked.length > 0 && (
        <button
          type="button"
          class="button quiet"
          title={`Bring the picked pieces into ${part.name}`}
          aria-label={`Bring the picked pieces into ${part.name}`}
          onClick={() =>
            studio.edit({ part: { bring: { part: part.id, pieces: picked.sort((a, b) => a - b) } } })
          }
        >
          <Icon name="plus" />
        </button>
      )}
      <button
        type="button"
        class="button quiet"
        title={`Give up the name ${part.name}; the pieces stay`}
        aria-label={`Give up the name ${part.name}; the pieces stay`}
        onClick={() => studio.edit({ part: { disband: part.id } })}
      >
        <Icon name="bin" />
      </button>
    </div>
  );
}
