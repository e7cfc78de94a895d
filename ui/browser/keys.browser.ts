// Lines changed by keys alone, on the demo: a piece split, a junction moved, a border smoothed, with Tab, arrows, Enter and Escape.

import type { Page } from "playwright-core";
import { afterAll, beforeAll, expect, test } from "vitest";
import { type OnDemo, onDemo, placeOfPattern } from "./spelk";

let run: OnDemo;
let page: Page;

beforeAll(async () => {
  run = await onDemo();
  page = run.page;
  await page.waitForSelector("[data-area].piece");
  await page.keyboard.press("2");
  await placeOfPattern(page, "pattern");
}, 240_000);

afterAll(() => run?.stop());

const times = async (key: string, count: number) => {
  for (let at = 0; at < count; at += 1) await page.keyboard.press(key);
};
const told = () => page.evaluate(() => document.querySelector(".note.grave")?.textContent ?? "no refusal");
const undoes = () =>
  page.evaluate(() => document.querySelector('[aria-label^="Undo: "]')?.getAttribute("aria-label") ?? "none");
const cross = () => page.locator(".drawn.cross").getAttribute("d");

/** Reaches a tool's button by Tab and takes it. */
async function takeByTab(name: string): Promise<void> {
  const button = page.getByRole("button", { name, exact: true });
  const reached = () => button.evaluate((each) => each === document.activeElement);
  for (let at = 0; at < 40 && !(await reached()); at += 1) await page.keyboard.press("Tab");
  expect(await reached()).toBe(true);
  await page.keyboard.press("Enter");
}

/** Picks a piece that lies inside the panel and has room for a saw line. */
async function pickOne(): Promise<void> {
  const { pieces, areas, setup } = await run.seen();
  const [width, height] = [setup.panel.width / 1000, setup.panel.height / 1000];
  const inside = areas.filter(({ number, label }) => {
    const { x_mm: x, y_mm: y, r_mm: r } = label ?? { x_mm: 0, y_mm: 0, r_mm: 0 };
    return number !== null && r > 4 && x > 60 && x < width - 60 && y > 50 && y < height - 50;
  });
  const one = pieces.find((piece) => piece.state === "planned" && piece.area === inside[0]?.id);
  if (!one) throw new Error("a piece lies inside the panel");
  await page.locator(".sheet").focus();
  await page.keyboard.press("Escape");
  await page.keyboard.press("Escape");
  const lead = page.locator(".page strong").first();
  for (let at = 0; at < one.number; at += 1) await page.keyboard.press(".");
  await expect.poll(() => lead.textContent()).toBe(`Piece ${one.number}`);
}

test("a tool taken by Tab and Enter gives the keys to the pattern, with its cross where it can begin", async () => {
  await pickOne();
  await page.locator(".bar .tab").first().focus();
  await takeByTab("Split");
  expect(await page.evaluate(() => document.activeElement?.classList.contains("sheet"))).toBe(true);
  await page.locator(".drawn.cross").waitFor();
  await page
    .locator(".says")
    .getByText(/^Enter begins at the cross/)
    .waitFor();
  await page.keyboard.press("Escape");
  await page.locator(".drawn.cross").waitFor({ state: "detached" });
});

test("split: Enter at the piece's side, arrows across, Enter; an end within the piece is drawn on to its side", async () => {
  const before = (await run.seen()).pieces.length;
  await pickOne();
  await page.keyboard.press("s");
  await page.keyboard.press("Enter");
  await times("ArrowRight", 3);
  await page.keyboard.press("Enter");
  await expect.poll(async () => (await run.seen()).pieces.length, { message: await told() }).toBe(before + 1);
  expect(await told()).toBe("no refusal");
  await page.keyboard.press("Control+z");
  await expect.poll(async () => (await run.seen()).pieces.length).toBe(before);
});

test("junction: arrows go from one to the next, Enter takes hold, arrows move it, Enter lets go", async () => {
  await pickOne();
  await page.keyboard.press("j");
  const first = await cross();
  await page.keyboard.press("ArrowRight");
  await expect.poll(cross).not.toBe(first);
  await page.keyboard.press("Enter");
  await page.keyboard.press("ArrowDown");
  await page.keyboard.press("Enter");
  await expect.poll(undoes, { timeout: 30_000 }).toMatch(/junction/i);
  expect(await told()).toBe("no refusal");
  await page.keyboard.press("Control+z");
  await expect.poll(undoes).not.toMatch(/junction/i);
});

test("smooth: the cross lies on a border, Enter smooths it, Escape leaves the tool", async () => {
  await pickOne();
  await page.keyboard.press("e");
  await times("]", 3);
  await page.keyboard.press("Enter");
  await expect.poll(undoes, { timeout: 30_000 }).toMatch(/smooth/i);
  expect(await told()).toBe("no refusal");
  await page.keyboard.press("Escape");
  await page.getByRole("button", { name: "Pick", exact: true, pressed: true }).waitFor();
  expect(run.faults).toEqual([]);
});
