import { expect, test } from "vitest";
import type { State } from "../state/wire";
import { begunSaid, runs } from "../view/words";
import { piece } from "./fake";

test("numbers that follow each other are a run, two are named", () => {
  expect(runs([1, 2, 3, 4, 7, 9, 10])).toBe("1–4, 7, 9, 10");
  expect(runs([])).toBe("");
});

test("what is begun among pieces is said by its state", () => {
  expect(begunSaid([piece(1), piece(2)])).toBeNull();
  const at = (number: number, state: State) => ({ ...piece(number), state });
  expect(begunSaid([piece(1), at(9, "cut"), at(4, "set"), at(8, "cut"), at(7, "cut")])).toBe(
    "Pieces 7–9 are cut; piece 4 is set",
  );
});
