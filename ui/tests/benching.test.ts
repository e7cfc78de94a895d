import { expect, test } from "vitest";
import { benchSaid, furthest, noted, piecesIn, takenBack } from "../state/benching";
import type { Part, State } from "../state/wire";
import { stillToLay } from "../view/words";
import { piece } from "./fake";

const at = (number: number, state: State, ...told: State[]) => ({
  ...piece(number),
  state,
  logged: told.map((each, place) => ({
    entry: 10 * number + place,
    state: each,
    on: [2026, 5, 17] as [number, number, number],
    height: null,
  })),
});
const BEGUN = [at(1, "set", "cut", "set"), at(2, "shaped", "shaped"), at(3, "cut"), at(4, "planned")];

test("only what is not so far yet is noted, on the day, with a height where one was measured", () => {
  expect(noted(BEGUN, "shaped", [2026, 5, 18])).toEqual([
    { bench: { log: { became: { piece: 3, state: "shaped", on: [2026, 5, 18], height: null } } } },
    { bench: { log: { became: { piece: 4, state: "shaped", on: [2026, 5, 18], height: null } } } },
  ]);
  expect(noted([at(4, "planned")], "set", [2026, 5, 18], 20_700)).toEqual([
    { bench: { log: { became: { piece: 4, state: "set", on: [2026, 5, 18], height: 20_700 } } } },
  ]);
});

test("what is taken back is the last note of those that are furthest; a cut said at its board is taken back there", () => {
  const last = furthest(BEGUN);
  expect([last?.state, last?.those.map((each) => each.number)]).toEqual(["set", [1]]);
  expect(takenBack(last?.those ?? [])).toEqual([
    { bench: { log: { struck: { entry: 11, why: "noted by mistake" } } } },
  ]);
  expect(takenBack([at(3, "cut")])).toEqual([{ stock: { uncut: 3 } }]);
  expect(takenBack([at(3, "cut", "cut")])).toEqual([
    { bench: { log: { struck: { entry: 30, why: "noted by mistake" } } } },
  ]);
  expect(furthest([at(4, "planned")])).toBeNull();
});

test("how far pieces are is counted: what is set was cut as well", () => {
  expect(benchSaid(BEGUN)).toBe("3 of 4 cut, 2 shaped, 1 set");
  expect(benchSaid([at(1, "set"), at(3, "cut"), at(4, "planned")])).toBe("2 of 3 cut, 1 set");
  expect(benchSaid([at(1, "set"), at(2, "set")])).toBe("all 2 set");
  expect(benchSaid([at(2, "shaped")])).toBe("shaped");
  expect(benchSaid([at(4, "planned")])).toBeNull();
});

test("the pieces of a part are those of the parts within it, too", () => {
  const part = (id: number, within: number | null): Part => ({
    id,
    name: `part ${id}`,
    within,
    pieces: [],
    variants: [],
  });
  const [wing, feathers, reeds] = [part(1, null), part(2, 1), part(3, null)];
  const inParts = [{ ...piece(9), part: 1 }, { ...piece(4), part: 2 }, { ...piece(5), part: 3 }, piece(6)];
  const model = {
    parts: [wing, feathers, reeds],
    pieces: new Map(inParts.map((each) => [each.number, each])),
  };
  expect(piecesIn(wing, model).map((each) => each.number)).toEqual([4, 9]);
  expect(piecesIn(reeds, model).map((each) => each.number)).toEqual([5]);
});

test("what is cut, shaped or set needs no place on a board any more", () => {
  const all = [...BEGUN, at(5, "planned")];
  const lie = { piece: 5, lie: { board: 1, turn: 0, at: [0, 0] }, by: "act", d: "", label_mm: [0, 0] };
  const model = {
    pieces: new Map(all.map((each) => [each.number, each])),
    lies: new Map([[5, lie as never]]),
  };
  expect(stillToLay(model).map((each) => each.number)).toEqual([4]);
});
