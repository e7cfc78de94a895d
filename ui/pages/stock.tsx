// Stock: boards, what is cut from them, and what is still to be bought.

import { type Signal, useSignal } from "@preact/signals";
import { useMemo } from "preact/hooks";
import { BoardPhoto } from "../state/board-photo";
import { OF_STOCK } from "../state/findings";
import { lengthSaid, lengthTyped } from "../state/length";
import { Marking } from "../state/marking";
import type { Model } from "../state/model";
import type { Sawn } from "../state/wire";
import { AtBench } from "../view/at-bench";
import { LONGEST, MeasureField, NameField, WoodField, woodsInUseFirst } from "../view/board-fields";
import { Boards, lieOf } from "../view/boards";
import { Findings } from "../view/findings";
import { Icon } from "../view/icons";
import { Panel } from "../view/panel";
import { PHOTOGRAPHS, Photographed } from "../view/photographed";
import { BladeOf, Blades, useSawn } from "../view/sawn";
import { Section } from "../view/section";
import { NoPattern, useStudio } from "../view/shared-parts";
import { pieces, stillToLay, woodName } from "../view/words";
import { Joints } from "./stock/joints";
import { HowLaid, USUAL } from "./stock/laying";
import { PhotoPanel } from "./stock/photo";
import { Rack } from "./stock/rack";
import { Shopping } from "./stock/shopping";

const AT_THE_SAW = [
  "beyond_saw",
  "neck",
  "tongue",
  "short_grain",
  "tall",
  "handling",
  "little_glue",
  "tight_bend",
  "sharp_corner",
  "hollow",
  "island",
] as const;
/** More buttons than this are no choice but a wall. */
const BOARDS_SHOWN = 6;

export function StockPage() {
  const chosen = useSignal<number | null>(null);
  const photo = useSignal<BoardPhoto | null>(null);
  const model = useStudio().model.value;
  const unit = model?.setup.unit ?? "mm";
  const marking = useMemo(() => new Marking(unit), [unit]);
  if (!model) return null;
  if (!model.setup.accepted) return <NoPattern />;
  return (
    <main class="page">
      {photo.value ? (
        <Photographed photo={photo.value} />
      ) : (
        <Boards model={model} chosen={chosen} marking={marking} />
      )}
      {photo.value ? (
        <Panel key="photograph" name="Stock" open>
          <PhotoPanel
            model={model}
            photo={photo.value}
            done={() => {
              photo.value = null;
            }}
          />
        </Panel>
      ) : (
        <Panel key="boards" name="Stock" open={model.boards.length === 0}>
          <OfBoards
            model={model}
            chosen={chosen}
            marking={marking}
            take={(file) => {
              photo.value = new BoardPhoto(file);
            }}
          />
        </Panel>
      )}
    </main>
  );
}

interface OfBoardsProps {
  model: Model;
  chosen: Signal<number | null>;
  marking: Marking;
  take: (file: File) => void;
}

function OfBoards({ model, chosen, marking, take }: OfBoardsProps) {
  const sawn = useSawn(model);
  return (
    <>
      <LayOut model={model} />
      {model.boards.length > 0 && <Loose model={model} chosen={chosen} sawn={sawn.value} />}
      {model.boards.length > 0 && <Rack model={model} marking={marking} />}
      <AddBoard model={model} />
      <ByPhotograph take={take} />
      <Joints model={model} />
      <Shopping model={model} />
      <Findings kinds={OF_STOCK} title="What to look at" />
      <Blades model={model} sawn={sawn.value} />
      <Findings kinds={AT_THE_SAW} title="At the saw" />
    </>
  );
}

function LayOut({ model }: { model: Model }) {
  const studio = useStudio();
  const busy = studio.acts.runs("lay_out");
  const effort = useSignal<number>(USUAL);
  const { laying } = model.setup;
  const left = stillToLay(model).length;
  return (
    <Section title="Laying out" aside={left === 0 ? "all laid" : `${pieces(left)} on no board`}>
      <button
        type="button"
        class="button main"
        disabled={busy || model.boards.length === 0}
        onClick={() => studio.ask({ lay_out: { effort: effort.value } })}
      >
        <Icon name="stock" /> {busy ? "Laying out…" : "Lay out the boards"}
      </button>
      <p class="soft small">
        Grain within {laying.grain_within / 100}°, {lengthSaid(laying.apart, model.setup.unit)} between
        pieces, {lengthSaid(laying.edge, model.setup.unit)} to edges and faults. Pinned and cut pieces stay.
      </p>
      <HowLaid model={model} effort={effort} />
    </Section>
  );
}

interface LooseProps {
  model: Model;
  chosen: Signal<number | null>;
  sawn: Sawn | null;
}

function Loose({ model, chosen, sawn }: LooseProps) {
  const studio = useStudio();
  const lie = chosen.value === null ? undefined : model.lies.get(chosen.value);
  const piece = chosen.value === null ? undefined : model.pieces.get(chosen.value);
  const fitting = model.boards
    .filter(
      (board) =>
        board.wood === piece?.wood?.value && board.thickness >= (piece?.thickness?.value ?? Infinity),
    )
    .slice(0, BOARDS_SHOWN);
  const loose = stillToLay(model).filter((piece) => piece.wood && piece.thickness);
  return (
    <Section title="A piece by hand" aside={chosen.value === null ? "none chosen" : `piece ${chosen.value}`}>
      {loose.length > 0 && (
        <label class="field">
          <span>A piece that lies nowhere</span>
          <select
            value={lie ? "" : (chosen.value ?? "")}
            onChange={(event) => {
              chosen.value = event.currentTarget.value === "" ? null : Number(event.currentTarget.value);
            }}
          >
            <option value="">choose, then click on a board</option>
            {loose.map((piece) => (
              <option key={piece.number} value={piece.number}>
                {piece.number}, {woodName(piece.wood?.value ?? null, model)}
              </option>
            ))}
          </select>
        </label>
      )}
      {piece && !lie && fitting.length > 0 && (
        <p class="row">
          {fitting.map((board) => (
            <button
              type="button"
              class="button grow"
              key={board.id}
              onClick={() => {
                const [x, y, width, height] = board.box_mm;
                const at: [number, number] = [
                  Math.round((x + width / 2) * 1000),
                  Math.round((y + height / 2) * 1000),
                ];
                void studio.edit({
                  stock: { pin: { piece: piece.number, lie: lieOf(model, board, piece.number, at) } },
                });
              }}
            >
              Put it on {board.name}
            </button>
          ))}
        </p>
      )}
      {lie?.by === "hand" && (
        <p class="row">
          <button type="button" class="button" onClick={() => studio.edit({ stock: { unpin: lie.piece } })}>
            <Icon name="pin" /> Unpin piece {lie.piece}
          </button>
        </p>
      )}
      {piece && <AtBench key={piece.number} list={[piece]} unit={model.setup.unit} />}
      {piece && <BladeOf sawn={sawn} piece={piece.number} unit={model.setup.unit} />}
      <p class="soft small">
        Drag a piece to the streak that you want, also on another board of its wood, or reach it with Tab and
        move it with the arrow keys: 1 mm, with Shift 10 mm; [ and ] turn it by 1°. It is pinned there. What a
        dragged piece throws off is laid round it; after keys, lay out again. Escape while you drag leaves it
        where it was.
      </p>
    </Section>
  );
}

function AddBoard({ model }: { model: Model }) {
  const studio = useStudio();
  const { unit } = model.setup;
  const name = useSignal("");
  const wood = useSignal(woodsInUseFirst(model)[0]?.key ?? "");
  const sizes = [useSignal(""), useSignal(""), useSignal("")] as const;
  const typed = sizes.map((size) => lengthTyped(size.value, unit));
  const [length, width, thickness] = typed;
  const whole = name.value.trim() !== "" && typed.every((um) => um !== null && um > 0 && um <= LONGEST);
  const put = async () => {
    if (length == null || width == null || thickness == null) return;
    const size: [number, number, number] = [length, width, thickness];
    if (await studio.edit({ stock: { put_size: { name: name.value.trim(), wood: wood.value, size } } }))
      name.value = "";
  };
  return (
    <Section title="A board for the rack">
      <form
        class="section-body"
        onSubmit={(event) => {
          event.preventDefault();
          void put();
        }}
      >
        <NameField name={name} />
        <WoodField model={model} wood={wood} />
        {(["Length along the grain", "Width", "Thickness"] as const).map((words, at) => (
          <MeasureField
            key={words}
            words={`${words}, ${unit === "mm" ? "mm" : "in"}`}
            text={sizes[at] ?? sizes[0]}
            unit={unit}
            example={(unit === "mm" ? ["600", "150", "18"] : ["24", "6", "3/4"])[at] ?? ""}
          />
        ))}
        <button type="submit" class="button" disabled={!whole}>
          <Icon name="plus" /> Put it on the rack
        </button>
      </form>
    </Section>
  );
}

function ByPhotograph({ take }: { take: (file: File) => void }) {
  return (
    <Section title="A board by a photograph">
      <p class="soft small">
        Photograph it beside white paper or a grey card: spelk measures its colour, finds its streaks and
        shows the pieces in them.
      </p>
      <label class="button">
        <input
          class="unseen"
          type="file"
          accept={PHOTOGRAPHS}
          onChange={(event) => {
            const file = event.currentTarget.files?.[0];
            if (file) take(file);
          }}
        />
        <Icon name="picture" /> Choose a photograph
      </label>
    </Section>
  );
}
