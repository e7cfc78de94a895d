// Boards drawn with what is cut from them; a piece is dragged or moved by keys, and is pinned where it comes to lie.

import type { Signal } from "@preact/signals";
import { useMemo, useRef } from "preact/hooks";
import { lengthSaid } from "../state/length";
import type { Marking } from "../state/marking";
import type { Model } from "../state/model";
import { Nudging } from "../state/nudging";
import type { BoardPart, BoardSeen, Lie, Lying, Unit } from "../state/wire";
import { untilEscape } from "./escape";
import { Icon } from "./icons";
import { useStudio } from "./shared";
import { runs, woodName } from "./words";

const UM = 1000;
const TURN = 100;
const FULL = 36_000;
/** Lengths of board that a screen is filled with, mm: one scale for all boards. */
const LEAST_MM = 300;

interface BoardsProps {
  model: Model;
  /** The piece that is moved by hand. */
  chosen: Signal<number | null>;
  /** What is marked on a board by a drag. */
  marking: Marking;
}

export function Boards({ model, chosen, marking }: BoardsProps) {
  const studio = useStudio();
  const nudging = useMemo(() => new Nudging(studio), [studio]);
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
        <OneBoard
          key={board.id}
          model={model}
          board={board}
          chosen={chosen}
          marking={marking}
          nudging={nudging}
          longest={longest}
        />
      ))}
    </div>
  );
}

type OneBoardProps = BoardsProps & { board: BoardSeen; nudging: Nudging; longest: number };

function OneBoard({ model, board, chosen, marking, nudging, longest }: OneBoardProps) {
  const studio = useStudio();
  const svg = useRef<SVGSVGElement>(null);
  const [x, y, width, height] = board.box_mm;
  const { unit } = model.setup;
  const here = [...model.lies.values()].filter((one) => one.lie.board === board.id);
  const wood = model.woods.find((each) => each.key === board.wood);
  const size = [width, height].map((mm) => lengthSaid(Math.round(mm * UM), unit)).join(" × ");
  const thick = `${lengthSaid(board.thickness, unit)} thick`;
  const plane = planedSaid(board, unit);
  const cuts = board.parts.slice(1).map((part) => part.from);
  const pin = (piece: number, lie: Lie) => studio.edit({ stock: { pin: { piece, lie } } });
  /** What the piece throws off where it is let go is laid round it. */
  const drop = async (piece: number, lie: Lie) => {
    const before = [...model.lies.keys()];
    if (!(await pin(piece, lie))) return;
    const now = studio.model.value;
    if (now && before.some((each) => !now.lies.has(each))) void studio.ask({ lay_out: { effort: FOLLOWS } });
  };
  const away = async () => {
    const lay = here.map((one) => one.piece).sort((a, b) => a - b);
    if (await studio.edit({ stock: { away: board.id } })) studio.tellDone(awaySaid(board.name, lay));
  };
  const corner = useRef<[number, number] | null>(null);
  const forget = useRef<() => void>(() => undefined);
  const marks = marking.drags.value && marking.board.value === board.id;
  const marked = marking.board.value === board.id ? marking.marked.value : null;
  const dragged = (event: PointerEvent) => {
    const at = onBoard(svg.current, event);
    if (at && corner.current) marking.drag(board, corner.current, at);
  };
  const placeAt = (event: MouseEvent) => {
    const piece = chosen.value;
    if (marks || piece === null || model.lies.has(piece)) return;
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
          <Grain degrees={board.grain / TURN} />
        </span>
        <button
          type="button"
          class="button quiet"
          aria-label={`Take ${board.name} off the rack`}
          onClick={away}
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
        class={`${marks ? "marks" : ""} ${board.photograph ? "pictured" : ""}`}
        onClick={placeAt}
        onPointerDownCapture={(event) => {
          if (!marks) return;
          event.stopPropagation();
          corner.current = onBoard(svg.current, event);
          event.currentTarget.setPointerCapture(event.pointerId);
          const before = marking.typed.map((one) => one.value);
          forget.current = untilEscape(() => {
            corner.current = null;
            for (const [at, one] of marking.typed.entries()) one.value = before[at] ?? "";
          });
        }}
        onPointerMove={dragged}
        onPointerUp={(event) => {
          dragged(event);
          forget.current();
          corner.current = null;
        }}
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
        {cuts.map((at) => (
          <g key={at} class="board-crosscut">
            <path d={`M${x + at / UM} ${y}v${height}`} />
            <path d={`M${x + at / UM} ${y}v${height}`} />
          </g>
        ))}
        {here.map((one) => (
          <Laid
            key={one.piece}
            one={one}
            room={(model.pieces.get(one.piece)?.widest ?? 0) / UM}
            svg={svg}
            model={model}
            chosen={chosen}
            nudging={nudging}
            drop={drop}
          />
        ))}
        {marked && (
          <rect
            class="board-marked"
            x={x + marked[0] / UM}
            y={y + marked[1] / UM}
            width={marked[2] / UM}
            height={marked[3] / UM}
          />
        )}
      </svg>
    </section>
  );
}

/** What a board is planed to, part by part. */
function planedSaid(board: BoardSeen, unit: Unit): string {
  const thick = (part: BoardPart) => (part.thickness === null ? "" : lengthSaid(part.thickness, unit));
  const [first, ...more] = board.parts;
  if (!first) return "";
  if (more.length > 0)
    return `, planed to ${board.parts.map(thick).join(" | ")}, cut across at ${more.map((part) => lengthSaid(part.from, unit)).join(", ")}`;
  return first.thickness !== null && first.thickness < board.thickness ? `, plane to ${thick(first)}` : "";
}

function awaySaid(board: string, lay: readonly number[]): string {
  const off = `${board} is off the rack.`;
  if (lay.length === 0) return off;
  if (lay.length === 1) return `${off} Piece ${lay[0]} lay on it and lies on no board now.`;
  return `${off} Pieces ${runs(lay)} lay on it and lie on no board now.`;
}

/** A piece on a board with its grain along the board's. */
export function lieOf(model: Model, board: BoardSeen, piece: number, at: [number, number]): Lie {
  const grain = Math.round((model.pieces.get(piece)?.grain_deg ?? 0) * TURN);
  const turn = (board.grain + (grain > FULL / 4 ? FULL / 2 - grain : -grain) + FULL) % FULL;
  return { board: board.id, turn, at };
}

/** The way of a board's grain. */
function Grain({ degrees }: { degrees: number }) {
  return (
    <svg class="grain-way" viewBox="-9 -9 18 18" role="img" aria-label={`grain ${degrees}°`}>
      <path d={arrow([0, 0], 16, degrees, 3.5)} />
    </svg>
  );
}

/** A line with a head at both ends, for grain has an axis and no sense; turned counterclockwise as seen. */
function arrow([x, y]: readonly [number, number], long: number, degrees: number, head: number): string {
  const at = (along: number, across: number) => {
    const [dx, dy] = turned([along, across], degrees);
    return `${(x + dx).toFixed(2)} ${(y + dy).toFixed(2)}`;
  };
  const half = long / 2;
  const tip = (end: number) => {
    const back = end - Math.sign(end) * head;
    return `M${at(back, -head / 2)}L${at(end, 0)}L${at(back, head / 2)}`;
  };
  return `M${at(-half, 0)}L${at(half, 0)}${tip(-half)}${tip(half)}`;
}

/** Numbers are so high, mm, where there is room. */
const NUMBER_MM = 7;
/** Three figures and a grain arrow beside them fit into a circle that is so many times as wide as they are high. */
const ROOM = 2.6;
/** How far from the middle of the circle the arrow lies, how long and how large its heads are, in figures' heights. */
const ARROW = { off: 0.85, long: 1.7, head: 0.35 } as const;
/** How far the number gives way to it. */
const GIVES = 0.35;

interface LaidProps {
  one: Lying;
  /** The widest circle inside it, mm across. */
  room: number;
  svg: { current: SVGSVGElement | null };
  model: Model;
  chosen: Signal<number | null>;
  nudging: Nudging;
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

/** A lie moved by µm and turned by hundredths of a degree. */
function moved(lie: Lie, dx: number, dy: number, turn = 0): Lie {
  return { ...lie, turn: (lie.turn + turn + FULL) % FULL, at: [lie.at[0] + dx, lie.at[1] + dy] };
}

function Laid({ one, room, svg, model, chosen, nudging, drop }: LaidProps) {
  const from = useRef<[number, number] | null>(null);
  const forget = useRef<() => void>(() => undefined);
  const group = useRef<SVGGElement>(null);
  const fixed = one.by === "fact";
  /** The piece is drawn where it lies again. */
  const leave = () => {
    forget.current();
    from.current = null;
    group.current?.removeAttribute("transform");
  };
  const pressed = (event: KeyboardEvent) => {
    const step = STEPS[event.key];
    const turn = event.key === "[" ? TURN : event.key === "]" ? -TURN : 0;
    if (fixed || (!step && turn === 0)) return;
    event.preventDefault();
    const by = event.shiftKey ? 10 * UM : UM;
    const [dx, dy] = step ? [step[0] * by, step[1] * by] : [0, 0];
    void nudging.press(one.piece, (lie) => moved(lie, dx, dy, turn));
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
  const high = Math.min(NUMBER_MM, room / ROOM);
  const own = model.pieces.get(one.piece)?.grain_deg ?? null;
  const grain = own === null ? null : (((own + one.lie.turn / TURN) % 180) + 180) % 180;
  // The arrow lies square to its way from the number, on the lower side of it.
  const beside: [number, number] =
    grain === null ? [0, 0] : turned([0, high], grain > 90 ? grain + 180 : grain);
  const [x, y] = one.label_mm;
  return (
    // biome-ignore lint/a11y/useSemanticElements: a button cannot be drawn in SVG
    <g
      ref={group}
      role="button"
      tabindex={0}
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
        forget.current = untilEscape(leave);
      }}
      onPointerCancel={leave}
      onPointerMove={(event) => {
        const by = shift(event);
        if (by) group.current?.setAttribute("transform", `translate(${by[0] / UM} ${by[1] / UM})`);
      }}
      onPointerUp={(event) => {
        const [by, other] = [shift(event), onOther(event)];
        leave();
        // Less than half a millimetre is a click, no drag.
        if (other) void drop(one.piece, other);
        else if (by && Math.hypot(by[0], by[1]) > UM / 2)
          void drop(one.piece, moved(nudging.lie(one.piece) ?? one.lie, by[0], by[1]));
      }}
    >
      <path d={one.d} />
      {grain !== null && (
        <path
          class="grain-way"
          d={arrow(
            [x + ARROW.off * beside[0], y + ARROW.off * beside[1]],
            ARROW.long * high,
            grain,
            ARROW.head * high,
          )}
        />
      )}
      <text x={x - GIVES * beside[0]} y={y - GIVES * beside[1]} style={{ fontSize: `${high.toFixed(2)}px` }}>
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
