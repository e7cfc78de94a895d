import { expect, test } from "vitest";
import { said } from "../state/acts";
import { HIGHEST, LOWEST, lightAt, litAddress, onDial, PLAIN, type Seeing } from "../state/seeing";

test("the dial gives the light that was put on it", () => {
  for (const from of [0, 45, 90, 200, 308])
    for (const height of [LOWEST, 40, 70]) {
      const [x, y] = onDial({ from, height });
      expect(lightAt(x, y)).toEqual({ from, height });
    }
  // From the left on the wall is to the left on the dial; beyond its rim the light stands lowest.
  expect(onDial({ from: 270, height: LOWEST })[0]).toBeCloseTo(0);
  expect(lightAt(-3, 0.5)).toEqual({ from: 270, height: LOWEST });
  expect(lightAt(0.5, 0.5).height).toBe(HIGHEST);
});

test("the lit picture is asked for as it is seen", () => {
  const address = litAddress({ ...PLAIN, years: 4, aside: -20, raw: true }, 640, 7);
  const words = new URL(address, "http://x").searchParams;
  expect([words.get("years"), words.get("aside"), words.get("raw"), words.get("px")]).toEqual([
    "10",
    "-20",
    "true",
    "640",
  ]);
});

test("what stands side by side is asked for by name", () => {
  const asked = (some: Partial<Seeing>) =>
    new URL(litAddress({ ...PLAIN, ...some }, 640, 7), "http://x").searchParams;
  expect(asked({}).has("beside")).toBe(false);
  expect(asked({ beside: "picture" }).get("beside")).toBe("picture");
  const backers = asked({ beside: { backers: ["wenge", "maple-hard"] }, away: 2500, part: 3 });
  expect([backers.get("beside"), backers.get("of"), backers.get("away"), backers.get("part")]).toEqual([
    "backers",
    "wenge,maple-hard",
    "2500",
    "3",
  ]);
  expect(asked({ beside: { variants: [4, 9] } }).get("of")).toBe("4,9");
});

test("an act says its stage after its name, and never the same twice", () => {
  const act = { id: 1, name: "view", done: 0.5, text: "lighting the relief" };
  expect(said(act)).toBe("Lighting the relief");
  expect(said({ ...act, text: "waiting for its turn" })).toBe("Lighting the relief: waiting for its turn");
});
