// What hands do besides the mouse: a pasted picture, inches, keys alone; and what a small screen and a missing file make of it.

import { rmSync } from "node:fs";
import { join } from "node:path";
import type { Page } from "playwright-core";
import { afterAll, beforeAll, expect, test } from "vitest";
import type { Seen } from "../state/wire";
import { folderForJobs, paint, placeOfPattern, type Running, running, said } from "./spelk";

let run: Running;
let page: Page;
const folder = folderForJobs();

beforeAll(async () => {
  paint(join(folder, "shapes.bmp"), 300, 200);
  run = await running([], folder);
  page = run.page;
});

afterAll(() => run?.stop());

const seen = () => page.evaluate(async () => (await (await fetch("/api/seen")).json()) as Seen);
const times = async (key: string, count: number) => {
  for (let at = 0; at < count; at += 1) await page.keyboard.press(key);
};
const picked = () => page.locator(".picked .mark").count();

/** As a browser hands over a picture that was copied elsewhere. */
async function pastePicture(): Promise<void> {
  await page.waitForSelector(".drop");
  await page.evaluate(async () => {
    const canvas = document.createElement("canvas");
    [canvas.width, canvas.height] = [300, 200];
    const pen = canvas.getContext("2d");
    if (!pen) throw new Error("no canvas");
    const colours = ["#c4783e", "#e8d2a0", "#483022", "#96a0aa", "#788c5a", "#b04a3a"];
    colours.forEach((colour, at) => {
      pen.fillStyle = colour;
      pen.fillRect((at % 3) * 100, Math.floor(at / 3) * 100, 100, 100);
    });
    const blob = await new Promise<Blob | null>((done) => canvas.toBlob(done, "image/png"));
    const data = new DataTransfer();
    data.items.add(new File([blob as Blob], "image.png", { type: "image/png" }));
    document.dispatchEvent(new ClipboardEvent("paste", { clipboardData: data, bubbles: true }));
  });
}

test("a pasted picture and a width in inches; what was typed outlives a refusal", async () => {
  await pastePicture();
  await page.getByLabel("Title").fill("Six tiles");
  const width = page.getByLabel("Finished width");
  const unit = page.getByLabel("Unit of the width");
  await unit.selectOption("in");
  expect(await width.inputValue()).toBe("16 1/2");
  await width.fill("sixteen");
  await page.getByLabel("Saw the background too").check();
  const draw = page.getByRole("button", { name: "Draw a first pattern" });
  await draw.click();
  await page.getByText("holds no number").waitFor();
  expect(await page.getByLabel("Title").inputValue()).toBe("Six tiles");
  expect(await width.inputValue()).toBe("sixteen");
  await width.fill("12 3/4");
  await draw.click();
  await page.getByText(/^draft: /).waitFor({ timeout: 60_000 });
  expect(await page.getByText("holds no number").count()).toBe(0);
  const { setup } = await seen();
  expect([setup.title, setup.unit, setup.panel.width]).toEqual(["Six tiles", "inch", 323_850]);
});

test("keys alone: accept, walk by number, loop, split, merge, pin, undo", async () => {
  await page.getByRole("slider", { name: "About how many pieces" }).focus();
  await page.keyboard.press("ArrowRight");
  await page.getByText(/^draft: /).waitFor();
  await times("Tab", 2);
  await page.keyboard.press("Enter");
  await page.waitForSelector("[data-area].piece", { timeout: 120_000 });
  const before = (await seen()).pieces.length;
  expect(before).toBeGreaterThanOrEqual(6);

  const sheet = page.locator(".sheet");
  await sheet.focus();
  const lead = page.locator(".page strong").first();
  for (const [key, number] of [
    [".", 1],
    [".", 2],
    [",", 1],
    [",", before],
    [".", 1],
  ] as const) {
    await page.keyboard.press(key);
    await expect.poll(() => lead.textContent()).toBe(`Piece ${number}`);
  }

  // Round everything: the cross starts on the picked piece, Space puts a corner.
  await page.keyboard.press("l");
  await times("Shift+ArrowUp", 10);
  await times("Shift+ArrowLeft", 10);
  await page.keyboard.press(" ");
  for (const [key, count] of [
    ["Shift+ArrowRight", 40],
    ["Shift+ArrowDown", 30],
    ["Shift+ArrowLeft", 40],
  ] as const) {
    await times(key, count);
    await page.keyboard.press(" ");
  }
  await page.keyboard.press("Enter");
  await expect.poll(picked).toBe(before);
  await page.keyboard.press("Escape");
  await expect.poll(picked).toBe(0);

  // A saw line through piece 1, from beyond its left to beyond its right.
  await page.keyboard.press(".");
  await page.keyboard.press("s");
  await times("Shift+ArrowLeft", 10);
  await page.keyboard.press(" ");
  await times("Shift+ArrowRight", 20);
  await page.keyboard.press("Enter");
  await expect.poll(async () => (await seen()).pieces.length).toBe(before + 1);
  await page.keyboard.press("Control+z");
  await expect.poll(async () => (await seen()).pieces.length).toBe(before);

  await page.keyboard.press("3");
  await page.getByRole("button", { name: "Choose woods and grain" }).focus();
  await page.keyboard.press("Enter");
  await page.getByRole("button", { name: /^Pin piece 1:/ }).waitFor({ timeout: 120_000 });
  await expect
    .poll(async () => (await seen()).pieces.every((piece) => piece.wood !== null), { timeout: 60_000 })
    .toBe(true);
  await sheet.focus();
  await page.keyboard.press("Escape");
  await page.keyboard.press(".");
  await page.keyboard.press("w");
  await expect.poll(async () => (await seen()).pieces[0]?.wood?.by).toBe("hand");
  await page.keyboard.press("Control+z");
  await expect.poll(async () => (await seen()).pieces[0]?.wood?.by).toBe("act");
});

test("fingers: a tap picks, one finger moves the panel, two bring it nearer", async () => {
  await page.keyboard.press("2");
  await placeOfPattern(page, "pattern");
  await page.keyboard.press("Escape");
  await page.keyboard.press("0");
  const box = await placeOfPattern(page, "pattern");
  const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
  const fingers = await page.context().newCDPSession(page);
  const touch = (type: "touchStart" | "touchMove" | "touchEnd", ...points: [number, number][]) =>
    fingers.send("Input.dispatchTouchEvent", {
      type,
      touchPoints: points.map(([px, py], id) => ({ x: px, y: py, id })),
    });
  const look = async () => {
    const found = /translate\((\S+) (\S+)\) scale\((\S+)\)/.exec(
      (await page.locator(".sheet > g").getAttribute("transform")) ?? "",
    );
    return { left: Number(found?.[1]), scale: Number(found?.[3]) };
  };

  await touch("touchStart", [x - 20, y - 20]);
  await touch("touchEnd");
  await expect.poll(picked).toBe(1);

  const before = await look();
  await touch("touchStart", [x, y]);
  for (let at = 1; at <= 8; at += 1) await touch("touchMove", [x + at * 10, y]);
  await touch("touchEnd");
  await expect.poll(async () => Math.round((await look()).left - before.left)).toBe(80);
  expect(await picked()).toBe(1);

  await touch("touchStart", [x - 50, y], [x + 50, y]);
  for (let at = 1; at <= 10; at += 1) await touch("touchMove", [x - 50 - at * 5, y], [x + 50 + at * 5, y]);
  await touch("touchEnd");
  await expect.poll(async () => Math.round(((await look()).scale / before.scale) * 10)).toBe(20);
  await page.keyboard.press("0");
});

test("nothing runs off a small screen", async () => {
  for (const width of [360, 800]) {
    await page.setViewportSize({ width, height: 740 });
    for (const place of ["start", "pattern", "woods", "relief", "view"]) {
      await page.evaluate((to) => {
        location.hash = `/${to}`;
      }, place);
      await page.waitForTimeout(150);
      const over = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
      expect({ place, width, over }).toEqual({ place, width, over: 0 });
    }
  }
  await page.setViewportSize({ width: 1280, height: 800 });
});

test("a job that is gone from its place is said to be gone, and leaves the list; what was open stays", async () => {
  said(folder, ..."start shapes.bmp --out gone.spelk --width 300mm --pieces 8 --keep-all".split(" "));
  await page.evaluate(
    async (path) => {
      const init = { method: "POST", headers: { "Content-Type": "application/json" } };
      const tiles = (await (await fetch("/api/desk")).json()).job as string;
      for (const each of [path, tiles])
        await fetch("/api/open", { ...init, body: JSON.stringify({ path: each }) });
      location.hash = "/start";
    },
    join(folder, "gone.spelk"),
  );
  await page.reload();
  const row = page.locator(".recent .button", { hasText: "gone.spelk" });
  await row.waitFor();
  rmSync(join(folder, "gone.spelk"));
  await row.click();
  await page.locator(".note.grave").waitFor();
  await expect.poll(() => row.count()).toBe(0);
  expect((await seen()).setup.title).toBe("Six tiles");
});
