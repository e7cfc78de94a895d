// A board of the rack: its price, what is cut off it, and places on it that are kept off or kept for what is pinned there.

import { useSignal } from "@preact/signals";
import { zoneSaid } from "../../state/colour";
import { lengthSaid, lengthTyped } from "../../state/length";
import { around, type Marking } from "../../state/marking";
import type { Model } from "../../state/model";
import type { BoardSeen, StockEdit, Unit } from "../../state/wire";
import { useHeld } from "../../view/held";
import { Icon } from "../../view/icons";
import { Collapsible } from "../../view/section";
import { useStudio } from "../../view/shared-parts";

const UM = 1000;
/** A price is stored in hundredths. */
const HUNDREDTHS = 100;
const DEAREST = 1_000_000;

export function Rack({ model, marking }: { model: Model; marking: Marking }) {
  const board = model.boards.find((one) => one.id === marking.board.value);
  return (
    <Collapsible title="A board of the rack" aside={board?.name ?? "none chosen"} folded>
      <label class="field">
        <span>Board</span>
        <select
          value={marking.board.value ?? ""}
          onChange={(event) => {
            const { value } = event.currentTarget;
            marking.board.value = value === "" ? null : Number(value);
          }}
        >
          <option value="">choose</option>
          {model.boards.map((one) => (
            <option key={one.id} value={one.id}>
              {one.id}. {one.name}
            </option>
          ))}
        </select>
      </label>
      {board && (
        <div class="stack" key={board.id}>
          <Price board={board} />
          <Planned board={board} unit={model.setup.unit} />
          <Sawn
            word="Cut it in two, so far from its left end"
            act="Cut in two"
            unit={model.setup.unit}
            edit={(at) => ({ crosscut: { board: board.id, at } })}
          />
          <Sawn
            word="Resaw it: so thick, and the rest a board of its own"
            act="Resaw"
            unit={model.setup.unit}
            edit={(to) => ({ resaw: { board: board.id, to } })}
          />
          <Mark board={board} unit={model.setup.unit} marking={marking} />
          <Places board={board} unit={model.setup.unit} />
        </div>
      )}
    </Collapsible>
  );
}

function Price({ board }: { board: BoardSeen }) {
  const studio = useStudio();
  const shown = board.price === null ? "" : (board.price / HUNDREDTHS).toFixed(2);
  const held = useHeld(shown, (typed) => {
    const text = typed.trim().replace(",", ".");
    const price = Number(text);
    if (text !== "" && !(price >= 0 && price <= DEAREST))
      return studio.tell(`A price is a figure from 0 to ${DEAREST}, as in 12.50.`);
    return studio.edit({
      stock: { price: { board: board.id, price: text === "" ? null : Math.round(price * HUNDREDTHS) } },
    });
  });
  return (
    <label class="field">
      <span>What it cost, in the money of your prices; empty for not known</span>
      <input inputMode="decimal" {...held} />
    </label>
  );
}

/** The cuts that its layout asks for, each to be made as it was sawn. */
function Planned({ board, unit }: { board: BoardSeen; unit: Unit }) {
  const studio = useStudio();
  return (
    <>
      {board.parts.slice(1).map(({ from }) => (
        <button
          key={from}
          type="button"
          class="button"
          onClick={() => studio.edit({ stock: { crosscut: { board: board.id, at: from } } })}
        >
          Cut in two at {lengthSaid(from, unit)}, as it is laid out
        </button>
      ))}
    </>
  );
}

/** A length at which a board is sawn in two. */
function Sawn({
  word,
  act,
  unit,
  edit,
}: {
  word: string;
  act: string;
  unit: Unit;
  edit: (length: number) => StockEdit;
}) {
  const studio = useStudio();
  const text = useSignal("");
  const length = lengthTyped(text.value, unit);
  return (
    <form
      class="row end"
      onSubmit={(event) => {
        event.preventDefault();
        if (length !== null) void studio.edit({ stock: edit(length) });
      }}
    >
      <Length word={word} unit={unit} text={text} />
      <button type="submit" class="button" disabled={length === null}>
        {act}
      </button>
    </form>
  );
}

const SIDES = ["From the left", "From the top", "Long", "Wide"] as const;

function Mark({ board, unit, marking }: { board: BoardSeen; unit: Unit; marking: Marking }) {
  const studio = useStudio();
  const what = useSignal<"fault" | "zone" | "kept">("fault");
  const name = useSignal("");
  const marked = marking.marked.value;
  const whole = marked !== null && (what.value === "fault" || name.value.trim() !== "");
  const put = async () => {
    if (!marked || !whole) return;
    const ring = around(board, marked);
    const keep = what.value === "kept";
    const done = await studio.edit({
      stock:
        what.value === "fault"
          ? { fault: { board: board.id, around: ring } }
          : { zone: { board: board.id, name: name.value.trim(), around: ring, keep } },
    });
    if (done) marking.clear();
  };
  return (
    <form
      class="stack"
      aria-label="A place on it"
      onSubmit={(event) => {
        event.preventDefault();
        void put();
      }}
    >
      <label class="field">
        <span>A place on it is</span>
        <select
          value={what.value}
          onChange={(event) => {
            what.value = event.currentTarget.value as "fault" | "zone" | "kept";
          }}
        >
          <option value="fault">a fault: nothing is laid there</option>
          <option value="zone">a zone of its own colour: no piece lies across its edge</option>
          <option value="kept">a zone that is kept for pieces pinned there</option>
        </select>
      </label>
      {what.value !== "fault" && (
        <label class="field">
          <span>Its name, such as sapwood</span>
          <input
            value={name.value}
            maxLength={80}
            onInput={(event) => {
              name.value = event.currentTarget.value;
            }}
          />
        </label>
      )}
      <div class="row">
        {SIDES.slice(0, 2).map((word, at) => (
          <Length key={word} word={word} unit={unit} text={marking.typed[at] ?? marking.typed[0]} />
        ))}
      </div>
      <div class="row end">
        {SIDES.slice(2).map((word, at) => (
          <Length key={word} word={word} unit={unit} text={marking.typed[at + 2] ?? marking.typed[2]} />
        ))}
      </div>
      <p class="row">
        <button
          type="button"
          class="button grow"
          aria-pressed={marking.drags.value}
          onClick={() => {
            marking.drags.value = !marking.drags.value;
          }}
        >
          Drag it on the board
        </button>
        <button type="submit" class="button grow" disabled={!whole}>
          <Icon name="plus" /> Mark it
        </button>
      </p>
    </form>
  );
}

/** What is marked on a board already. */
function Places({ board, unit }: { board: BoardSeen; unit: Unit }) {
  const studio = useStudio();
  const faults = board.faults.map((box, at) => ({
    name: "Fault",
    box,
    edit: { unfault: { board: board.id, fault: at } },
  }));
  const zones = board.zones.map((zone, at) => ({
    name: zone.keep ? `${zoneSaid(zone.name).name}, kept` : zoneSaid(zone.name).name,
    box: zone.box_mm,
    edit: { unzone: { board: board.id, zone: at } },
  }));
  return (
    <ul class="list">
      {[...faults, ...zones].map(({ name, box, edit }, at) => {
        const said = (mm: number) => lengthSaid(Math.round(mm * UM), unit);
        const [left, top, width, height] = box;
        const where = `${said(left - board.box_mm[0])} from the left, ${said(top - board.box_mm[1])} from the top`;
        return (
          <li key={`${at} ${name} ${box.join(" ")}`} class="told">
            <span class="grow">
              {name}
              <br />
              <span class="soft small">
                {said(width)} × {said(height)}, {where}
              </span>
            </span>
            <button
              type="button"
              class="button quiet"
              aria-label={`Take back: ${name}, ${where}`}
              onClick={() => studio.edit({ stock: edit })}
            >
              <Icon name="bin" />
            </button>
          </li>
        );
      })}
    </ul>
  );
}

function Length({ word, unit, text }: { word: string; unit: Unit; text: { value: string } }) {
  const wrong = text.value.trim() !== "" && lengthTyped(text.value, unit) === null;
  return (
    <label class="field grow">
      <span>
        {word}, {unit === "mm" ? "mm" : "inches"}
      </span>
      <input
        inputMode={unit === "mm" ? "decimal" : "text"}
        value={text.value}
        aria-invalid={wrong}
        onInput={(event) => {
          text.value = event.currentTarget.value;
        }}
      />
    </label>
  );
}
