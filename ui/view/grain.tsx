// The grain on the pattern: strokes as they were drawn, the grain of each piece, and an arrow that turns it by hand.

import { useSignal } from "@preact/signals";
import type { Model } from "../state/model";
import { grainShown } from "../state/surface";
import { drawn } from "../state/tool";
import type { Area, Piece } from "../state/wire";
import { tools, viewport } from "./canvas";
import { memo } from "./memo";
import { useStudio } from "./shared";

/** Half of a piece's mark, against the widest circle inside it. */
const MARK = 0.8;
/** The arrow of the picked piece is at least so long to either side. */
const ARROW_PX = 34;
const KNOB_PX = 8;
/** What a key turns, and the last digit that a hand turns to. */
const KEY_DEG = 5;

export function Grain({ model }: { model: Model }) {
  const { picking } = useStudio();
  const shown = grainShown.value || tools.tool.value === "grain";
  const picked = picking.pieces.value;
  const [one] = picked;
  return (
    <>
      {shown && <Marks pieces={model.pieces} areas={model.areas} />}
      {shown && <Strokes model={model} />}
      {one && picked.length === 1 && tools.tool.value === "pick" && one.state === "planned" && (
        <Arrow key={one.number} piece={one} area={model.areas.get(one.area)} />
      )}
    </>
  );
}

function Strokes({ model }: { model: Model }) {
  return (
    <g class="strokes">
      {model.setup.strokes.map((stroke, at) => {
        const d = drawn(stroke.map(([x, y]) => ({ x: x / 1000, y: y / 1000 })));
        return (
          <g key={at}>
            <path class="halo" d={d} />
            <path d={d} />
          </g>
        );
      })}
    </g>
  );
}

interface MarksProps {
  pieces: Model["pieces"];
  areas: Model["areas"];
}

const Marks = memo(function Marks({ pieces, areas }: MarksProps) {
  const marks = [...pieces.values()].flatMap((piece) => {
    const label = areas.get(piece.area)?.label;
    return label && piece.grain_deg !== null ? [along(label, piece.grain_deg, MARK * label.r_mm)] : [];
  });
  return (
    <g class="grain-marks">
      <path class="halo" d={marks.join("")} />
      <path d={marks.join("")} />
    </g>
  );
});

function along(at: { x_mm: number; y_mm: number }, degrees: number, half: number): string {
  const [x, y] = end(degrees, half);
  return `M${at.x_mm - x} ${at.y_mm - y}l${2 * x} ${2 * y}`;
}

/** y points down and grain counts counterclockwise. */
function end(degrees: number, half: number): readonly [number, number] {
  const turn = (degrees * Math.PI) / 180;
  return [half * Math.cos(turn), -half * Math.sin(turn)];
}

/** Turned by either knob, or by arrow keys. */
function Arrow({ piece, area }: { piece: Piece; area: Area | undefined }) {
  const studio = useStudio();
  const held = useSignal<number | null>(null);
  if (!area?.label) return null;
  const at = area.label;
  const scale = viewport.look.value.scale;
  const half = Math.max(at.r_mm, ARROW_PX / scale);
  const degrees = held.value ?? piece.grain_deg ?? 0;
  const turn = (to: number) => {
    const axis = (((Math.round(to) % 180) + 180) % 180) * 100;
    return studio.edit({ wood: { grain: { whom: { piece: piece.number }, axis } } });
  };
  const pull = (event: PointerEvent) => {
    const knob = event.currentTarget as SVGElement;
    const panel = knob.closest<SVGGElement>(".panel-space")?.getScreenCTM();
    if (!panel || !knob.hasPointerCapture(event.pointerId)) return;
    const spot = new DOMPoint(event.clientX, event.clientY).matrixTransform(panel.inverse());
    const deg = (Math.atan2(-(spot.y - at.y_mm), spot.x - at.x_mm) * 180) / Math.PI;
    held.value = (Math.round(deg) + 360) % 180;
  };
  const keyed = (event: KeyboardEvent) => {
    const by = { ArrowLeft: 1, ArrowUp: 1, ArrowRight: -1, ArrowDown: -1 }[event.key];
    if (by === undefined || event.altKey) return;
    event.preventDefault();
    event.stopPropagation();
    void turn((piece.grain_deg ?? 0) + by * KEY_DEG);
  };
  const [x, y] = end(degrees, half);
  return (
    <g
      class={piece.grain_deg === null && held.value === null ? "grain-arrow undecided" : "grain-arrow"}
      role="slider"
      tabindex={0}
      aria-label={`Grain of piece ${piece.number}`}
      aria-valuemin={0}
      aria-valuemax={179}
      aria-valuenow={Math.round(degrees)}
      aria-valuetext={piece.grain_deg === null ? "undecided" : `${Math.round(degrees)} degrees`}
      onKeyDown={keyed}
    >
      <path class="halo" d={along(at, degrees, half)} />
      <path d={along(at, degrees, half)} />
      {[1, -1].map((side) => (
        <circle
          key={side}
          cx={at.x_mm + side * x}
          cy={at.y_mm + side * y}
          r={KNOB_PX / scale}
          onPointerDown={(event) => {
            event.stopPropagation();
            event.currentTarget.setPointerCapture(event.pointerId);
          }}
          onPointerMove={pull}
          onPointerUp={async (event) => {
            event.stopPropagation();
            if (held.value !== null) await turn(held.value);
            held.value = null;
          }}
          onPointerCancel={() => {
            held.value = null;
          }}
        />
      ))}
    </g>
  );
}
