// Woods: a tone picks its pieces, the nearest wood is taken for all of them, and shows after years; a wood is brushed over
// pieces; grain is drawn over the pattern; a finished test is photographed, a backer taken.

import { join } from "node:path";
import type { Page } from "playwright-core";
import { afterAll, beforeAll, expect, test } from "vitest";
import type { Area, Judged, SectionStretch } from "../state/wire";
import { barriers, type OnDemo, onDemo, paint, placeOfPattern } from "./spelk";

let run: OnDemo;
let page: Page;

/** Piece 1 is sawn: it keeps its wood. */
const SAWN = { bench: { log: { became: { piece: 1, state: "cut", on: [2026, 5, 17], height: null } } } };

beforeAll(async () => {
  // The backer shows through one opening.
  run = await onDemo([SAWN, { pattern: { open: 60 } }]);
  page = run.page;
}, 240_000);

afterAll(() => run?.stop());

const seen = () => run.seen();
/** Where a place of the pattern lies on the page, by the panel's own transform. */
const onPage = (at: { x_mm: number; y_mm: number }) =>
  page.evaluate(({ x_mm, y_mm }) => {
    const panel = document.querySelector<SVGGElement>(".sheet > g");
    const spot = new DOMPoint(x_mm, y_mm).matrixTransform(panel?.getScreenCTM() ?? new DOMMatrix());
    return { x: spot.x, y: spot.y };
  }, at);

test("a tone's pieces take the nearest wood together", async () => {
  await page.getByText("Kept on disk").waitFor();
  await page.keyboard.press("3");
  await page.getByText("Tones of the picture").click();
  const tones = page.locator("details", { hasText: "Tones of the picture" });
  await tones.getByRole("button").nth(1).click();
  const near = page.locator(".section", { has: page.getByRole("heading", { name: "Picked" }) });
  const first = near.locator(".wood-choice").first();
  await first.waitFor({ timeout: 30_000 });
  const count = Number(/(\d+) pieces/.exec(await near.locator("header").innerText())?.[1]);
  const name = (await first.innerText()).split("\n")[0];
  await first.click();
  const taken = async () => {
    const { pieces, woods } = await seen();
    const key = woods.find((wood) => wood.name === name)?.key;
    return pieces.filter((piece) => piece.wood?.by === "hand" && piece.wood.value === key).length;
  };
  await expect.poll(taken).toBe(count);
  expect(count).toBeGreaterThan(3);

  const fills = () =>
    page
      .locator("svg path[fill^='#']")
      .evaluateAll((paths) => paths.map((path) => path.getAttribute("fill")).join());
  const finished = await fills();
  await page.getByLabel("Woods shown").selectOption({ label: "after 20 years on a wall" });
  await expect.poll(fills).not.toBe(finished);
  await page.getByLabel("Woods shown").selectOption({ label: "under the finish" });
  expect(await barriers(page)).toEqual([]);
  expect(run.faults).toEqual([]);
}, 120_000);

/** What lies under a line. */
const section = (line: number[][]) =>
  page.evaluate(async (line) => {
    const asked = {
      method: "POST",
      headers: { "content-type": "application/json" },
      body: JSON.stringify({ line_mm: line }),
    };
    return (await (await fetch("/api/section", asked)).json()).stretches as SectionStretch[];
  }, line);

test("a wood is brushed over pieces in one step; a sawn piece keeps its own", async () => {
  const before = await seen();
  const wood = before.woods.find((each) => !before.pieces.some((piece) => piece.wood?.value === each.key));
  const sawn = before.areas.find((area) => area.number === 1);
  const [from, to] = [sawn, farthest(before.areas, sawn)].map((area) => area?.label);
  if (!wood || !from || !to) throw new Error("the demo has pieces, and woods that it does not use");
  const under = await section([from, to].map(({ x_mm, y_mm }) => [x_mm, y_mm]));
  // What the line only grazes may lie between two looks of the brush.
  const wide = under.filter((each) => each.to_mm - each.from_mm > 3).map((each) => each.area);
  const meant = before.pieces.filter((piece) => wide.includes(piece.area) && piece.number !== 1);
  expect(meant.length).toBeGreaterThan(3);

  await page.keyboard.press("3");
  await page.getByText("Other woods").click();
  await page.getByRole("button", { name: `Brush ${wood.name} over pieces` }).click();
  await placeOfPattern(page, "woods");
  const [begin, end] = [await onPage(from), await onPage(to)];
  // The pointer is known to a pixel: pieces that far beside the line may be brushed as well.
  const pixel =
    Math.hypot(to.x_mm - from.x_mm, to.y_mm - from.y_mm) / Math.hypot(end.x - begin.x, end.y - begin.y);
  const moved = (x: number, y: number) => section([from, to].map(({ x_mm, y_mm }) => [x_mm + x, y_mm + y]));
  const beside = await Promise.all([moved(pixel, 0), moved(-pixel, 0), moved(0, pixel), moved(0, -pixel)]);
  const near = [under, ...beside].flat().map((each) => each.area);
  await page.mouse.move(begin.x, begin.y);
  await page.mouse.down();
  await page.mouse.move(end.x, end.y, { steps: 2 });
  await page.mouse.up();
  const brushed = async () => {
    const { pieces } = await seen();
    return pieces.filter((piece) => piece.wood?.value === wood.key && piece.wood.by === "hand");
  };
  await expect.poll(async () => (await brushed()).length).toBeGreaterThan(0);
  const passed = (await brushed()).map((piece) => piece.area);
  expect(meant.filter((piece) => !passed.includes(piece.area))).toEqual([]);
  expect(passed.filter((area) => !near.includes(area))).toEqual([]);
  expect((await seen()).pieces.find((piece) => piece.number === 1)?.wood).toEqual(
    before.pieces.find((piece) => piece.number === 1)?.wood,
  );

  await page.getByText("Piece 1 is cut already").waitFor();

  await page.keyboard.press("Control+z");
  await expect.poll(async () => (await brushed()).length).toBe(0);

  // By keys alone: the pieces picked take the wood on the brush.
  await page.keyboard.press("Escape");
  await page.locator(".piece-pick").nth(1).click();
  await page.locator(".sheet").focus();
  await page.keyboard.press("r");
  await page.keyboard.press("Enter");
  await expect.poll(async () => (await brushed()).map((piece) => piece.number)).toEqual([2]);
  await page.keyboard.press("Escape");
  await expect.poll(() => page.locator(".stage").getAttribute("data-tool")).toBe("pick");
  expect(run.faults).toEqual([]);
}, 120_000);

test("strokes of grain spread over the pieces, and an arrow turns one by hand", async () => {
  const { panel } = (await seen()).setup;
  await page.keyboard.press("Escape");
  await page.getByText("Grain over the subject").click();
  await page.getByRole("button", { name: "Draw strokes" }).click();
  // Straight up, twice, so that no piece would lie so by its length alone.
  for (const share of [0.3, 0.7]) {
    const x_mm = (share * panel.width) / 1000;
    const [low, high] = [0.9, 0.1].map((down) => ({ x_mm, y_mm: (down * panel.height) / 1000 }));
    if (!low || !high) throw new Error("two places were made");
    const [begin, end] = [await onPage(low), await onPage(high)];
    await page.mouse.move(begin.x, begin.y);
    await page.mouse.down();
    await page.mouse.move(end.x, end.y, { steps: 5 });
    await page.mouse.up();
    const drawn = share < 0.5 ? 1 : 2;
    await expect.poll(async () => (await seen()).setup.strokes.length).toBe(drawn);
    await expect.poll(() => page.locator(".strokes g").count()).toBe(drawn);
  }
  await page.getByRole("button", { name: "Spread over the pieces" }).click();
  const upright = async () => {
    const open = (await seen()).pieces.filter(
      (piece) => piece.state === "planned" && piece.grain_by === "act",
    );
    const near = open.filter((piece) => Math.abs((piece.grain_deg ?? 0) - 90) <= 30);
    return near.length / open.length;
  };
  // Some lie off a thin neck, and turn further.
  await expect.poll(upright, { timeout: 60_000 }).toBeGreaterThan(0.85);
  await page.getByRole("button", { name: "Take stroke 2 away" }).click();
  await expect.poll(async () => (await seen()).setup.strokes.length).toBe(1);
  await page.keyboard.press("Control+z");
  await expect.poll(async () => (await seen()).setup.strokes.length).toBe(2);

  await page.keyboard.press("Escape");
  const row = page.locator(".piece-pick").nth(16);
  const number = Number(await row.locator(".number").textContent());
  await row.click();
  const grain = async () => (await seen()).pieces.find((piece) => piece.number === number);
  const before = (await grain())?.grain_deg ?? Number.NaN;
  const arrow = page.getByRole("slider", { name: `Grain of piece ${number}` }).and(page.locator("g"));
  await arrow.focus();
  await page.keyboard.press("ArrowUp");
  await expect.poll(async () => (await grain())?.grain_by).toBe("hand");
  const turned = (((await grain())?.grain_deg ?? 0) - before + 180) % 180;
  expect(Math.abs(turned - 5)).toBeLessThanOrEqual(0.5);
  const [knob, label] = [
    await arrow.locator("circle").first().boundingBox(),
    (await seen()).areas.find((area) => area.number === number)?.label,
  ];
  if (!knob || !label) throw new Error("the arrow has knobs, and its piece a middle");
  const middle = await onPage(label);
  await page.mouse.move(knob.x + knob.width / 2, knob.y + knob.height / 2);
  await page.mouse.down();
  await page.mouse.move(middle.x + 60, middle.y - 60, { steps: 4 });
  await page.mouse.up();
  await expect.poll(async () => (await grain())?.grain_deg).toBe(45);
  expect(await barriers(page)).toEqual([]);
  expect(run.faults).toEqual([]);
}, 120_000);

test("a photograph of a finished test settles what could not be told; a backer is taken from those side by side", async () => {
  const judged = () => page.evaluate(async () => (await (await fetch("/api/woods/judged")).json()) as Judged);
  const [pair] = (await judged()).tests;
  if (!pair) throw new Error("the demo has woods of which nobody measured the colour");
  const looks = async () => {
    const { woods } = await seen();
    return pair.woods.map((key) => woods.find((wood) => wood.key === key)?.finished ?? "");
  };
  const before = await looks();
  // The darker one much darker than the table has it, the other as it is, above them white paper.
  const [one = 0, other = 0] = before.map((hex) => Number.parseInt(hex.slice(1), 16));
  const light = (rgb: number) => [16, 8, 0].reduce((sum, by) => sum + ((rgb >> by) & 255), 0);
  const darker = (rgb: number) =>
    [16, 8, 0].reduce((all, by) => all | (Math.round(((rgb >> by) & 255) * 0.6) << by), 0);
  const [left, right] = light(one) < light(other) ? [darker(one), other] : [one, darker(other)];
  const photo = join(run.folder, "test.bmp");
  paint(photo, 400, 300, (x, y) => (y < 0.4 ? 0xe6e6e6 : x < 0.5 ? left : right));

  await page.getByText("To be told on offcuts").click();
  await page.locator("input[type=file]").first().setInputFiles(photo);
  await page.getByLabel("Who made the test").fill("A. Maker");
  await page.getByLabel("The white is").selectOption({ label: "White copy paper" });
  await page.getByRole("button", { name: "Look at the pieces" }).click();
  await page.getByRole("heading", { name: "What it shows" }).waitFor();
  const shown = await page
    .locator(".found-colour rect")
    .evaluateAll((rects) => rects.map((rect) => rect.getAttribute("fill") ?? ""));
  expect(await barriers(page)).toEqual([]);
  await page.getByRole("button", { name: "Take these colours in this job" }).click();
  await expect.poll(looks).toEqual(shown);
  expect(shown).not.toEqual(before);
  const open = (await judged()).tests.map((test) => test.woods.join());
  expect(open).not.toContain(pair.woods.join());

  await page.getByText("Backers side by side").click();
  const { backer } = (await seen()).setup;
  await page.locator(".side-by-side").getByRole("button", { name: "Take it" }).first().click();
  await expect.poll(async () => (await seen()).setup.backer).not.toBe(backer);
  expect(await barriers(page)).toEqual([]);
  expect(run.faults).toEqual([]);
}, 120_000);

function farthest(areas: readonly Area[], from: Area | undefined): Area | undefined {
  const far = ({ label }: Area) =>
    Math.hypot((label?.x_mm ?? 0) - (from?.label?.x_mm ?? 0), (label?.y_mm ?? 0) - (from?.label?.y_mm ?? 0));
  return areas.filter((area) => area.number !== null).sort((a, b) => far(b) - far(a))[0];
}
