import { expect, test } from "vitest";
import { numberBox, signPlaces } from "../state/signs";

test("a sign gives way to the number that it would cover, and to another sign", () => {
  const numbers = [numberBox(112, 50, 50, 4), numberBox(7, 60, 50, 4)];
  const places = signPlaces(
    [
      [50, 50],
      [50, 50],
      [20, 20],
    ],
    numbers,
    2,
  );
  expect(places[2]).toEqual([20, 20]);
  for (const place of places.slice(0, 2)) {
    const [x, y] = place ?? [Number.NaN, Number.NaN];
    for (const box of numbers)
      expect(Math.abs(x - box.x) >= box.wide + 2 || Math.abs(y - box.y) >= box.high + 2).toBe(true);
    expect(Math.hypot(x - 50, y - 50)).toBeLessThan(13);
  }
  expect(places[0]).not.toEqual(places[1]);
});

test("where every place near is a number's there is no sign", () => {
  expect(signPlaces([[0, 0]], [{ x: 0, y: 0, wide: 50, high: 50 }], 2)).toEqual([null]);
});
