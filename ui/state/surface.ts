// How woods look on the pattern: raw, under the finish, or after years on a wall.

import { type Signal, signal } from "@preact/signals";
import type { Area, Wood } from "./wire";

/** Raw, finished, or which of a wood's years after. */
export type Surface = "raw" | "finished" | number;

/** The same as a wood's `after`. */
export const YEARS_AFTER = [1, 2, 5, 10, 20] as const;

/** Whether strokes of grain and the grain of each piece are drawn on the pattern. */
export const grainShown: Signal<boolean> = signal(false);

export const surface: Signal<Surface> = signal("finished");

/** The colour of an area's wood on a surface, null where it has none. */
export function looksLike(area: Area, woods: ReadonlyMap<string, Wood>, on: Surface): string | null {
  const wood = area.wood === null ? undefined : woods.get(area.wood);
  if (on === "finished" || wood === undefined) return area.look;
  return on === "raw" ? wood.raw : (wood.after[on] ?? area.look);
}
