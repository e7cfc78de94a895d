import { expect, test } from "vitest";
import { gathered } from "../state/findings";
import type { Finding, Grave, Kind } from "../state/wire";

const found = (key: string, kind: Kind, grave: Grave, pieces: number[]): Finding => ({
  key,
  kind,
  grave,
  what: kind,
  why: key,
  at_mm: [],
  areas: [],
  borders: [],
  pieces,
  relations: [],
  ways: [],
});

test("findings of a kind stand together, the gravest kind first, and of a piece it is told once", () => {
  const groups = gathered([
    found("a", "swallowed", "note", [157]),
    found("b", "no_board", "doubt", [1]),
    found("c", "swallowed", "note", [157]),
    found("d", "too_many_woods", "grave", []),
    found("e", "swallowed", "note", [35]),
    found("f", "no_board", "doubt", [2, 3]),
    found("g", "hazard", "note", []),
    found("h", "hazard", "note", []),
  ]);
  const said = groups.map(({ kind, told }) => [
    kind,
    ...told.map(({ findings }) => findings.map(({ key }) => key).join("")),
  ]);
  expect(said).toEqual([
    ["too_many_woods", "d"],
    ["no_board", "b", "f"],
    ["swallowed", "ac", "e"],
    ["hazard", "g", "h"],
  ]);
});
