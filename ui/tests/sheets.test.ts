import { expect, test } from "vitest";
import { fileSaid, SHEETS } from "../state/sheets";

test("a file says what it holds", () => {
  expect(fileSaid("pattern-book-a4.pdf")).toBe("Pattern book, PDF");
  expect(fileSaid("pattern-book-letter-prints.pdf")).toBe("Prints to cut up, PDF");
  expect(fileSaid("pattern-book-a3-labels.pdf")).toBe("Labels, PDF");
  expect(fileSaid("pattern.svg")).toBe("Pattern, SVG");
  expect(fileSaid("cut-list.csv")).toBe("List of pieces, CSV");
});

test("the whole book is asked for by naming no kind", () => {
  expect(SHEETS.filter((one) => one.only.length === 0).map((one) => one.word)).toEqual(["pattern book"]);
});
