import { expect, test } from "vitest";
import { runs } from "../view/words";

test("numbers that follow each other are a run, two are named", () => {
  expect(runs([1, 2, 3, 4, 7, 9, 10])).toBe("1–4, 7, 9, 10");
  expect(runs([])).toBe("");
});
