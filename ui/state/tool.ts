// What the pointer does on the pattern, and the line being drawn with it.

import { type Signal, signal } from "@preact/signals";
import type { PatternPoint } from "./viewport";
import type { Edit, Point } from "./wire";

export type Tool =
  | "pick"
  | "lasso"
  | "split"
  | "climb"
  | "section"
  | "draw"
  | "pull"
  | "junction"
  | "smooth"
  | "straighten"
  | "wood"
  | "grain"
  | "keep"
  | "ground";

/** A line drawn for a page that waits for it. */
export interface Taken {
  readonly tool: "climb" | "section";
  readonly line: readonly PatternPoint[];
}

/** Tools that take hold of one place and let it go at another. */
const HOLDING: readonly Tool[] = ["pull", "junction"];
/** Tools for which one point is enough: it means the whole border, or marks the place. */
const WHOLE: readonly Tool[] = ["smooth", "straighten", "keep", "ground"];

export const holds = (tool: Tool): boolean => HOLDING.includes(tool);
export const takesWhole = (tool: Tool): boolean => WHOLE.includes(tool);
/** Tools that take hold of a border, or work along one. */
export const onBorder = (tool: Tool): boolean =>
  tool === "pull" || tool === "smooth" || tool === "straighten";
/** Tools that change lines: by keys each begins at a place where it can. */
export const onLines = (tool: Tool): boolean =>
  onBorder(tool) || tool === "junction" || tool === "split" || tool === "draw";
/** Whether a brush of stated width counts. */
export const brushed = (tool: Tool): boolean => holds(tool) || tool === "smooth";

/** Widths of the brush, mm: each about a quarter more than the one before. */
export const BRUSHES: readonly number[] = [2, 3, 4, 5, 6, 8, 10, 13, 16, 20, 25, 32, 40, 50, 64, 80];

/** Points nearer to the last one than this add nothing to a drawn line, mm. */
const LEAST_STEP_MM = 0.3;

export class Tools {
  readonly tool: Signal<Tool> = signal("pick");
  /** Whether each pick adds to those before. */
  readonly several: Signal<boolean> = signal(false);
  readonly line: Signal<readonly PatternPoint[]> = signal([]);
  /** The cross that arrow keys move while drawing; null when the pointer draws. */
  readonly cross: Signal<PatternPoint | null> = signal(null);

  /** The tool that changes lines and was taken by keys, anew each time: its cross is shown at once, where it can begin. */
  readonly keyed: Signal<{ readonly tool: Tool } | null> = signal(null);

  /** The last line drawn for a page. */
  readonly taken: Signal<Taken | null> = signal(null);
  /** The width of the brush, mm. */
  readonly brush: Signal<number> = signal(8);
  /** The wood on the brush, by its key; null while none was taken up. */
  readonly wood: Signal<string | null> = signal(null);
  /** Areas that the brush has passed over, in their order. */
  readonly passed: Signal<readonly number[]> = signal([]);
  /** Whether the line shown was refused: it stays until the next begins. */
  readonly refused: Signal<boolean> = signal(false);

  take(tool: Tool, byKeys = false): void {
    this.tool.value = tool;
    this.drop();
    this.keyed.value = byKeys && onLines(tool) ? { tool } : null;
  }

  drop(): void {
    this.line.value = [];
    this.cross.value = null;
    this.passed.value = [];
    this.refused.value = false;
  }

  /** Takes a wood up to brush it over pieces. */
  dip(wood: string): void {
    this.wood.value = wood;
    this.take("wood");
  }

  pass(area: number): void {
    if (!this.passed.peek().includes(area)) this.passed.value = [...this.passed.peek(), area];
  }

  /** A wider brush, or a narrower one. */
  wider(steps: number): void {
    const at = BRUSHES.findIndex((width) => width >= this.brush.peek());
    this.brush.value = BRUSHES[Math.min(BRUSHES.length - 1, Math.max(0, at + steps))] ?? this.brush.peek();
  }

  put(point: PatternPoint): void {
    if (this.refused.peek()) this.drop();
    const [first] = this.line.peek();
    if (first && holds(this.tool.peek())) {
      this.line.value = [first, point];
      return;
    }
    const last = this.line.peek().at(-1);
    if (last && Math.hypot(point.x - last.x, point.y - last.y) < LEAST_STEP_MM) return;
    this.line.value = [...this.line.peek(), point];
  }
}

/** The edit that a finished line stands for, with the job's whole µm; null for tools that pick. */
export function edited(tool: Tool, line: readonly PatternPoint[], brush: number): Edit | null {
  const along = line.map(({ x, y }): Point => [Math.round(x * 1000), Math.round(y * 1000)]);
  const [at, to] = [along[0], along.at(-1)];
  const width = Math.round(brush * 1000);
  if (!at || !to) return null;
  if (tool === "grain") return along.length < 2 ? null : { wood: { stroke: along } };
  if (tool === "keep") return { picture: { mark: { keep: [along], drop: [] } } };
  if (tool === "ground") return { picture: { mark: { keep: [], drop: [along] } } };
  if (tool === "draw") return { pattern: { draw: { along } } };
  if (tool === "pull") return { pattern: { reshape: { at, to, width } } };
  if (tool === "junction") return { pattern: { junction: { at, to, width } } };
  if (tool === "smooth") return { pattern: { smooth: { along, by: width } } };
  if (tool === "straighten") return { pattern: { straighten: { along } } };
  return null;
}

/**
 * The area that a saw line splits, by the areas that lie under it at even steps: of those that it enters and leaves again the
 * picked one, else the one that it runs through farthest. Where it leaves none that it entered, it is meant for one that it
 * begins or ends in.
 */
export function splitUnder(under: readonly (number | null)[], picked: number | null): number | null {
  const runs: { area: number | null; steps: number }[] = [];
  for (const area of under) {
    const last = runs.at(-1);
    if (last?.area === area) last.steps += 1;
    else runs.push({ area, steps: 1 });
  }
  const crossed = runs.slice(1, -1).filter(({ area }) => area !== null);
  const meant = crossed.length > 0 ? crossed : runs.filter(({ area }) => area !== null);
  if (picked !== null && meant.some(({ area }) => area === picked)) return picked;
  return (
    meant.reduce<(typeof meant)[number] | null>(
      (most, run) => (most !== null && most.steps >= run.steps ? most : run),
      null,
    )?.area ?? null
  );
}

/** The line as path data, mm. */
export function drawn(line: readonly PatternPoint[]): string {
  return line.map(({ x, y }, at) => `${at === 0 ? "M" : "L"}${x.toFixed(3)} ${y.toFixed(3)}`).join("");
}
