// Lines changed by a finger on a phone: it lies beside what it means, and who cannot drag takes hold by one tap and lets go by another.

import type { CDPSession, Page } from "playwright-core";
import { afterAll, beforeAll, expect, test } from "vitest";
import { junctions } from "../state/outline";
import { type OnDemo, onDemo, placeOfPattern } from "./spelk";

let run: OnDemo;
let page: Page;
let fingers: CDPSession;

beforeAll(async () => {
  run = await onDemo();
  page = run.page;
  await page.setViewportSize({ width: 390, height: 800 });
  fingers = await page.context().newCDPSession(page);
  await page.waitForSelector("[data-area].piece");
  await page.locator('.tab[href="#/pattern"]').last().click();
  await placeOfPattern(page, "pattern");
}, 240_000);

afterAll(() => run?.stop());

type Place = readonly [number, number];

/** A finger is laid down, drawn along and lifted. */
async function finger(...places: Place[]): Promise<void> {
  for (const [at, [x, y]] of places.entries())
    await fingers.send("Input.dispatchTouchEvent", {
      type: at === 0 ? "touchStart" : "touchMove",
      touchPoints: [{ x, y }],
    });
  await fingers.send("Input.dispatchTouchEvent", { type: "touchEnd", touchPoints: [] });
}

/** Where places of the pattern, mm, lie on the screen now. */
const onScreen = (places: readonly Place[]) =>
  page.evaluate((all) => {
    const matrix = document.querySelector<SVGGElement>(".panel-space")?.getScreenCTM();
    return all.map(([x, y]): [number, number] => {
      const point = new DOMPoint(x, y).matrixTransform(matrix ?? undefined);
      return [point.x, point.y];
    });
  }, places as Place[]);

/** Of a few acts the first that is not refused for want of room; what undo calls it. */
async function oneOf(tool: string, acts: readonly (() => Promise<void>)[]): Promise<string> {
  for (const act of acts) {
    await page.getByRole("button", { name: tool, exact: true }).click();
    const { step } = await run.seen();
    await act();
    const settled = async () =>
      (await run.seen()).step !== step || (await page.locator(".note.grave").count()) > 0;
    await expect.poll(settled, { timeout: 30_000 }).toBe(true);
    const now = await run.seen();
    if (now.step !== step) {
      await page.getByRole("button", { name: /^Undo: / }).click();
      await expect.poll(async () => (await run.seen()).step).toBe(step);
      return now.undo ?? "";
    }
    const told = await page.locator(".note.grave").textContent();
    expect(told).not.toMatch(/lies here/);
    await page.getByRole("button", { name: "Put this note away" }).click();
  }
  return "all were refused";
}

/** Half a fingertip off. */
const beside = ([x, y]: Place): Place => [x + 8, y - 8];

test("a junction is taken by a finger beside it: dragged, or by two taps", async () => {
  await page.getByRole("button", { name: "Move a junction", exact: true }).click();
  const { borders, setup } = await run.seen();
  const all = junctions(borders, setup.panel).map(({ x, y }): Place => [x, y]);
  const inside = (await onScreen(all)).filter(([x, y]) => x > 60 && x < 330 && y > 260 && y < 560);
  const few = inside.filter((_, at) => at % Math.ceil(inside.length / 8) === 0);
  expect(few.length).toBeGreaterThan(3);
  const dragged = few.map((place) => async () => {
    const [x, y] = beside(place);
    await finger([x, y], [x + 4, y + 4], [x + 7, y + 1], [x + 1, y + 1]);
  });
  expect(await oneOf("Move a junction", dragged)).toBe("move a junction");
  const tapped = few.map((place) => async () => {
    await finger(beside(place));
    await finger([place[0] + 1, place[1]]);
  });
  expect(await oneOf("Move a junction", tapped)).toBe("move a junction");
});

test("a border is smoothed by a tap beside it, and pieces are parted by lines that miss their borders", async () => {
  const { areas, pieces } = await run.seen();
  const widest = areas
    .filter(({ number }) => pieces.some((piece) => piece.number === number && piece.state === "planned"))
    .sort((a, b) => (b.label?.r_mm ?? 0) - (a.label?.r_mm ?? 0))
    .slice(0, 8)
    .flatMap(({ label }) => (label ? [label] : []));
  const taps = widest.map(({ x_mm, y_mm, r_mm }) => async () => {
    const [side, middle] = await onScreen([
      [x_mm + r_mm, y_mm],
      [x_mm, y_mm],
    ]);
    if (!side || !middle) throw new Error("it is on the screen");
    await finger([Math.max(side[0] - 9, middle[0]), side[1]]);
  });
  expect(await oneOf("Smooth a border", taps)).toBe("smooth a border");
  const lines = widest.map(({ x_mm, y_mm }) => async () => {
    const [middle] = await onScreen([[x_mm, y_mm]]);
    if (!middle) throw new Error("it is on the screen");
    const [x, y] = middle;
    await finger(...[-70, -35, 0, 35, 70].map((off): Place => [x + off, y + off / 10]));
  });
  expect(await oneOf("Split", lines)).toMatch(/^split/);
  // A few pixels over the borders at its ends, which is farther than the server closes a line.
  const news = widest.map(({ x_mm, y_mm, r_mm }) => async () => {
    const [middle, side] = await onScreen([
      [x_mm, y_mm],
      [x_mm + r_mm, y_mm],
    ]);
    if (!middle || !side) throw new Error("it is on the screen");
    const half = side[0] - middle[0] + 10;
    await finger(...[-half, -half / 2, 0, half / 2, half].map((off): Place => [middle[0] + off, middle[1]]));
  });
  expect(await oneOf("New line", news)).toBe("draw a line");
  expect(run.faults).toEqual([]);
});
