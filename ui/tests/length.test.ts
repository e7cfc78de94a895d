import { expect, test } from "vitest";
import { areaSaid, fineSaid, lengthBare, lengthSaid, lengthTyped, wideSaid } from "../state/length";

// The inch is 25.4 mm exactly (international yard and pound agreement, 1959).
test("lengths are said in the job's unit", () => {
  expect(lengthSaid(21_000, "mm")).toBe("21 mm");
  expect(lengthSaid(500, "mm")).toBe("0.5 mm");
  expect(lengthSaid(1050, "mm")).toBe("1.05 mm");
  expect(lengthSaid(245_144, "mm")).toBe("245.1 mm");
  expect(lengthSaid(25_400, "inch")).toBe("1 in");
  expect(lengthSaid(31_750, "inch")).toBe("1 1/4 in");
  expect(lengthSaid(19_050, "inch")).toBe("3/4 in");
  expect(areaSaid(64_516, "inch")).toBe("100.0 sq in");
  // A square foot is 144 square inches, 0.09290304 m².
  expect(wideSaid(92_903.04, "inch")).toBe("1.00 sq ft");
  expect(wideSaid(645.16, "inch")).toBe("1.00 sq in");
  expect(wideSaid(250_000, "mm")).toBe("0.25 m²");
  expect(wideSaid(238, "mm")).toBe("2.38 cm²");
});

test("lengths are read as they are typed at the bench", () => {
  expect(lengthTyped("21", "mm")).toBe(21_000);
  expect(lengthTyped("2,1 cm", "inch")).toBe(21_000);
  expect(lengthTyped("1 1/4", "inch")).toBe(31_750);
  expect(lengthTyped("1 1/4 in", "mm")).toBe(31_750);
  expect(lengthTyped('3/4"', "mm")).toBe(19_050);
  for (const odd of ["", "abc", "1/0 in", "-3", "1 2 3", "NaN"]) expect(lengthTyped(odd, "mm")).toBeNull();
});

test("what stands in a field can be typed back", () => {
  for (let um = 0; um < 60_000; um += 397) {
    const inch = lengthTyped(lengthBare(um, "inch"), "inch") ?? Number.NaN;
    // Half of 1/64 inch, and half a µm of rounding.
    expect(Math.abs(inch - um)).toBeLessThanOrEqual(25_400 / 128 + 0.5);
    expect(Math.abs((lengthTyped(lengthBare(um, "mm"), "mm") ?? Number.NaN) - um)).toBeLessThanOrEqual(5);
  }
});

test("small inches that 64ths miss stand as thousandths", () => {
  expect(fineSaid(1050, "mm")).toBe("1.05 mm");
  expect(fineSaid(1050, "inch")).toBe("0.041 in");
  expect(fineSaid(3175, "inch")).toBe("1/8 in");
});
