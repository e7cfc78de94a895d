// What lies under a place of the page, in window pixels.

import type { ScreenPoint } from "../state/viewport";

/** The area of the pattern there. */
export function areaAt(x: number, y: number): number | null {
  const found = attributeAt("data-area", x, y);
  return found === null ? null : Number(found);
}

/** A fast hand leaves wide gaps between two events: the pattern is looked at every so many pixels between. */
const LOOK_PX = 3;

/** The areas under a straight stretch of the page, in its order; null where there is none. */
export function areasAlong(from: ScreenPoint, to: ScreenPoint): (number | null)[] {
  const steps = Math.max(1, Math.ceil(Math.hypot(to.px - from.px, to.py - from.py) / LOOK_PX));
  return Array.from({ length: steps + 1 }, (_, at) => {
    const share = at / steps;
    return areaAt(from.px + share * (to.px - from.px), from.py + share * (to.py - from.py));
  });
}

/** The value of an attribute of the topmost element there that has it. */
export function attributeAt(name: string, x: number, y: number): string | null {
  const found = document.elementsFromPoint(x, y).find((each) => each.hasAttribute(name));
  return found?.getAttribute(name) ?? null;
}
