import { expect, test } from "vitest";
import type { Offer } from "../state/wire";
import { judged } from "../view/offered";

const offer = (some: Partial<Offer>): Offer => ({
  wood: "holly-american",
  difference: 3,
  apart: [],
  same: [],
  untold: [],
  short: false,
  ...some,
});

test("a wood is judged by what most stands against it", () => {
  expect(judged(offer({ apart: [1, 2] }))).toBe("told apart from every neighbour");
  expect(judged(offer({}))).toBe("no neighbour has a wood yet");
  expect(judged(offer({ apart: [1], same: [2] }))).toBe("looks the same as 2");
  expect(judged(offer({ apart: [1], untold: [4, 5] }))).toBe("beside 4, 5 only an offcut can tell");
  expect(judged(offer({ same: [3], untold: [4], short: true }))).toBe(
    "looks the same as 3; beside 4 only an offcut can tell; less on hand than this takes",
  );
});

test("can't be told is never a pass, and many neighbours are counted", () => {
  expect(judged(offer({ apart: [1, 2, 3], untold: [9] }))).not.toContain("told apart from every");
  expect(judged(offer({ same: [1, 2, 3, 4, 5, 6] }))).toBe("looks the same as 1, 2, 3, 4 and 2 more");
});
