// Lines of the pattern as points, where keys have to find them: junctions, and the nearest place on a border.

import type { Step } from "./picking";
import type { PatternPoint } from "./viewport";
import type { Border, Size } from "./wire";

const UM = 1000;

/** The points of path data as the server writes it, mm: the first from the panel's corner, each further one from the one before. */
export function pointsOf(d: string): PatternPoint[] {
  const points: PatternPoint[] = [];
  const numbers = (d.match(/-?\d*\.?\d+/g) ?? []).map(Number);
  for (let at = 0; at + 1 < numbers.length; at += 2) {
    const last = points.at(-1) ?? { x: 0, y: 0 };
    points.push({ x: last.x + (numbers[at] ?? 0), y: last.y + (numbers[at + 1] ?? 0) });
  }
  return points;
}

/** Whether a border lies inside the panel: its edge stays where it is. */
const inner = (border: Border) => border.left !== null && border.right !== null;

/** Where borders meet; the corners of the panel, which stay, are left out. */
export function junctions(borders: Iterable<Border>, panel: Size): PatternPoint[] {
  const met = new Map<string, { at: PatternPoint; of: Set<number> }>();
  for (const border of borders) {
    const points = pointsOf(border.d);
    for (const at of [points[0], points.at(-1)]) {
      if (!at) continue;
      const key = `${at.x.toFixed(2)} ${at.y.toFixed(2)}`;
      const known = met.get(key) ?? { at, of: new Set() };
      known.of.add(border.id);
      met.set(key, known);
    }
  }
  const onSide = (mm: number, side: number) => Math.abs(mm) < 0.01 || Math.abs(mm - side / UM) < 0.01;
  const corner = ({ x, y }: PatternPoint) => onSide(x, panel.width) && onSide(y, panel.height);
  return [...met.values()].filter(({ at, of }) => of.size > 1 && !corner(at)).map(({ at }) => at);
}

/** The place on a border inside the panel that lies nearest, no farther off than `most`. */
export function nearestOn(
  borders: Iterable<Border>,
  from: PatternPoint,
  most = Number.POSITIVE_INFINITY,
): PatternPoint | null {
  let best: PatternPoint | null = null;
  let least = most;
  for (const border of borders) {
    if (!inner(border)) continue;
    const place = nearestAlong(pointsOf(border.d), from);
    const off = apart(place, from);
    if (off <= least) [best, least] = [place, off];
  }
  return best;
}

/** How many points of a stroke are asked which border they lie along. */
const ASKED = 12;

/**
 * A stroke laid onto the border inside the panel that it lies along, where that is no farther off on the whole than `most`: a finger
 * is as wide as a small piece.
 */
export function laidOn(
  borders: Iterable<Border>,
  line: readonly PatternPoint[],
  most: number,
): readonly PatternPoint[] {
  const stride = Math.ceil(line.length / ASKED);
  const asked = line.filter((_, at) => at % stride === 0);
  let along: readonly PatternPoint[] | null = null;
  let least = most * asked.length;
  for (const border of borders) {
    if (!inner(border)) continue;
    const points = pointsOf(border.d);
    const off = asked.reduce((sum, from) => sum + apart(nearestAlong(points, from), from), 0);
    if (off <= least) [along, least] = [points, off];
  }
  const border = along;
  return border === null ? line : line.map((from) => nearestAlong(border, from));
}

/** The place on a line that lies nearest. */
function nearestAlong(points: readonly PatternPoint[], from: PatternPoint): PatternPoint {
  let best = points[0] ?? from;
  for (const [at, to] of points.slice(1).entries()) {
    const place = nearestOf(points[at] ?? to, to, from);
    if (apart(place, from) < apart(best, from)) best = place;
  }
  return best;
}

function nearestOf(a: PatternPoint, b: PatternPoint, from: PatternPoint): PatternPoint {
  const [dx, dy] = [b.x - a.x, b.y - a.y];
  const along = ((from.x - a.x) * dx + (from.y - a.y) * dy) / (dx * dx + dy * dy || 1);
  const share = Math.min(1, Math.max(0, along));
  return { x: a.x + share * dx, y: a.y + share * dy };
}

const apart = (a: PatternPoint, b: PatternPoint) => Math.hypot(a.x - b.x, a.y - b.y);

/** The place that lies nearest, no farther off than `most`. */
export function nearestTo(
  places: readonly PatternPoint[],
  from: PatternPoint,
  most = Number.POSITIVE_INFINITY,
): PatternPoint | null {
  const near = places.filter((place) => apart(place, from) <= most);
  return least(near, (place) => apart(place, from));
}

/** The place that a step of an arrow key leads to: what lies off to the side counts double, what lies behind not at all. */
export function beside(
  places: readonly PatternPoint[],
  from: PatternPoint,
  [dx, dy]: Step,
): PatternPoint | null {
  const ahead = places.filter((place) => (place.x - from.x) * dx + (place.y - from.y) * dy > 0.01);
  const cost = ({ x, y }: PatternPoint) => {
    const [ox, oy] = [x - from.x, y - from.y];
    return ox * dx + oy * dy + 2 * Math.abs(ox * dy - oy * dx);
  };
  return least(ahead, cost);
}

function least(places: readonly PatternPoint[], cost: (place: PatternPoint) => number): PatternPoint | null {
  return places.reduce<PatternPoint | null>(
    (best, place) => (best !== null && cost(best) <= cost(place) ? best : place),
    null,
  );
}

/** How far beyond what it leaves a line is drawn on, and how finely the way out is sought, mm. */
const BEYOND_MM = 0.4;

type Within = (at: PatternPoint) => boolean;

/** The place straight on beyond the end of a line where it has left something, no farther off than `most`; none where it does not. */
function wayOut(
  end: PatternPoint | undefined,
  before: PatternPoint | undefined,
  within: Within,
  most: number,
): PatternPoint[] {
  if (!end || !before || !within(end)) return [];
  const far = apart(end, before);
  for (let by = BEYOND_MM; far > 0 && by < most; by += BEYOND_MM) {
    const share = by / far;
    const at = { x: end.x + share * (end.x - before.x), y: end.y + share * (end.y - before.y) };
    if (!within(at)) return [at];
  }
  return [];
}

/** A line whose ends lie within something, drawn on straight at both until they lie beyond it. */
export function drawnOut(line: readonly PatternPoint[], within: Within, most: number): PatternPoint[] {
  const [first, last] = [
    wayOut(line[0], line[1], within, most),
    wayOut(line.at(-1), line.at(-2), within, most),
  ];
  return [...first, ...line, ...last];
}

/** An end that misses its border by less is closed by the server, in its own way, mm. */
const CLOSED_MM = 2.5;

/**
 * A line whose ends miss the borders that they are meant for by no more than `most`, as a finger does: cut off where it has just come
 * over one, else drawn on straight to the next. `areaAt` tells what lies where; nothing lies beyond the panel.
 */
export function toBorders(
  line: readonly PatternPoint[],
  areaAt: (at: PatternPoint) => number | null,
  most: number,
): readonly PatternPoint[] {
  const [first, last] = [line[0], line.at(-1)];
  // A line that comes back to where it began is a loop.
  if (!first || !last || line.length < 2 || apart(first, last) <= CLOSED_MM) return line;
  const ended = endAtBorder(line, areaAt, most);
  return [...endAtBorder([...ended].reverse(), areaAt, most)].reverse();
}

function endAtBorder(
  line: readonly PatternPoint[],
  areaAt: (at: PatternPoint) => number | null,
  most: number,
): readonly PatternPoint[] {
  const end = line.at(-1);
  const area = end ? areaAt(end) : null;
  if (!end || area === null) return line;
  const over = beyondBy(line, areaAt, most);
  if (over !== null)
    return over > CLOSED_MM && over < lengthOf(line) / 2 ? cutShort(line, over - BEYOND_MM) : line;
  // What it comes to straight on, beyond the last millimetre, where a hand may point anywhere.
  const before = line.findLast((at) => apart(at, end) > 1) ?? line[0] ?? end;
  return [...line, ...wayOut(end, before, (at) => areaAt(at) === area, Math.min(most, lengthOf(line) / 2))];
}

/** How far beyond the last border that it crossed a line ends; null where that is farther than `most`, or it crossed none. */
function beyondBy(
  line: readonly PatternPoint[],
  areaAt: (at: PatternPoint) => number | null,
  most: number,
): number | null {
  const area = areaAt(line.at(-1) ?? { x: 0, y: 0 });
  for (let by = BEYOND_MM; by <= Math.min(most, lengthOf(line)); by += BEYOND_MM) {
    const at = cutShort(line, by).at(-1);
    if (at && areaAt(at) !== area) return by;
  }
  return null;
}

/** How long a line is, mm. */
export const lengthOf = (line: readonly PatternPoint[]) =>
  line.slice(1).reduce((sum, to, at) => sum + apart(line[at] ?? to, to), 0);

/** A line without so much of its end. */
function cutShort(line: readonly PatternPoint[], by: number): readonly PatternPoint[] {
  const kept = [...line];
  for (let left = by; kept.length > 1; ) {
    const [from, to] = [kept.at(-2), kept.at(-1)];
    if (!from || !to) break;
    const long = apart(from, to);
    kept.pop();
    if (long > left) {
      const share = (long - left) / long;
      return [...kept, { x: from.x + share * (to.x - from.x), y: from.y + share * (to.y - from.y) }];
    }
    left -= long;
  }
  return kept;
}
