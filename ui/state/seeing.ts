// How the relief is looked at: kept while the maker goes to other pages and comes back.

import { type Signal, signal } from "@preact/signals";
import type { PartId, VariantId } from "./wire";

export interface Seeing {
  /** Where the light comes from on the wall, degrees clockwise from above. */
  readonly from: number;
  /** How high it stands off the wall, degrees. */
  readonly height: number;
  readonly raw: boolean;
  /** Percent. */
  readonly gloss: number;
  /** Which of `YEARS`. */
  readonly years: number;
  /** The eye to the right of the picture, degrees. */
  readonly aside: number;
  /** Light and dark alone. */
  readonly greys: boolean;
  /** What the eye no longer parts from so far is blurred, mm; 0 close up. */
  readonly away: number;
  /** One part alone. */
  readonly part: PartId | null;
  /** Only what is glued into place. */
  readonly set: boolean;
  readonly frame: boolean;
  readonly beside: Beside;
}

/** What is shown side by side: the view alone or with the picture, on some backers, or with variants put back. */
export type Beside =
  | "nothing"
  | "picture"
  | { backers: readonly string[] }
  | { variants: readonly VariantId[] };

/** The same as the solid's. */
export const YEARS = [0, 1, 2, 5, 10, 20] as const;
/** The light's height, degrees: lower and all is shade, from straight in front it has no side. */
export const LOWEST = 15;
export const HIGHEST = 85;

export const PLAIN: Seeing = {
  from: 308,
  height: 50,
  raw: false,
  gloss: 25,
  years: 0,
  aside: 0,
  greys: false,
  away: 0,
  part: null,
  set: false,
  frame: true,
  beside: "nothing",
};

export const seeing: Signal<Seeing> = signal(PLAIN);

/** The address of the lit picture, so many pixels across. */
export function litAddress(of: Seeing, pixels: number, revision: number): string {
  const words = new URLSearchParams({
    px: String(pixels),
    from: String(of.from),
    height: String(of.height),
    raw: String(of.raw),
    gloss: String(of.gloss),
    years: String(YEARS[of.years] ?? 0),
    aside: String(of.aside),
    greys: String(of.greys),
    set: String(of.set),
    frame: String(of.frame),
    r: String(revision),
  });
  if (of.away > 0) words.set("away", String(of.away));
  if (of.part !== null) words.set("part", String(of.part));
  const { beside } = of;
  if (typeof beside === "object") {
    words.set("beside", "backers" in beside ? "backers" : "variants");
    words.set("of", ("backers" in beside ? beside.backers : beside.variants).join(","));
  } else if (beside !== "nothing") words.set("beside", beside);
  return `/api/view.png?${words}`;
}

/** The light for a place on the dial: 0 to 1 right and down, its middle straight in front. */
export function lightAt(x: number, y: number): { from: number; height: number } {
  const [right, up] = [2 * x - 1, 1 - 2 * y];
  const far = Math.min(1, Math.hypot(right, up));
  const from = Math.round((Math.atan2(right, up) * 180) / Math.PI + 360) % 360;
  return { from, height: Math.round(HIGHEST - far * (HIGHEST - LOWEST)) };
}

/** The other way round. */
export function onDial({ from, height }: { from: number; height: number }): [number, number] {
  const far = (HIGHEST - height) / (HIGHEST - LOWEST);
  const angle = (from * Math.PI) / 180;
  return [0.5 + 0.5 * far * Math.sin(angle), 0.5 - 0.5 * far * Math.cos(angle)];
}
