// Lengths as a maker reads and types them. Stored lengths are whole µm.

import type { Unit } from "./wire";

const UM_PER_MM = 1000;
const UM_PER_INCH = 25_400;
const FRACTION = 64;
const MM2_PER_M2 = 1e6;
const MM2_PER_SQ_FT = 92_903.04;
/** From so much of a square metre or a square foot on, that is what is said; on the sheets, too. */
const WIDE = { mm: 0.1, inch: 1 } as const;

/** From here on hundredths of a millimetre are no more to a maker than noise. */
const TENTHS_FROM_MM = 2;

/** "21 mm", "0.55 mm", "245.1 mm", "13/16 in", "1 1/4 in": as far as it is read off a rule or a calliper. */
export function lengthSaid(um: number, unit: Unit): string {
  if (unit === "inch") return `${inches(um)} in`;
  const mm = um / UM_PER_MM;
  return `${Math.abs(mm) < TENTHS_FROM_MM ? trimmed(mm) : Math.round(mm * 10) / 10} mm`;
}

/** "12 to 45 mm". */
export function rangeSaid(least: number, most: number, unit: Unit): string {
  return `${lengthSaid(least, unit).replace(/ \w+$/, "")} to ${lengthSaid(most, unit)}`;
}

/** As it stands in a field, without the unit. */
export function lengthBare(um: number, unit: Unit): string {
  return unit === "mm" ? trimmed(um / UM_PER_MM) : inches(um);
}

const FINE_INCHES = 1 / 16;

/** A small length: inches that 64ths miss by over a fiftieth stand as thousandths. */
export function fineSaid(um: number, unit: Unit): string {
  const value = um / UM_PER_INCH;
  const off = Math.abs(value * FRACTION - Math.round(value * FRACTION)) / FRACTION;
  const thousandths = unit === "inch" && value < FINE_INCHES && off > value / 50;
  return thousandths ? `${value.toFixed(3)} in` : lengthSaid(um, unit);
}

function trimmed(mm: number): string {
  return String(Math.round(mm * 100) / 100);
}

/** Inches in fractions to 1/64, as on a rule. */
function inches(um: number): string {
  const sign = um < 0 ? "−" : "";
  let parts = Math.round((Math.abs(um) / UM_PER_INCH) * FRACTION);
  const whole = Math.floor(parts / FRACTION);
  parts -= whole * FRACTION;
  if (parts === 0) return `${sign}${whole}`;
  let below = FRACTION;
  while (parts % 2 === 0) {
    parts /= 2;
    below /= 2;
  }
  return whole === 0 ? `${sign}${parts}/${below}` : `${sign}${whole} ${parts}/${below}`;
}

/** µm from what was typed: `21`, `21 mm`, `2.1 cm`, `13/16`, `1 1/4 in`; null if it is no length. */
export function lengthTyped(text: string, unit: Unit): number | null {
  const found = /^\s*(.*?)\s*(mm|cm|in|inch|inches|")?\s*$/i.exec(text.replace(",", "."));
  const value = found?.[1] === undefined ? null : numberTyped(found[1]);
  if (value === null) return null;
  const named = found?.[2]?.toLowerCase() ?? (unit === "mm" ? "mm" : "in");
  const um = named === "mm" ? UM_PER_MM : named === "cm" ? 10 * UM_PER_MM : UM_PER_INCH;
  return Math.round(value * um);
}

function numberTyped(text: string): number | null {
  const found = /^(?:(\d+(?:\.\d+)?|\.\d+)|(?:(\d+)[\s-]+)?(\d+)\/(\d+))$/.exec(text);
  if (!found) return null;
  if (found[1] !== undefined) return Number(found[1]);
  const below = Number(found[4]);
  return below === 0 ? null : Number(found[2] ?? 0) + Number(found[3]) / below;
}

/** Areas in cm² or square inches, to two figures after the point. */
export function areaSaid(mm2: number, unit: Unit): string {
  const value = unit === "mm" ? mm2 / 100 : mm2 / 645.16;
  return `${value < 10 ? value.toFixed(2) : value.toFixed(1)} ${unit === "mm" ? "cm²" : "sq in"}`;
}

/** Areas of any width: those of pieces in cm² or square inches, those of boards in m² or square feet. */
export function wideSaid(mm2: number, unit: Unit): string {
  const value = mm2 / (unit === "mm" ? MM2_PER_M2 : MM2_PER_SQ_FT);
  return value < WIDE[unit] ? areaSaid(mm2, unit) : `${value.toFixed(2)} ${unit === "mm" ? "m²" : "sq ft"}`;
}
