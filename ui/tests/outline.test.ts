import { expect, test } from "vitest";
import {
  beside,
  drawnOut,
  junctions,
  laidOn,
  nearestOn,
  nearestTo,
  pointsOf,
  toBorders,
} from "../state/outline";
import type { Border } from "../state/wire";

const border = (id: number, d: string, left: number | null = 1, right: number | null = 2): Border => ({
  id,
  left,
  right,
  d,
  gap: 0,
  ink: 0,
});
/** A panel of 20 by 10 mm: a line down its middle, another from that to the right side, a ring by itself. */
const PANEL = { width: 20_000, height: 10_000 };
const BORDERS = [
  border(1, "M10 0l0 6"),
  border(2, "M10 6l0 4"),
  border(3, "M10 6l10 0"),
  border(4, "M10 0l-10 0 0 10 10 0", 1, null),
  border(5, "M10 0l10 0 0 6", null, 2),
  border(6, "M20 6l0 4-10 0", null, 2),
  border(7, "M3 3l1 0 0 1-1 0 0-1"),
];

test("path data is read as it is written", () => {
  expect(pointsOf("M10 0l10-2.5-0.05 0")).toEqual([
    { x: 10, y: 0 },
    { x: 20, y: -2.5 },
    { x: 19.95, y: -2.5 },
  ]);
});

test("junctions are where borders meet; a ring has none, and the corners of the panel stay", () => {
  const found = junctions(BORDERS, PANEL);
  const places = found.map(({ x, y }) => `${x} ${y}`).sort();
  expect(places).toEqual(["10 0", "10 10", "10 6", "20 6"]);
  const cornered = [...BORDERS.slice(0, 3), border(4, "M0 0l0 10", 1, null), border(5, "M0 0l10 0", null, 1)];
  expect(junctions(cornered, PANEL).some(({ x, y }) => x === 0 && y === 0)).toBe(false);
});

test("a cross means the border that it lies nearest to, unless that is the panel's edge or too far off", () => {
  expect(nearestOn(BORDERS, { x: 8.5, y: 5 })).toEqual({ x: 10, y: 5 });
  expect(nearestOn(BORDERS, { x: 19.5, y: 1 })).toEqual({ x: 19.5, y: 6 });
  expect(nearestOn(BORDERS, { x: 8.5, y: 5 }, 1)).toBeNull();
});

test("a stroke beside a border is laid onto it, as a whole; one that lies along none stays", () => {
  const stroke = [1, 3, 5].map((y) => ({ x: 11, y }));
  expect(laidOn(BORDERS, stroke, 2)).toEqual([1, 3, 5].map((y) => ({ x: 10, y })));
  expect(laidOn(BORDERS, [{ x: 15, y: 5 }], 2)).toEqual([{ x: 15, y: 6 }]);
  expect(laidOn(BORDERS, stroke, 0.5)).toBe(stroke);
});

test("arrows lead from junction to junction, what is off to the side counting double", () => {
  const places = junctions(BORDERS, PANEL);
  const from = nearestTo(places, { x: 11, y: 1 });
  expect(from).toEqual({ x: 10, y: 0 });
  expect(nearestTo(places, { x: 11, y: 1 }, 1)).toBeNull();
  expect(beside(places, { x: 10, y: 0 }, [0, 1])).toEqual({ x: 10, y: 6 });
  expect(beside(places, { x: 10, y: 6 }, [1, 0])).toEqual({ x: 20, y: 6 });
  expect(beside(places, { x: 20, y: 6 }, [1, 0])).toBeNull();
});

test("a line that ends within a piece is drawn on straight until it is out; one that ends beyond stays", () => {
  const within = ({ x, y }: { x: number; y: number }) => x > 0 && x < 10 && y > 0 && y < 10;
  const line = [
    { x: 4, y: 5 },
    { x: 6, y: 5 },
  ];
  const drawn = drawnOut(line, within, 30);
  expect(drawn.length).toBe(4);
  expect(drawn[0]?.x).toBeLessThanOrEqual(0);
  expect(drawn[0]?.x).toBeGreaterThan(-1);
  expect(drawn.at(-1)?.x).toBeGreaterThanOrEqual(10);
  expect(drawn.at(-1)?.x).toBeLessThan(11);
  const beyond = [
    { x: -1, y: 5 },
    { x: 11, y: 5 },
  ];
  expect(drawnOut(beyond, within, 30)).toEqual(beyond);
});

test("the ends of a line are brought to the borders that they miss by less than a fingertip", () => {
  // Areas 1 to 4 side by side, each 20 mm wide; nothing beyond them.
  const areaAt = ({ x }: { x: number }) => (x < 0 || x > 80 ? null : Math.floor(x / 20) + 1);
  const drawn = (...xs: number[]) =>
    toBorders(
      xs.map((x) => ({ x, y: 5 })),
      areaAt,
      8,
    ).map(({ x }) => x);
  // Over by 6 mm at one end, short by 5 mm at the other.
  const [first, ...rest] = drawn(25, 40, 66);
  expect(first).toBeLessThanOrEqual(20);
  expect(first).toBeGreaterThan(19);
  expect(rest.at(-1)).toBeGreaterThanOrEqual(60);
  expect(rest.at(-1)).toBeLessThan(61.5);
  // Too far off, near enough, beyond the panel, and round to where it began.
  expect(drawn(30, 40, 50)).toEqual([30, 40, 50]);
  expect(drawn(-4, 40, 61)).toEqual([-4, 40, 61]);
  expect(drawn(25, 40, 26)).toEqual([25, 40, 26]);
});
