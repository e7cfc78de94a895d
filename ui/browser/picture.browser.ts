// Picture: a stroke marks what becomes wood, a ring what is ground; the veil follows, undo takes a mark back, and the pattern is
// drawn by it. By pointer and by keys.

import type { Page } from "playwright-core";
import { afterAll, beforeAll, expect, test } from "vitest";
import { barriers, type OnDemo, onDemo } from "./spelk";

let run: OnDemo;
let page: Page;

beforeAll(async () => {
  run = await onDemo();
  page = run.page;
}, 240_000);

afterAll(() => run?.stop());

type Spot = readonly [x: number, y: number];

/** Drags over places of the panel, in shares of its width and height. */
async function drag(spots: readonly Spot[]): Promise<void> {
  const places = await page.evaluate((spots) => {
    const image = document.querySelector<SVGImageElement>(".sheet image");
    const box = image?.getBoundingClientRect() ?? new DOMRect();
    return spots.map(([x, y]) => [box.left + x * box.width, box.top + y * box.height] as const);
  }, spots);
  const [first, ...rest] = places;
  if (!first) throw new Error("a stroke has a place");
  await page.mouse.move(...first);
  await page.mouse.down();
  for (const spot of rest) await page.mouse.move(...spot, { steps: 12 });
  await page.mouse.up();
}

/** How much the ground's veil hides at places of the panel, 0 to 255. */
const veiled = (spots: readonly Spot[]) =>
  page.evaluate(async (spots) => {
    const image = new Image();
    image.src = `/api/subject.png?px=400&v=${Math.random()}`;
    await image.decode();
    const canvas = new OffscreenCanvas(image.naturalWidth, image.naturalHeight);
    const ink = canvas.getContext("2d");
    if (!ink) throw new Error("no canvas");
    ink.drawImage(image, 0, 0);
    return spots.map(([x, y]) => ink.getImageData(x * canvas.width, y * canvas.height, 1, 1).data[3] ?? 0);
  }, spots);

const rounds = async () => (await run.seen()).setup.trace.subject?.length ?? 0;
const INSIDE: Spot = [0.5, 0.45];
const CORNERS: readonly Spot[] = [
  [0.03, 0.03],
  [0.97, 0.03],
  [0.97, 0.97],
  [0.03, 0.97],
];

test("marks veil the ground, and undo takes one back", async () => {
  await page.getByText("Kept on disk").waitFor();
  await page.keyboard.press("1");
  await page.getByRole("button", { name: "Mark what becomes wood" }).waitFor();
  expect(await veiled([INSIDE, ...CORNERS])).toEqual([0, 0, 0, 0, 0]);
  await page.keyboard.press("k");
  await drag([
    [0.45, 0.45],
    [0.55, 0.45],
  ]);
  await expect.poll(rounds).toBe(1);
  await page.keyboard.press("g");
  await drag([
    [0.1, 0.1],
    [0.9, 0.1],
    [0.9, 0.9],
    [0.1, 0.9],
    [0.1, 0.1],
  ]);
  await expect.poll(rounds).toBe(2);
  const [kept, ...beyond] = await veiled([INSIDE, ...CORNERS]);
  expect(kept).toBe(0);
  expect(Math.min(...beyond)).toBeGreaterThan(100);
  await page.getByText("2 marks").waitFor();
  expect(await barriers(page)).toEqual([]);
  await page.keyboard.press("Control+z");
  await expect.poll(rounds).toBe(1);
  await page.keyboard.press("Control+Shift+z");
  await expect.poll(rounds).toBe(2);
}, 120_000);

test("a mark is made by keys alone, and the pattern is drawn by the marks", async () => {
  await page.locator(".sheet").focus();
  await page.keyboard.press("k");
  for (const key of ["ArrowRight", "ArrowRight", "Enter"]) await page.keyboard.press(key);
  await expect.poll(rounds).toBe(3);
  await page.getByRole("button", { name: "Draw the pattern anew" }).click();
  const accept = page.getByRole("button", { name: /Accept about/ });
  await accept.waitFor({ timeout: 60_000 });
  const drafted = await page.locator(".sheet .saw").getAttribute("d");
  const corner = await page.evaluate(() => {
    const areas = [...document.querySelectorAll<SVGPathElement>(".sheet path[fill-rule=evenodd]")];
    const box = document.querySelector<SVGImageElement>(".sheet image")?.getBBox() ?? new DOMRect();
    const spot = new DOMPoint(box.width * 0.03, box.height * 0.03);
    return areas.some((area) => area.isPointInFill(spot));
  });
  expect(drafted).toBeTruthy();
  expect(corner).toBe(false);
  await page.getByRole("button", { name: "Leave it" }).click();
  await page.keyboard.press("1");
  await page.getByRole("button", { name: "Take all marks away" }).click();
  await expect.poll(rounds).toBe(0);
  expect(run.faults).toEqual([]);
}, 120_000);
