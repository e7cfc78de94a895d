// What the pointer does on the pattern, and the line being drawn with it.

import { type Signal, signal } from "@preact/signals";
import type { PatternPoint } from "./viewport";

export type Tool = "pick" | "lasso" | "split" | "climb" | "section";

/** A line drawn for a page that waits for it. */
export interface Taken {
  readonly tool: "climb" | "section";
  readonly line: readonly PatternPoint[];
}

/** Points nearer to the last one than this add nothing to a drawn line, mm. */
const LEAST_STEP_MM = 0.3;

export class Tools {
  readonly tool: Signal<Tool> = signal("pick");
  /** Whether each pick adds to those before. */
  readonly several: Signal<boolean> = signal(false);
  readonly line: Signal<readonly PatternPoint[]> = signal([]);
  /** The cross that arrow keys move while drawing; null when the pointer draws. */
  readonly cross: Signal<PatternPoint | null> = signal(null);

  /** The last line drawn for a page. */
  readonly taken: Signal<Taken | null> = signal(null);

  take(tool: Tool): void {
    this.tool.value = tool;
    this.drop();
  }

  drop(): void {
    this.line.value = [];
    this.cross.value = null;
  }

  put(point: PatternPoint): void {
    const last = this.line.peek().at(-1);
    if (last && Math.hypot(point.x - last.x, point.y - last.y) < LEAST_STEP_MM) return;
    this.line.value = [...this.line.peek(), point];
  }
}

/** The line as path data, mm. */
export function drawn(line: readonly PatternPoint[]): string {
  return line.map(({ x, y }, at) => `${at === 0 ? "M" : "L"}${x.toFixed(3)} ${y.toFixed(3)}`).join("");
}
