// A picture with the rectangle of it that is seen: moved by pointer, touch or keys, turned, levelled.

import { useSignal } from "@preact/signals";
import type { ComponentChildren } from "preact";
import { useRef } from "preact/hooks";
import type { Box, FramedPicture, Hold } from "../state/framing";
import { arrowed } from "./arrows";
import { Icon } from "./icons";

/** One press of an arrow key, a share of the picture; with Shift ten times that. */
const NUDGE = 0.005;
const HANDLES: readonly { hold: Hold; said: string }[] = [
  { hold: [-1, -1], said: "Top left corner" },
  { hold: [0, -1], said: "Upper edge" },
  { hold: [1, -1], said: "Top right corner" },
  { hold: [1, 0], said: "Right edge" },
  { hold: [1, 1], said: "Bottom right corner" },
  { hold: [0, 1], said: "Lower edge" },
  { hold: [-1, 1], said: "Bottom left corner" },
  { hold: [-1, 0], said: "Left edge" },
];
const WHOLE: { hold: Hold; said: string } = { hold: [0, 0], said: "What is seen" };
/** A line shorter than this says no direction, pixels. */
const LINE_PX = 12;

interface FramerProps {
  readonly href: string;
  readonly framed: FramedPicture;
  /** Drawn over what is seen, in a space of one unit across and one down. */
  readonly children?: ComponentChildren;
  readonly onError?: () => void;
}

export function Framer({ href, framed, children, onError }: FramerProps) {
  const levelling = useSignal(false);
  const [width, height] = framed.lying.value;
  const turn = framed.quarters.value * 90 + framed.level.value / 100;
  const shown = HANDLES.filter(({ hold }) => framed.shape === null || (hold[0] !== 0 && hold[1] !== 0));
  return (
    <div class="framer">
      <div class="framer-space">
        <div class="framer-held" style={{ "--ratio": width / height }}>
          <div class="framer-shown">
            <img
              src={href || undefined}
              alt="What the work starts from"
              draggable={false}
              style={{
                width: `${(100 * framed.width) / width}%`,
                transform: `translate(-50%, -50%) rotate(${turn}deg)`,
              }}
              onError={onError}
            />
          </div>
          <Seen box={framed.box.value}>{children}</Seen>
          <Handle key="whole" framed={framed} {...WHOLE} />
          {shown.map((handle) => (
            <Handle key={handle.said} framed={framed} {...handle} />
          ))}
          {levelling.value && (
            <LevelLine
              drawn={(across, down) => {
                framed.levelBy(across, down);
                levelling.value = false;
              }}
            />
          )}
        </div>
      </div>
      <div class="framer-tools" role="toolbar" aria-label="Framing">
        <button type="button" class="button" aria-label="Turn left" onClick={() => framed.quarter(false)}>
          <Icon name="turn_left" />
        </button>
        <button type="button" class="button" aria-label="Turn right" onClick={() => framed.quarter(true)}>
          <Icon name="turn_right" />
        </button>
        <button
          type="button"
          class="button"
          aria-pressed={levelling.value}
          title="Draw a line on the picture that shall lie level or upright"
          onClick={() => {
            levelling.value = !levelling.value;
          }}
        >
          <Icon name="straight" /> <span>Level by a line</span>
        </button>
        <Level framed={framed} />
        <button type="button" class="button" onClick={() => framed.whole()}>
          <Icon name="fit" /> <span>Whole picture</span>
        </button>
      </div>
    </div>
  );
}

/** All but what is seen is dimmed. */
function Seen({ box, children }: { box: Box; children: ComponentChildren }) {
  const { left, top, width, height } = box;
  const whole = "M0 0H1V1H0Z";
  return (
    <svg viewBox="0 0 1 1" preserveAspectRatio="none" aria-hidden="true">
      <path
        class="unseen-part"
        fill-rule="evenodd"
        d={`${whole}M${left} ${top}h${width}v${height}h${-width}Z`}
      />
      <g transform={`translate(${left} ${top}) scale(${width} ${height})`}>
        <path class="thirds" d="M0 .3333H1M0 .6667H1M.3333 0V1M.6667 0V1" />
        {children}
        <path class="seen-edge" d="M0 0H1V1H0Z" />
      </g>
    </svg>
  );
}

interface HandleProps {
  readonly framed: FramedPicture;
  readonly hold: Hold;
  readonly said: string;
}

function Handle({ framed, hold, said }: HandleProps) {
  const last = useRef<readonly [number, number] | null>(null);
  const { left, top, width, height } = framed.box.value;
  const moves = hold[0] === 0 && hold[1] === 0;
  const at = moves
    ? { left: percent(left), top: percent(top), width: percent(width), height: percent(height) }
    : { left: percent(left + ((hold[0] + 1) / 2) * width), top: percent(top + ((hold[1] + 1) / 2) * height) };
  const drag = (event: PointerEvent) => {
    const ground = (event.currentTarget as HTMLElement).parentElement?.getBoundingClientRect();
    if (!ground || !last.current) return;
    const [x, y] = last.current;
    framed.move(hold, (event.clientX - x) / ground.width, (event.clientY - y) / ground.height);
    last.current = [event.clientX, event.clientY];
  };
  return (
    <button
      type="button"
      class={moves ? "seen-whole" : "corner"}
      style={at}
      aria-label={`${said}: ${percent(left)} from the left, ${percent(top)} from the top, ${percent(width)} wide, ${percent(height)} high`}
      onPointerDown={(event) => {
        event.currentTarget.setPointerCapture(event.pointerId);
        event.currentTarget.focus();
        last.current = [event.clientX, event.clientY];
      }}
      onPointerMove={drag}
      onLostPointerCapture={() => {
        last.current = null;
      }}
      onKeyDown={(event) => {
        const way = arrowed(event, NUDGE);
        if (way) framed.move(hold, way[0], way[1]);
      }}
    />
  );
}

const percent = (share: number) => `${(share * 100).toFixed(1)}%`;

function Level({ framed }: { framed: FramedPicture }) {
  const degrees = (framed.level.value / 100).toFixed(1);
  return (
    <label class="level">
      <span>Level {degrees}°</span>
      <input
        type="range"
        min="-4490"
        max="4490"
        step="10"
        value={framed.level.value}
        aria-label="Level the picture"
        aria-valuetext={`${degrees} degrees clockwise`}
        onInput={(event) => framed.tilt(Number(event.currentTarget.value))}
      />
    </label>
  );
}

/** Over the whole picture: a line is drawn, and says what shall lie level or upright. */
function LevelLine({ drawn }: { drawn: (across: number, down: number) => void }) {
  const line = useSignal<readonly number[] | null>(null);
  const place = (event: PointerEvent) => {
    const ground = (event.currentTarget as SVGSVGElement).getBoundingClientRect();
    return [event.clientX - ground.left, event.clientY - ground.top] as const;
  };
  return (
    <svg
      class="level-line"
      aria-hidden="true"
      onPointerDown={(event) => {
        event.currentTarget.setPointerCapture(event.pointerId);
        line.value = [...place(event), ...place(event)];
      }}
      onPointerMove={(event) => {
        const from = line.value?.slice(0, 2);
        if (from) line.value = [...from, ...place(event)];
      }}
      onPointerUp={() => {
        const [x = 0, y = 0, u = 0, v = 0] = line.value ?? [];
        line.value = null;
        if (Math.hypot(u - x, v - y) >= LINE_PX) drawn(u - x, v - y);
      }}
    >
      {line.value && <path d={`M${line.value[0]} ${line.value[1]}L${line.value[2]} ${line.value[3]}`} />}
    </svg>
  );
}
