// Boards drawn with what is cut from them; a piece is dragged or moved by keys, and is pinned where it comes to lie.

import type { Signal } from "@preact/signals";
import { useRef } from "preact/hooks";
import { lengthSaid } from "../state/length";
import type { Model } from "../state/model";
import type { BoardSeen, Lie, Lying } from "../state/wire";
import { Icon } from "./icons";
import { useStudio } from "./shared";
import { woodName } from "./words";

const UM = 1000;
const TURN = 100;
const FULL = 36_000;
/** Lengths of board that a screen is filled with, mm: one scale for all boards. */
const LEAST_MM = 300;

interface BoardsProps {
  model: Model;
  /** The piece that is moved by hand. */
  chosen: Signal<number | null>;
}

export function Boards({ model, chosen }: BoardsProps) {
  if (model.boards.length === 0)
    return (
      <div class="boards empty">
        <Icon name="stock" />
        <h2>There is no board yet</h2>
        <p class="soft">Put your boards and offcuts on the rack, then lay the pieces out on them.</p>
      </div>
    );
  const longest = Math.max(LEAST_MM, ...model.boards.map((board) => board.box_mm[2]));
  return (
    <div class="boards">
      {model.boards.map((board) => (
        <OneBoard key={board.id} model={model} board={board} chosen={chosen} longest={longest} />
      ))}
    </div>
  );
}

function OneBoard({ model, board, chosen, longest }: BoardsProps & { board: BoardSeen; longest: number }) {
  const studio = useStudio();
  const svg = useRef<SVGSVGElement>(null);
  const [x, y, width, height] = board.box_mm;
  const { unit } = model.setup;
  const here = [...model.lies.values()].filter((one) => one.lie.board === board.id);
  const wood = model.woods.find((each) => each.key === board.wood);
  const size = [width, height].map((mm) => lengthSaid(Math.round(mm * UM), unit)).join(" × ");
  const thick = `${lengthSaid(board.thickness, unit)} thick`;
  const plane = board.plane_to === null ? "" : `, plane to ${lengthSaid(board.plane_to, unit)}`;
  const pin = (piece: number, lie: Lie) => studio.edit({ stock: { pin: { piece, lie } } });
  /** What the piece throws off where it is let go is laid round it. */
  const drop = async (piece: number, lie: Lie) => {
    const before = [...model.lies.keys()];
    if (!(await pin(piece, lie))) return;
    const now = studio.model.value;
    if (now && before.some((each) => !now.lies.has(each))) void studio.ask({ lay_out: { effort: FOLLOWS } });
  };
  const placeAt = (event: MouseEvent) => {
    const piece = chosen.value;
    if (piece === null || model.lies.has(piece)) return;
    const at = onBoard(svg.current, event);
    if (at) void pin(piece, lieOf(model, board, piece, at));
  };
  return (
    <section
      class="board"
      aria-label={board.name}
      style={{ "--share": ((width + 2) / (longest + 2)).toFixed(4) }}
    >
      <header>
        <h2>{board.name}</h2>
        <span class="soft small">
          {woodName(board.wood, model)}, {size}, {thick}
          {plane}
        </span>
        <button
          type="button"
          class="button quiet"
          aria-label={`Take ${board.name} off the rack`}
          onClick={() => studio.edit({ stock: { away: board.id } })}
        >
          <Icon name="bin" />
        </button>
      </header>
      {/* biome-ignore lint/a11y/useSemanticElements: a fieldset cannot be drawn in SVG */}
      {/* biome-ignore lint/a11y/useKeyWithClickEvents: the buttons of the panel put a piece on a board by keys */}
      <svg
        ref={svg}
        data-board={board.id}
        role="group"
        aria-label={`${board.name}: ${here.length} pieces laid on it`}
        viewBox={`${x - 1} ${y - 1} ${width + 2} ${height + 2}`}
        onClick={placeAt}
      >
        <clipPath id={`edge-${board.id}`}>
          <path d={board.d} />
        </clipPath>
        <path class="board-face" d={board.d} style={{ fill: wood?.finished }} />
        {board.photograph && (
          <image
            href={`/api/photograph/${board.photograph[0]}`}
            width={board.photograph[1]}
            height={board.photograph[2]}
            preserveAspectRatio="none"
            clip-path={`url(#edge-${board.id})`}
          />
        )}
        <path class="board-zone" d={board.zones_d} />
        <path class="board-fault" d={board.faults_d} />
        <path class="board-used" d={board.used_d} />
        {here.map((one) => (
          <Laid
            key={one.piece}
            one={one}
            room={(model.pieces.get(one.piece)?.widest ?? 0) / UM}
            svg={svg}
            model={model}
            chosen={chosen}
            pin={pin}
            drop={drop}
          />
        ))}
      </svg>
    </section>
  );
}

/** A piece on a board with its grain along the board's. */
export function lieOf(model: Model, board: BoardSeen, piece: number, at: [number, number]): Lie {
  const grain = Math.round((model.pieces.get(piece)?.grain_deg ?? 0) * TURN);
  const turn = (board.grain + (grain > FULL / 4 ? FULL / 2 - grain : -grain) + FULL) % FULL;
  return { board: board.id, turn, at };
}

/** Numbers are so high, mm, where there is room. */
const NUMBER_MM = 7;
/** Three figures fit into a circle that is so many times as wide as they are high. */
const ROOM = 2;

interface LaidProps {
  one: Lying;
  /** The widest circle inside it, mm across. */
  room: number;
  svg: { current: SVGSVGElement | null };
  model: Model;
  chosen: Signal<number | null>;
  pin: (piece: number, lie: Lie) => Promise<boolean>;
  drop: (piece: number, lie: Lie) => Promise<void>;
}

/** Effort for what a dragged piece throws off: about a second. */
const FOLLOWS = 1;

const STEPS: Readonly<Record<string, readonly [number, number]>> = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, -1],
  ArrowDown: [0, 1],
};

function Laid({ one, room, svg, model, chosen, pin, drop }: LaidProps) {
  const from = useRef<[number, number] | null>(null);
  const group = useRef<SVGGElement>(null);
  const fixed = one.by === "fact";
  const moved = (dx: number, dy: number, turn = 0): Lie => ({
    board: one.lie.board,
    turn: (one.lie.turn + turn + FULL) % FULL,
    at: [one.lie.at[0] + dx, one.lie.at[1] + dy],
  });
  const pressed = (event: KeyboardEvent) => {
    const step = STEPS[event.key];
    const turn = event.key === "[" ? TURN : event.key === "]" ? -TURN : 0;
    if (fixed || (!step && turn === 0)) return;
    event.preventDefault();
    const by = event.shiftKey ? 10 * UM : UM;
    void pin(one.piece, step ? moved(step[0] * by, step[1] * by) : moved(0, 0, turn));
  };
  const shift = (event: PointerEvent): [number, number] | null => {
    const at = onBoard(svg.current, event);
    return at && from.current ? [at[0] - from.current[0], at[1] - from.current[1]] : null;
  };
  /** Where it is let go on another board than its own, held at the same place and turned to that board's grain. */
  const onOther = (event: PointerEvent): Lie | null => {
    const over = boardUnder(event);
    const [to, own] = [over?.dataset.board, one.lie.board].map((id) =>
      model.boards.find((board) => board.id === Number(id)),
    );
    const at = onBoard(over, event);
    if (!to || !own || to.id === own.id || !at || !from.current) return null;
    const turn = (to.grain - own.grain) / TURN;
    const [dx, dy] = turned([one.lie.at[0] - from.current[0], one.lie.at[1] - from.current[1]], turn);
    return {
      board: to.id,
      turn: (one.lie.turn + to.grain - own.grain + FULL) % FULL,
      at: [Math.round(at[0] + dx), Math.round(at[1] + dy)],
    };
  };
  const said = one.by === "hand" ? "pinned" : fixed ? "cut" : "laid";
  return (
    // biome-ignore lint/a11y/useSemanticElements: a button cannot be drawn in SVG
    <g
      ref={group}
      role="button"
      tabIndex={0}
      class={`laid ${said}${chosen.value === one.piece ? " chosen" : ""}`}
      aria-label={`Piece ${one.piece}, ${said}`}
      aria-pressed={chosen.value === one.piece}
      onFocus={() => {
        chosen.value = one.piece;
      }}
      onKeyDown={pressed}
      onPointerDown={(event) => {
        if (fixed) return;
        from.current = onBoard(svg.current, event);
        event.currentTarget.setPointerCapture(event.pointerId);
      }}
      onPointerMove={(event) => {
        const by = shift(event);
        if (by) group.current?.setAttribute("transform", `translate(${by[0] / UM} ${by[1] / UM})`);
      }}
      onPointerUp={(event) => {
        const [by, other] = [shift(event), onOther(event)];
        from.current = null;
        group.current?.removeAttribute("transform");
        // Less than half a millimetre is a click, no drag.
        if (other) void drop(one.piece, other);
        else if (by && Math.hypot(by[0], by[1]) > UM / 2) void drop(one.piece, moved(by[0], by[1]));
      }}
    >
      <path d={one.d} />
      <text
        x={one.label_mm[0]}
        y={one.label_mm[1]}
        style={{ fontSize: `${Math.min(NUMBER_MM, room / ROOM).toFixed(2)}px` }}
      >
        {one.piece}
      </text>
    </g>
  );
}

/** The board that is drawn under the pointer. */
function boardUnder(event: MouseEvent): SVGSVGElement | null {
  const all = document.querySelectorAll<SVGSVGElement>("svg[data-board]");
  const holds = (svg: SVGSVGElement) => {
    const { left, right, top, bottom } = svg.getBoundingClientRect();
    return left <= event.clientX && event.clientX <= right && top <= event.clientY && event.clientY <= bottom;
  };
  return [...all].find(holds) ?? null;
}

/** Turned counterclockwise as seen, y down, by degrees. */
function turned([x, y]: readonly [number, number], degrees: number): [number, number] {
  const [sin, cos] = [Math.sin((degrees * Math.PI) / 180), Math.cos((degrees * Math.PI) / 180)];
  return [x * cos + y * sin, y * cos - x * sin];
}

/** The place under the pointer, µm on the board. */
function onBoard(svg: SVGSVGElement | null, event: MouseEvent): [number, number] | null {
  const matrix = svg?.getScreenCTM();
  if (!matrix) return null;
  const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(matrix.inverse());
  return [Math.round(at.x * UM), Math.round(at.y * UM)];
}
