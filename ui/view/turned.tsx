// The relief to turn by pointer, touch and keys. Where WebGL is missing the caller is told and shows the lit picture.

import { useSignal } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import type { Eye, Relief } from "../relief/scene";
import type { Model } from "../state/model";
import { seeing } from "../state/seeing";
import { Icon } from "./icons";
import { Lit } from "./lit";

/** Degrees that a step of an arrow key turns it by, and a drag across the whole canvas. */
const STEP = 5;
const DRAG = 120;
const NEARER = 1.15;

const STRAIGHT: Eye = { right: 0, above: 0, near: 1 };

export function Turned({ model, without }: { model: Model; without: (why: string) => void }) {
  const canvas = useRef<HTMLCanvasElement>(null);
  const relief = useRef<Relief | null>(null);
  const eye = useSignal<Eye>(STRAIGHT);
  const ready = useSignal(false);
  useEffect(() => {
    const stop = new AbortController();
    ready.value = false;
    built(canvas.current, model.revision, stop.signal).then(
      (made) => {
        if (!made) return;
        relief.current = made;
        made.see(seeing.value);
        made.turn(eye.value);
        ready.value = true;
      },
      (error: unknown) => {
        if (!stop.signal.aborted) without(error instanceof Unmade ? error.message : NO_WEBGL);
      },
    );
    return () => {
      stop.abort();
      relief.current?.end();
      relief.current = null;
    };
  }, [model.revision]);
  useEffect(() => {
    const watch = new ResizeObserver(([entry]) => {
      const { width = 0, height = 0 } = entry?.contentRect ?? {};
      if (width > 0 && height > 0) relief.current?.fit(width, height);
    });
    if (ready.value && canvas.current?.parentElement) watch.observe(canvas.current.parentElement);
    return () => watch.disconnect();
  }, [ready.value]);
  const now = seeing.value;
  useEffect(() => relief.current?.see(now), [now]);
  const turn = (by: Partial<Eye>) => {
    eye.value = { ...eye.value, ...by };
    relief.current?.turn(eye.value);
  };
  return (
    <div class="turned">
      {!ready.value && <Lit model={model} fine={false} />}
      <div
        class={ready.value ? "turned-held" : "turned-held unready"}
        // biome-ignore lint/a11y/noNoninteractiveTabindex: arrow keys turn it.
        tabIndex={0}
        role="application"
        aria-label="The relief in 3D. Arrow keys turn it, plus and minus bring it nearer, 0 shows it straight on."
        onKeyDown={(event) => {
          const by = keyed(event.key, eye.value);
          if (!by || event.ctrlKey || event.metaKey || event.altKey) return;
          event.preventDefault();
          event.stopPropagation();
          turn(by);
        }}
        {...hands(eye, turn)}
      >
        <canvas ref={canvas} />
      </div>
      {ready.value && (
        <div class="turned-tools">
          <button type="button" class="button" onClick={() => turn(STRAIGHT)}>
            <Icon name="fit" /> Straight on
          </button>
          <a class="button" href="/api/view.glb" download={`${model.setup.title || "relief"}.glb`}>
            <Icon name="down" /> 3D file (GLB)
          </a>
        </div>
      )}
    </div>
  );
}

const NO_WEBGL = "This browser draws no 3D; the lit picture shows the same relief.";

class Unmade extends Error {}

/** Fetches the solid and builds its scene; null when it is no longer wanted. */
async function built(canvas: HTMLCanvasElement | null, revision: number, over: AbortSignal) {
  if (!canvas) return null;
  const [scene, reader, answer] = await Promise.all([
    import("../relief/scene"),
    import("../state/solid"),
    fetch(`/api/view.glb?px=1600&r=${revision}`, { signal: over }),
  ]);
  if (!answer.ok) throw new Unmade("The relief in 3D was not made; here is the lit picture.");
  const solid = reader.solidIn(await answer.arrayBuffer());
  if (over.aborted) return null;
  const made = await scene.Relief.on(canvas, solid);
  if (!over.aborted) return made;
  made.end();
  return null;
}

function keyed(key: string, { right, above, near }: Eye): Partial<Eye> | null {
  switch (key) {
    case "ArrowLeft":
      return { right: Math.max(-80, right - STEP) };
    case "ArrowRight":
      return { right: Math.min(80, right + STEP) };
    case "ArrowUp":
      return { above: Math.min(75, above + STEP) };
    case "ArrowDown":
      return { above: Math.max(-75, above - STEP) };
    case "+":
    case "=":
      return { near: Math.min(8, near * NEARER) };
    case "-":
      return { near: Math.max(0.6, near / NEARER) };
    case "0":
    case "Home":
      return STRAIGHT;
    default:
      return null;
  }
}

/** One finger or the pointer turns, two fingers or the wheel bring nearer. */
function hands(eye: { value: Eye }, turn: (by: Partial<Eye>) => void) {
  const held = useRef(new Map<number, [number, number]>()).current;
  const spread = () => {
    const [a, b] = [...held.values()];
    return a && b ? Math.hypot(a[0] - b[0], a[1] - b[1]) : 0;
  };
  const off = (event: PointerEvent) => {
    held.delete(event.pointerId);
  };
  return {
    onPointerDown: (event: PointerEvent) => {
      (event.currentTarget as HTMLElement).setPointerCapture(event.pointerId);
      held.set(event.pointerId, [event.clientX, event.clientY]);
    },
    onPointerMove: (event: PointerEvent) => {
      const before = held.get(event.pointerId);
      if (!before) return;
      const apart = spread();
      held.set(event.pointerId, [event.clientX, event.clientY]);
      if (held.size > 1) {
        if (apart > 0) turn({ near: Math.max(0.6, Math.min(8, (eye.value.near * spread()) / apart)) });
        return;
      }
      const { width } = (event.currentTarget as HTMLElement).getBoundingClientRect();
      const turned = (by: number) => (by / Math.max(1, width)) * DRAG;
      // The relief follows the hand: dragged to the right, its left side comes to the front.
      turn({
        right: Math.max(-80, Math.min(80, eye.value.right - turned(event.clientX - before[0]))),
        above: Math.max(-75, Math.min(75, eye.value.above + turned(event.clientY - before[1]))),
      });
    },
    onPointerUp: off,
    onPointerCancel: off,
    onWheel: (event: WheelEvent) => {
      event.preventDefault();
      turn({ near: Math.max(0.6, Math.min(8, eye.value.near * (event.deltaY < 0 ? NEARER : 1 / NEARER))) });
    },
  };
}
