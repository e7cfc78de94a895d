import { expect, test } from "vitest";
import { Viewport } from "../state/viewport";

test("the whole panel is seen at first, and the point under the pointer stays when it comes nearer", () => {
  const view = new Viewport();
  view.sized({ width: 840, height: 640 }, { width: 400, height: 200 });
  expect(view.toScreen({ x: 200, y: 100 })).toEqual({ px: 420, py: 320 });
  expect(view.look.value.scale).toBe(2);
  const about = { px: 100, py: 200 };
  const under = view.toPattern(about);
  view.nearer(3, about);
  const again = view.toScreen(under);
  expect(again.px).toBeCloseTo(100, 9);
  expect(again.py).toBeCloseTo(200, 9);
});

test("a window made larger shows the whole again, unless the maker has moved", () => {
  const view = new Viewport();
  view.sized({ width: 840, height: 640 }, { width: 400, height: 200 });
  view.sized({ width: 440, height: 640 }, { width: 400, height: 200 });
  expect(view.look.value.scale).toBe(1);
  view.move(5, 5);
  view.sized({ width: 840, height: 640 }, { width: 400, height: 200 });
  expect(view.look.value.scale).toBe(1);
});
