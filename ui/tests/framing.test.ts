import { expect, test } from "vitest";
import { FramedPicture } from "../state/framing";

test("what was not touched is the whole picture, and a quarter turn keeps what is seen", () => {
  const framed = new FramedPicture(300, 200, undefined, null);
  expect(framed.framing).toBeNull();
  framed.move([-1, -1], 0.25, 0.5);
  framed.quarter(true);
  // The lower right part of the picture, turned clockwise, lies at the lower left.
  expect(framed.framing).toEqual({
    turn: 9000,
    crop: { left: 0, top: 250_000, width: 500_000, height: 750_000 },
  });
  framed.quarter(false);
  framed.quarter(false);
  expect(framed.framing?.turn).toBe(-9000);
  framed.whole();
  expect(framed.framing).toBeNull();
});

test("a handle goes no farther than the picture, and the whole slides along its edge", () => {
  const framed = new FramedPicture(300, 200, undefined, null);
  framed.move([1, 0], -0.5, 0);
  framed.move([0, 1], 0, -0.5);
  framed.move([0, 0], 0.2, 3);
  const { left, top } = framed.box.value;
  expect(left).toBeCloseTo(0.2, 5);
  expect(top).toBeCloseTo(0.5, 5);
  framed.move([-1, -1], 2, 2);
  expect(framed.box.value.width).toBeCloseTo(0.04, 4);
});

// The share that is left of a rectangle, turned by t, for an upright one of its own shape: 1 ÷ (cos t + a·sin t).
test("levelling shrinks what is seen into the picture, and gives it back", () => {
  const framed = new FramedPicture(300, 200, undefined, null);
  framed.levelBy(100, -100 * Math.tan((4 * Math.PI) / 180));
  expect(framed.level.value).toBe(400);
  const angle = (4 * Math.PI) / 180;
  expect(framed.box.value.width).toBeCloseTo(1 / (Math.cos(angle) + 1.5 * Math.sin(angle)), 6);
  framed.levelBy(-0.01, 5);
  framed.tilt(0);
  expect(framed.framing).toBeNull();
});

test("under a pattern what is seen keeps the shape of the panel", () => {
  const framed = new FramedPicture(300, 200, undefined, 1.5);
  framed.move([1, 1], -0.4, 0);
  const { width, height } = framed.box.value;
  expect(width).toBeCloseTo(0.8, 6);
  expect(width * 300).toBeCloseTo(height * 200 * 1.5, 6);
  framed.quarter(true);
  const turned = framed.box.value;
  expect((turned.width * 200) / (turned.height * 300)).toBeCloseTo(1.5, 6);
});
