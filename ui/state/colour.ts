// Differences of colours in words; the figures stand behind them as a title.

const SRGB_KNEE = 0.040_45;
const LAB_KNEE = 216 / 24_389;

/** Lightness of a colour as CSS has it (`#rrggbb`), 0 to 100. */
export function lightness(colour: string): number {
  const [r = 0, g = 0, b = 0] = [1, 3, 5].map((at) => {
    const value = Number.parseInt(colour.slice(at, at + 2), 16) / 255;
    return value <= SRGB_KNEE ? value / 12.92 : ((value + 0.055) / 1.055) ** 2.4;
  });
  const light = 0.2126 * r + 0.7152 * g + 0.0722 * b;
  return light > LAB_KNEE ? 116 * Math.cbrt(light) - 16 : (light / LAB_KNEE) * 8;
}

/** Lightness apart, from which on it is said, and how; from memory. */
const LIGHTER: readonly (readonly [number, string])[] = [
  [15, "much"],
  [6, "clearly"],
  [2, "a little"],
];

/** How one colour looks beside another: "clearly darker than". */
export function beside(colour: string, other: string): string {
  const by = lightness(colour) - lightness(other);
  const words = LIGHTER.find(([from]) => Math.abs(by) >= from)?.[1];
  return words === undefined ? "about as light as" : `${words} ${by > 0 ? "lighter" : "darker"} than`;
}

/** Differences (ΔE00) up to which each is said; from memory, for eyes agree on none. */
const OFF: readonly (readonly [number, string])[] = [
  [1, "the same to the eye"],
  [2, "hardly to be seen"],
  [5, "a little off"],
  [10, "clearly off"],
];

/** How far two colours are apart, in words. */
export function offSaid(difference: number): string {
  return OFF.find(([most]) => difference < most)?.[1] ?? "far off";
}

/** The figure behind them. */
export function offTitle(difference: number): string {
  return `ΔE00 ${difference.toFixed(1)}`;
}

/** A zone's name without the figures of its colour that a photograph gave it, and those figures. */
export function zoneSaid(name: string): { name: string; figures: string | undefined } {
  const found = /^(.*?): (L\* .*)$/.exec(name);
  return { name: found?.[1] ?? name, figures: found?.[2] };
}
