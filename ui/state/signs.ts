// Where the signs of findings are put: where they belong, or beside it if a number stands there.

/** A box about its middle, or a sign: mm. */
export interface Box {
  readonly x: number;
  readonly y: number;
  /** Half of its width and of its height. */
  readonly wide: number;
  readonly high: number;
}

/** Half of the breadth of a figure, and half of its height, of its size; with the light round it. */
const FIGURE_WIDE = 0.33;
const FIGURE_HIGH = 0.48;

/** What the number of a piece covers. */
export function numberBox(number: number, x: number, y: number, size: number): Box {
  return { x, y, wide: (FIGURE_WIDE * String(number).length + 0.1) * size, high: FIGURE_HIGH * size };
}

/** A sign gives way by so many of its radii, at the most, in so many directions. */
const GIVES_WAY: readonly number[] = [1.5, 2.25, 3, 4, 5, 6];
const DIRECTIONS = 12;

const meets = (one: Box, other: Box) =>
  Math.abs(one.x - other.x) < one.wide + other.wide && Math.abs(one.y - other.y) < one.high + other.high;

/**
 * Places for signs of a radius, in the order of what they belong to: none over a number, and none over another as far as there
 * is room. Null for a sign that would cover a number wherever it is put.
 */
export function signPlaces(
  belongs: readonly (readonly [number, number])[],
  numbers: readonly Box[],
  radius: number,
): ([number, number] | null)[] {
  const put: Box[] = [];
  return belongs.map(([x, y]) => {
    const places = [{ x, y }, ...around(x, y, radius)].map((at) => ({ ...at, wide: radius, high: radius }));
    const readable = places.filter((place) => !numbers.some((number) => meets(place, number)));
    const best = readable.find((place) => !put.some((other) => meets(place, other))) ?? readable[0];
    if (!best) return null;
    put.push(best);
    return [best.x, best.y];
  });
}

function around(x: number, y: number, radius: number): { x: number; y: number }[] {
  return GIVES_WAY.flatMap((far) =>
    Array.from({ length: DIRECTIONS }, (_, at) => {
      const angle = ((at - 1.5) * 2 * Math.PI) / DIRECTIONS;
      return { x: x + far * radius * Math.cos(angle), y: y + far * radius * Math.sin(angle) };
    }),
  );
}
