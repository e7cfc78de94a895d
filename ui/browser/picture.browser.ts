// Picture: it is framed under the pattern, and before there is one; a stroke marks what becomes wood, a ring what is ground; the veil follows, undo takes a mark back, and the pattern is
// drawn by it. By pointer and by keys.

import { join } from "node:path";
import type { Page } from "playwright-core";
import { afterAll, beforeAll, expect, test } from "vitest";
import { barriers, type OnDemo, onDemo, paint } from "./spelk";

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

test("under the pattern only the picture is moved, by handles and keys, and undo moves it back", async () => {
  const before = await run.seen();
  await page.keyboard.press("1");
  await page.getByRole("button", { name: "Crop, turn, level" }).click();
  await page.getByRole("button", { name: /^Bottom right corner: 0\.0%/ }).focus();
  for (let press = 0; press < 4; press += 1) await page.keyboard.press("Shift+ArrowLeft");
  await page.getByRole("button", { name: /^What is seen: .* 90\.0% wide/ }).focus();
  await page.keyboard.press("ArrowRight");
  await page.getByLabel("Level the picture").fill("200");
  expect(await barriers(page)).toEqual([]);
  await page.getByRole("button", { name: "Frame the picture so" }).click();
  await expect.poll(async () => (await run.seen()).setup.picture?.framing?.turn).toBe(200);
  const framed = await run.seen();
  expect(framed.setup.picture?.framing?.crop.left).toBe(5_000);
  expect(framed.borders).toEqual(before.borders);
  expect(framed.areas.map((area) => area.d)).toEqual(before.areas.map((area) => area.d));
  expect(framed.areas.map((area) => area.picture)).not.toEqual(before.areas.map((area) => area.picture));
  await page.keyboard.press("Control+z");
  await expect.poll(async () => (await run.seen()).setup.picture?.framing ?? null).toBeNull();
  expect((await run.seen()).areas).toEqual(before.areas);
}, 60_000);

test("a picture is turned and cropped before the job begins, and the panel takes the shape", async () => {
  paint(join(run.folder, "shapes.bmp"), 600, 400);
  await page.goto(`${new URL(page.url()).origin}/#/start`);
  await page.locator("input[type=file]").first().setInputFiles(join(run.folder, "shapes.bmp"));
  await page.getByRole("button", { name: "Crop, turn, level" }).click();
  await page.getByRole("button", { name: "Turn right" }).click();
  const held = page.locator(".framer-held");
  await held.scrollIntoViewIfNeeded();
  const box = (await held.boundingBox()) ?? { x: 0, y: 0, width: 0, height: 0 };
  await page.mouse.move(box.x + box.width / 2, box.y + box.height);
  await page.mouse.down();
  await page.mouse.move(box.x + box.width / 2, box.y + box.height * 0.5, { steps: 6 });
  await page.mouse.up();
  expect(await barriers(page)).toEqual([]);
  await page.getByRole("button", { name: "Draw a first pattern" }).click();
  await page.getByRole("button", { name: /Accept about/ }).waitFor({ timeout: 60_000 });
  const { setup } = await run.seen();
  expect(setup.picture?.framing?.turn).toBe(9000);
  expect(setup.panel.height / setup.panel.width).toBeCloseTo(0.75, 1);
  expect(run.faults).toEqual([]);
}, 120_000);

/** A frame with a cross in it, drawn with a pen on white paper; its right arm has a break. */
function crossInFrame(x: number, y: number): number {
  const near = (at: number, of: number) => Math.abs(at - of) < 0.008;
  const [wide, high] = [x > 0.092 && x < 0.908, y > 0.092 && y < 0.908];
  if (near(y, 0.5) && Math.abs(x - 0.7) < 0.012) return 0xf4f2ee;
  const across = wide && (near(y, 0.1) || near(y, 0.5) || near(y, 0.9));
  return across || (high && (near(x, 0.1) || near(x, 0.5) || near(x, 0.9))) ? 0x202020 : 0xf4f2ee;
}

test("a drawing on paper is taken between four corners that keys move", async () => {
  paint(join(run.folder, "cross.bmp"), 900, 600, crossInFrame);
  await page.goto(`${new URL(page.url()).origin}/#/start`);
  await page.locator("input[type=file]").first().setInputFiles(join(run.folder, "cross.bmp"));
  await page.getByLabel(/^It is my own line drawing on paper/).check();
  const ways = {
    "top left": ["ArrowRight", "ArrowDown"],
    "top right": ["ArrowLeft", "ArrowDown"],
    "bottom right": ["ArrowLeft", "ArrowUp"],
    "bottom left": ["ArrowRight", "ArrowUp"],
  };
  for (const [corner, keys] of Object.entries(ways)) {
    await page.getByRole("button", { name: new RegExp(`^Sheet, ${corner} corner`) }).focus();
    for (const key of keys)
      for (let press = 0; press < 2; press += 1) await page.keyboard.press(`Shift+${key}`);
  }
  expect(await barriers(page)).toEqual([]);
  await page.getByRole("button", { name: "Take the drawing as the pattern" }).click();
  await page.getByText("This pattern is your own drawing").waitFor({ timeout: 60_000 });
  expect((await run.seen()).areas.length).toBe(3);
  await page.getByLabel(/^Bridge breaks in lines/).fill("16 mm");
  await page.getByLabel(/^Bridge breaks in lines/).press("Enter");
  await expect.poll(async () => (await run.seen()).setup.trace.bridge).toBe(16_000);
  await page.getByRole("button", { name: "Draw the pattern anew" }).click();
  await expect.poll(async () => (await run.seen()).areas.length, { timeout: 60_000 }).toBe(4);
  const { setup, areas } = await run.seen();
  const quarter = (setup.panel.width * setup.panel.height) / 4e6;
  const shares = areas.map((area) => area.area_mm2 / quarter);
  expect(shares.length).toBe(4);
  expect(Math.min(...shares)).toBeGreaterThan(0.9);
  expect(setup.panel.height / setup.panel.width).toBeCloseTo(2 / 3, 1);
}, 120_000);

test("a mask says which of the picture becomes wood, and ink is chosen at the start", async () => {
  paint(join(run.folder, "shapes.bmp"), 600, 400);
  paint(join(run.folder, "mask.bmp"), 300, 200, (x) => (x < 0.5 ? 0xffffff : 0));
  await page.goto(`${new URL(page.url()).origin}/#/start`);
  await page.locator("input[type=file]").first().setInputFiles(join(run.folder, "shapes.bmp"));
  await page.getByLabel(/^Mask, if you have one/).setInputFiles(join(run.folder, "mask.bmp"));
  await page.getByLabel(/^Dark drawn lines/).selectOption("open");
  await page.getByLabel(/^Dark drawn lines/).selectOption("leave");
  await page.getByRole("button", { name: "Draw a first pattern" }).click();
  await page.getByRole("button", { name: /Accept about/ }).waitFor({ timeout: 60_000 });
  // While the draft is fitted the veil is not made.
  const spots: readonly Spot[] = [
    [0.25, 0.5],
    [0.75, 0.5],
  ];
  const hidden = () =>
    veiled(spots)
      .then((veil) => veil.map((alpha) => alpha > 100))
      .catch(() => []);
  await expect.poll(hidden, { timeout: 30_000 }).toEqual([false, true]);
  // The job that has begun takes another mask, which begins from the whole picture, and lets it go.
  await page.keyboard.press("1");
  paint(join(run.folder, "other.bmp"), 300, 200, (x) => (x < 0.5 ? 0 : 0xffffff));
  paint(join(run.folder, "square.bmp"), 200, 200, () => 0xffffff);
  const first = (await run.seen()).setup.picture;
  await page.getByLabel(/^Mask, if you have one/).setInputFiles(join(run.folder, "other.bmp"));
  await expect.poll(hidden, { timeout: 30_000 }).toEqual([true, false]);
  const second = (await run.seen()).setup.picture;
  expect(second?.unmasked).toBe(first?.unmasked);
  await page.getByLabel(/^Mask, if you have one/).setInputFiles(join(run.folder, "square.bmp"));
  await page.getByText(/The mask has another shape than the picture/).waitFor();
  await page.getByText(/Make the mask from the picture itself/).waitFor();
  expect((await run.seen()).setup.picture).toEqual(second);
  expect(await barriers(page)).toEqual([]);
  await page.getByRole("button", { name: "Take the mask away" }).click();
  await expect.poll(async () => (await run.seen()).setup.picture?.unmasked ?? null).toBeNull();
  await expect.poll(hidden, { timeout: 30_000 }).toEqual([false, false]);
  await page.keyboard.press("Control+z");
  await expect.poll(hidden, { timeout: 30_000 }).toEqual([true, false]);
  await page.keyboard.press("Control+z");
  await expect.poll(async () => (await run.seen()).setup.picture?.hash).toBe(first?.hash);
  // A length takes its unit with it; one out of bounds is said, and what was there stays.
  await page.getByLabel(/^Dark drawn lines/).selectOption("close");
  const bridged = page.getByLabel(/^Bridge breaks in lines/);
  await bridged.fill("1/16 in");
  await bridged.press("Enter");
  await expect.poll(async () => (await run.seen()).setup.trace.bridge).toBe(1588);
  await bridged.fill("3 in");
  await bridged.press("Enter");
  await page.getByText(/0 mm to 20 mm/).waitFor();
  await expect.poll(() => bridged.inputValue()).toBe("1.59");
  expect(run.faults).toEqual([]);
}, 120_000);
