import { expect, test } from "vitest";
import { beside, lightness, offSaid, zoneSaid } from "../state/colour";

// CIE 1976: L* of the greys of sRGB, D65.
test("the lightness of a colour", () => {
  expect(lightness("#ffffff")).toBeCloseTo(100, 3);
  expect(lightness("#000000")).toBe(0);
  expect(lightness("#777777")).toBeCloseTo(50.03, 1);
});

test("a colour beside another is lighter or darker in words", () => {
  expect(beside("#664a33", "#aa7c4f")).toBe("much darker than");
  expect(beside("#906843", "#aa7c4f")).toBe("clearly darker than");
  expect(beside("#aa7c4f", "#a5784c")).toBe("about as light as");
});

test("a difference and a zone are words first", () => {
  expect([0.4, 1.5, 5.2, 12].map(offSaid)).toEqual([
    "the same to the eye",
    "hardly to be seen",
    "clearly off",
    "far off",
  ]);
  expect(zoneSaid("zone 1: L* 55.8, a* 13.7, b* 30.6")).toEqual({
    name: "zone 1",
    figures: "L* 55.8, a* 13.7, b* 30.6",
  });
  expect(zoneSaid("sapwood: pale")).toEqual({ name: "sapwood: pale", figures: undefined });
});
