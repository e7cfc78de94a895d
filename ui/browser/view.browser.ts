// The view as a maker sees it: lit at once, turned in 3D by hand and keys, and the solid as Khronos' validator
// (gltf-validator) judges it.

import { readFileSync } from "node:fs";
import { join } from "node:path";
import { AxeBuilder } from "@axe-core/playwright";
import { validateBytes } from "gltf-validator";
import type { Page } from "playwright-core";
import { afterAll, beforeAll, expect, test } from "vitest";
import { solidIn } from "../state/solid";
import { type OnDemo, onDemo, said } from "./spelk";

let run: OnDemo;
let page: Page;

beforeAll(async () => {
  run = await onDemo();
  page = run.page;
}, 240_000);

afterAll(() => run?.stop());

test("the solid is valid glTF, small, upright and in metres, and the same bytes each time", async () => {
  const { folder, job } = run;
  said(folder, "view", job, "--out", "a.glb");
  for (const name of ["b.glb", "c.glb"]) said(folder, "view", job, "--out", name, "--pixels", "300");
  const [a, b, c] = ["a.glb", "b.glb", "c.glb"].map((name) => readFileSync(join(folder, name)));
  if (!a || !b || !c) throw new Error("no solid was written");
  expect(b.equals(c)).toBe(true);
  const report = await validateBytes(new Uint8Array(a));
  expect([report.issues.numErrors, report.issues.numWarnings]).toEqual([0, 0]);
  expect(report.info.materialCount).toBe(3);
  expect(a.length).toBeLessThan(12e6);

  const told = JSON.parse(said(folder, "tell", job, "--json"));
  const solid = solidIn(a.buffer.slice(a.byteOffset, a.byteOffset + a.length) as ArrayBuffer);
  const most = (axis: number) =>
    Math.max(...solid.skins.map((skin) => skin.positions.filter((_, at) => at % 3 === axis).reduce(max)));
  const [width, height] = told.panel_mm;
  const highest = Math.max(...told.pieces.map((piece: { height_mm: number }) => piece.height_mm));
  expect(most(0)).toBeCloseTo(width / 2000, 6);
  expect(most(1)).toBeCloseTo(height / 2000, 6);
  expect(most(2)).toBeCloseTo(highest / 1000, 6);
  const woods = new Set(told.pieces.map((piece: { wood: string }) => piece.wood));
  for (const wood of woods) expect(solid.woods[wood as string]?.finished.length).toBe(solid.years.length);
});

const max = (one: number, other: number) => Math.max(one, other);

test("the page shows a picture soon, turns the relief in 3D, and holds what axe asks", async () => {
  await page.getByText("Kept on disk").waitFor();
  await page.keyboard.press("6");
  await page.locator(".lit img").waitFor({ timeout: 60_000 });
  await page.getByRole("button", { name: "Turn in 3D" }).click();
  await page.locator(".turned .lit, .turned-held:not(.unready)").first().waitFor();
  await page.locator(".turned-held:not(.unready)").waitFor({ timeout: 120_000 });
  const held = page.getByRole("application", { name: /The relief in 3D/ });
  const seen = async () => {
    await page.waitForTimeout(1500);
    return (await held.screenshot()).toString("base64");
  };
  const straight = await seen();
  await held.focus();
  for (let at = 0; at < 6; at++) await page.keyboard.press("ArrowRight");
  const turned = await seen();
  expect(turned).not.toBe(straight);
  await page.getByLabel(/^Years on the wall/).fill("5");
  expect(await seen()).not.toBe(turned);
  await page.keyboard.press("Home");
  for (const colorScheme of ["light", "dark"] as const) {
    await page.emulateMedia({ colorScheme });
    const { violations } = await new AxeBuilder({ page })
      .withTags(["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "best-practice"])
      .analyze();
    expect(violations.map((violation) => violation.id)).toEqual([]);
  }
  await page.getByRole("button", { name: "Lit picture" }).click();
  await page.locator(".lit img").waitFor({ timeout: 60_000 });
  expect(run.faults).toEqual([]);
});

test("a frame is given on the page, and states stand side by side", async () => {
  const ratio = () =>
    page.locator(".lit img").evaluate((image: HTMLImageElement) => image.naturalWidth / image.naturalHeight);
  const bare = await ratio();
  await page.getByLabel(/^Frame/).selectOption("wenge");
  // A frame adds as much to the height as to the width of a picture that lies.
  await expect.poll(ratio, { timeout: 60_000 }).toBeLessThan(bare - 0.02);
  await page.getByLabel("Side by side").selectOption("picture");
  await expect.poll(ratio, { timeout: 60_000 }).toBeCloseTo(bare / 2, 1);
  await page.getByLabel("Side by side").selectOption("backers");
  await expect.poll(ratio, { timeout: 60_000 }).toBeLessThan(0.5);
  const { violations } = await new AxeBuilder({ page })
    .withTags(["wcag2a", "wcag2aa", "best-practice"])
    .analyze();
  expect(violations.map((violation) => violation.id)).toEqual([]);
  expect(run.faults).toEqual([]);
}, 240_000);

test("by its controls the page shows greys, what is seen from afar, and a part alone", async () => {
  await page.getByLabel("Side by side").selectOption("nothing");
  const lit = page.locator(".lit[aria-busy='false'] img");
  /** Of the quick or fine picture as it is shown: its strongest colour, how it changes from pixel to pixel, and how much is lighter than a dark backer. */
  const looks = () => lit.evaluate(measured, undefined, { timeout: 60_000 });
  const woods = await looks();
  expect(woods.colour).toBeGreaterThan(60);

  await page.getByLabel("Light and dark alone").check();
  await expect.poll(async () => (await looks()).colour, { timeout: 60_000 }).toBe(0);
  const greys = await looks();
  const from = page.getByLabel("As the eye sees it from");
  await from.selectOption({ label: "5 m" });
  await expect.poll(async () => (await looks()).rough, { timeout: 60_000 }).toBeLessThan(0.6 * greys.rough);

  await page.getByLabel("Light and dark alone").uncheck();
  await from.selectOption({ label: "close up" });
  await page.getByLabel("Of the work").selectOption({ label: "near wing alone" });
  await expect.poll(async () => (await looks()).pale, { timeout: 60_000 }).toBeLessThan(0.7 * woods.pale);
  const wing = await looks();
  expect(wing.pale).toBeGreaterThan(0.02);
  expect(wing.colour).toBeGreaterThan(20);
  expect(run.faults).toEqual([]);
}, 240_000);

function measured(image: HTMLImageElement) {
  const canvas = document.createElement("canvas");
  const [width, height] = [image.naturalWidth, image.naturalHeight];
  Object.assign(canvas, { width, height });
  const context = canvas.getContext("2d");
  if (!context) throw new Error("the browser draws no picture");
  context.drawImage(image, 0, 0);
  const { data } = context.getImageData(0, 0, width, height);
  let [colour, rough, pale] = [0, 0, 0];
  for (let at = 0; at + 7 < data.length; at += 4) {
    const [red = 0, green = 0, blue = 0, , next = 0] = data.subarray(at, at + 5);
    colour = Math.max(colour, red - blue, red - green);
    rough += Math.abs(red - next) / (width * height);
    if (red > 110) pale += 1 / (width * height);
  }
  return { colour, rough, pale };
}
