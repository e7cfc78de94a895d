// What lies under a place of the page, in window pixels, or of the pattern, seen or not.

import type { PatternPoint, ScreenPoint } from "../state/viewport";

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

/** The areas of the pattern near a line, asked by places on it, mm: also where they are out of sight. */
export class Lying {
  private readonly near: readonly SVGPathElement[];

  /** Those that lie up to so far beside it count as near. */
  constructor(svg: SVGSVGElement | null, line: readonly PatternPoint[], beside = 0) {
    const [xs, ys] = [line.map(({ x }) => x), line.map(({ y }) => y)];
    const [left, top] = [Math.min(...xs) - beside, Math.min(...ys) - beside];
    const [right, bottom] = [Math.max(...xs) + beside, Math.max(...ys) + beside];
    this.near = [...(svg?.querySelectorAll<SVGPathElement>("path[data-area]") ?? [])].filter((path) => {
      const { x, y, width, height } = path.getBBox();
      return x <= right && x + width >= left && y <= bottom && y + height >= top;
    });
  }

  at(place: PatternPoint): number | null {
    const found = this.near.find((path) => path.isPointInFill(new DOMPoint(place.x, place.y)));
    return found ? Number(found.dataset.area) : null;
  }

  /** What lies under a line, at even steps. */
  along(line: readonly PatternPoint[], step: number): (number | null)[] {
    return line.slice(1).flatMap((to, at) => {
      const from = line[at] ?? to;
      const steps = Math.max(1, Math.ceil(Math.hypot(to.x - from.x, to.y - from.y) / step));
      return Array.from({ length: steps + 1 }, (_, k) => {
        const share = k / steps;
        return this.at({ x: from.x + share * (to.x - from.x), y: from.y + share * (to.y - from.y) });
      });
    });
  }
}
