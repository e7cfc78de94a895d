// The line tools by pointer and by keys: a border pulled, a line drawn, a refusal shown where it is.

import type { Page } from "playwright-core";
import { afterAll, beforeAll, expect, test } from "vitest";
import { type Running, running } from "./spelk";

let run: Running;
let page: Page;

beforeAll(async () => {
  run = await running();
  page = run.page;
});

afterAll(() => run?.stop());

const count = () => page.locator("[data-area].piece").count();
const undo = () => page.getByRole("button", { name: /^Undo: / });

/** Where the middle of a piece, and a place on its outline, lie on the screen. */
const places = () =>
  page.evaluate(() => {
    const area = [...document.querySelectorAll<SVGPathElement>("[data-area].piece")]
      .map((path) => ({ path, box: path.getBoundingClientRect() }))
      .sort((a, b) => b.box.width * b.box.height - a.box.width * a.box.height)[0];
    if (!area) throw new Error("no piece");
    const all = document.querySelector(".panel-ground")?.getBoundingClientRect();
    if (!all) throw new Error("no panel");
    const to = area.path.getScreenCTM();
    const length = area.path.getTotalLength();
    const inner = [...Array(200).keys()]
      .map((k) => area.path.getPointAtLength((length * k) / 200).matrixTransform(to ?? undefined))
      .filter(
        (p) => p.x > all.left + 60 && p.x < all.right - 60 && p.y > all.top + 60 && p.y < all.bottom - 60,
      );
    const middle = inner[Math.floor(inner.length / 2)];
    if (!middle) throw new Error("no border inside");
    return {
      border: { x: middle.x, y: middle.y },
      panel: { left: all.left, right: all.right, top: all.top, bottom: all.bottom },
    };
  });

async function drag(from: { x: number; y: number }, to: { x: number; y: number }): Promise<void> {
  await page.mouse.move(from.x, from.y);
  await page.mouse.down();
  await page.mouse.move((from.x + to.x) / 2, (from.y + to.y) / 2, { steps: 8 });
  await page.mouse.move(to.x, to.y, { steps: 8 });
  await page.mouse.up();
}

/** Draws a line across the panel; one that grazes the tip of a piece is refused, and another height is tried. */
async function drawnAcross(
  panel: { left: number; right: number; top: number; bottom: number },
  before: number,
) {
  for (const share of [0.3, 0.5, 0.7, 0.4, 0.6]) {
    await page.keyboard.press("d");
    const y = panel.top + (panel.bottom - panel.top) * share;
    await drag({ x: panel.left - 8, y }, { x: panel.right + 8, y: y + 9 });
    const refused = page.locator(".drawn.refused");
    const settled = async () => (await count()) > before || (await refused.count()) > 0;
    await expect.poll(settled, { timeout: 30_000 }).toBe(true);
    if ((await count()) > before) return true;
    await page.keyboard.press("Escape");
  }
  return false;
}

test("pull, draw, refusal in its place, keys", async () => {
  await page.getByRole("button", { name: /demo/i }).click();
  await page.waitForSelector("[data-area].piece", { timeout: 120_000 });
  await page.waitForFunction(() => !document.querySelector(".note progress"), undefined, {
    timeout: 120_000,
  });
  const before = await count();

  await page.keyboard.press("b");
  const { border, panel } = await places();
  await drag(border, { x: border.x + 7, y: border.y + 7 });
  await undo()
    .and(page.getByRole("button", { name: /reshape a border/i }))
    .waitFor();
  expect(await count()).toBe(before);

  // Far across the panel it comes upon others: the pattern stays, the place is shown.
  const far = {
    x: border.x < (panel.left + panel.right) / 2 ? panel.right - 30 : panel.left + 30,
    y: border.y,
  };
  await drag((await places()).border, far);
  await page.locator("circle.trouble").waitFor();
  await page.locator(".drawn.refused").waitFor();
  await page.keyboard.press("Escape");

  expect(await drawnAcross(panel, before)).toBe(true);
  await undo().click();
  await expect.poll(count, { timeout: 30_000 }).toBe(before);

  // By keys alone: the cross is moved to a border of the leading piece and the whole border made smooth.
  await page.keyboard.press("Escape");
  await page.locator(".sheet").focus();
  await page.keyboard.press("ArrowRight");
  await page.keyboard.press("e");
  await page
    .locator(".says")
    .getByText(/smooths the border/)
    .waitFor();
  await page.keyboard.press("]");
  for (let i = 0; i < 3; i++) await page.keyboard.press("ArrowDown");
  await page.keyboard.press("Enter");
  await page.waitForFunction(
    () =>
      document.querySelector('[aria-label^="Undo: "]')?.getAttribute("aria-label")?.includes("smooth") ||
      document.querySelector(".note.grave"),
    undefined,
    { timeout: 30_000 },
  );
});
