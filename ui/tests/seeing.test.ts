import { expect, test } from "vitest";
import { said } from "../state/acts";
import { HIGHEST, LOWEST, lightAt, litAddress, onDial, PLAIN } from "../state/seeing";

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

test("an act says its stage after its name, and never the same twice", () => {
  const act = { id: 1, name: "view", done: 0.5, text: "lighting the relief" };
  expect(said(act)).toBe("Lighting the relief");
  expect(said({ ...act, text: "waiting for its turn" })).toBe("Lighting the relief: waiting for its turn");
});
