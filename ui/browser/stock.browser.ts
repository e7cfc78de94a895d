// Stock by hand: boards put on the rack, laid out, a piece pinned, that undone; on a phone's width, and to axe in both themes.

import { join } from "node:path";
import { AxeBuilder } from "@axe-core/playwright";
import type { Page } from "playwright-core";
import { afterAll, beforeAll, expect, test } from "vitest";
import type { Sawn, Seen } from "../state/wire";
import {
  boardBesidePaper,
  folderForJobs,
  onDemo,
  paint,
  paintTiff,
  type Running,
  running,
  said,
} from "./spelk";

let run: Running;
let page: Page;
const folder = folderForJobs();

beforeAll(async () => {
  paint(join(folder, "shapes.bmp"), 300, 200);
  said(folder, "start", "shapes.bmp", "--out", "j.spelk", "--width", "300mm", "--pieces", "12", "--keep-all");
  run = await running([join(folder, "j.spelk")], folder);
  page = run.page;
});

afterAll(() => run?.stop());

const seen = () => page.evaluate(async () => (await (await fetch("/api/seen")).json()) as Seen);

async function putBoard(name: string, wood: string): Promise<void> {
  await page.getByLabel("Name, as written on its end").fill(name);
  await page.getByLabel(/^Wood/).selectOption(wood);
  await page.getByLabel(/^Length along the grain/).fill("900");
  await page.getByLabel(/^Width/).fill("400");
  await page.getByLabel(/^Thickness/).fill("60");
  await page.getByRole("button", { name: "Put it on the rack" }).click();
  await page.getByRole("heading", { name }).waitFor();
}

test("boards are put and laid out; a piece is pinned by keys, and that is undone", async () => {
  await page.waitForSelector("[data-area].piece");
  const woods = [
    ...new Set((await seen()).pieces.flatMap((piece) => (piece.wood ? [piece.wood.value] : []))),
  ];
  expect(woods.length).toBeGreaterThan(1);
  await page.keyboard.press("5");
  for (const [at, wood] of woods.slice(0, 2).entries()) await putBoard(`plank ${at + 1}`, wood);
  await page.getByRole("button", { name: "Lay out the boards" }).click();
  const laid = page.locator(".laid").first();
  await laid.waitFor({ timeout: 120_000 });

  const name = await laid.getAttribute("aria-label");
  const number = Number(/\d+/.exec(name ?? "")?.[0]);
  const lie = async () => (await seen()).lies.find((one) => one.piece === number);
  const before = await lie();
  await laid.focus();
  await page.keyboard.press("Shift+ArrowRight");
  await page.getByRole("button", { name: `Piece ${number}, pinned`, exact: true }).waitFor();
  expect((await lie())?.lie.at[0]).toBe((before?.lie.at[0] ?? 0) + 10_000);
  await page.getByRole("button", { name: /^Undo: / }).click();
  await page.getByRole("button", { name: `Piece ${number}, laid`, exact: true }).waitFor();
  expect(await lie()).toEqual(before);
});

test("a held arrow key moves a piece by every press", async () => {
  const laid = page.locator(".laid").first();
  const number = Number(/\d+/.exec((await laid.getAttribute("aria-label")) ?? "")?.[0]);
  const lie = async () => (await seen()).lies.find((one) => one.piece === number);
  const before = await lie();
  await laid.focus();
  // Quicker than any server answers.
  await page.evaluate(() => {
    const press = () => new KeyboardEvent("keydown", { key: "ArrowRight", bubbles: true });
    for (let pressed = 0; pressed < 10; pressed += 1) document.activeElement?.dispatchEvent(press());
  });
  await expect.poll(async () => (await lie())?.lie.at[0]).toBe((before?.lie.at[0] ?? 0) + 10_000);
  for (let pressed = 0; pressed < 10; pressed += 1) await page.keyboard.press("ArrowLeft", { delay: 3 });
  await expect.poll(async () => (await lie())?.lie.at[0]).toBe(before?.lie.at[0]);
  while ((await lie())?.by === "hand") {
    await page.getByRole("button", { name: /^Undo: / }).click();
    await page.waitForTimeout(100);
  }
  expect(await lie()).toEqual(before);
});

test("Escape in the middle of a drag leaves the piece where it was, and nothing is pinned", async () => {
  const laid = page.locator(".laid").first();
  const box = await laid.locator("text").boundingBox();
  if (!box) throw new Error("the piece is drawn");
  const before = (await seen()).lies;
  const step = (await seen()).step;
  await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2);
  await page.mouse.down();
  await page.mouse.move(box.x + 40, box.y + 10, { steps: 4 });
  expect(await laid.getAttribute("transform")).not.toBe(null);
  await page.keyboard.press("Escape");
  expect(await laid.getAttribute("transform")).toBe(null);
  await page.mouse.move(box.x + 60, box.y + 20, { steps: 2 });
  expect(await laid.getAttribute("transform")).toBe(null);
  await page.mouse.up();
  // Whatever was sent is answered before this is.
  await page.waitForTimeout(300);
  expect((await seen()).lies).toEqual(before);
  expect((await seen()).step).toBe(step);
});

test("a piece says its blade and why, and the blades name their pieces", async () => {
  const laid = page.locator(".laid").first();
  const number = Number(/\d+/.exec((await laid.getAttribute("aria-label")) ?? "")?.[0]);
  const sawn = await page.evaluate(async () => (await (await fetch("/api/saw")).json()) as Sawn);
  const one = sawn.pieces.find((each) => each.piece === number);
  const blade = sawn.blades[one?.blade ?? 0];
  expect(sawn.pieces.length).toBe((await seen()).pieces.length);
  await laid.focus();
  await page.getByText(`Blade No. ${blade?.number}: ${one?.why}.`).waitFor();
  await page.getByRole("heading", { name: "Blades" }).click();
  await page.getByText(new RegExp(`^No\\. ${blade?.number}, \\d+ pieces?: `)).waitFor();
  await page.getByRole("heading", { name: "Blades" }).click();
});

test("a piece is marked as cut at its board, and that is taken back", async () => {
  const laid = page.locator(".laid").first();
  const number = Number(/\d+/.exec((await laid.getAttribute("aria-label")) ?? "")?.[0]);
  const state = async () => (await seen()).pieces.find((one) => one.number === number)?.state;
  const cut = page.getByRole("button", { name: `Piece ${number}, cut`, exact: true });
  await laid.focus();
  await page.getByRole("button", { name: `Note that piece ${number} is cut` }).click();
  await cut.waitFor();
  expect(await state()).toBe("cut");
  expect((await seen()).boards.some((board) => board.used_d !== "")).toBe(true);
  await page.getByRole("button", { name: /^Undo: / }).click();
  await cut.waitFor({ state: "detached" });
  expect(await state()).toBe("planned");
  await page.getByRole("button", { name: `Note that piece ${number} is cut` }).click();
  await cut.waitFor();
  await page.getByRole("button", { name: `Piece ${number} is not cut after all` }).click();
  await cut.waitFor({ state: "detached" });
  expect(await state()).toBe("planned");
  await page.getByRole("button", { name: `Unpin piece ${number}` }).click();
  await page.getByRole("button", { name: `Piece ${number}, laid`, exact: true }).waitFor();
});

test("a photograph that no browser shows is shown all the same", async () => {
  paintTiff(join(folder, "board.tiff"), 600, 450, boardBesidePaper);
  await page.locator("input[type=file]").setInputFiles(join(folder, "board.tiff"));
  const photo = page.getByAltText("The photograph");
  const shape = () =>
    photo.evaluate((img) => {
      const { naturalWidth, naturalHeight } = img as HTMLImageElement;
      return naturalWidth / naturalHeight;
    });
  await expect.poll(shape).toBeCloseTo(4 / 3, 2);
  expect(await page.getByText("cannot be shown").count()).toBe(0);
  await page.getByRole("button", { name: "Leave it" }).click();
  expect(await page.locator("input[type=file]").getAttribute("accept")).toContain("image/tiff");
});

test("a piece is dragged onto another board of its wood, and pinned there", async () => {
  const before = page.viewportSize();
  await page.setViewportSize({ width: 1280, height: 2400 });
  await putBoard("plank 3", (await seen()).boards[0]?.wood ?? "");
  const [own, other] = [page.locator("svg[data-board]").first(), page.locator("svg[data-board]").last()];
  const piece = own.locator(".laid").first();
  const number = Number(/\d+/.exec((await piece.getAttribute("aria-label")) ?? "")?.[0]);
  const [from, to] = [await piece.locator("text").boundingBox(), await other.boundingBox()];
  if (!from || !to) throw new Error("the boards are drawn");
  await page.mouse.move(from.x + from.width / 2, from.y + from.height / 2);
  await page.mouse.down();
  await page.mouse.move(to.x + to.width / 2, to.y + to.height / 2, { steps: 5 });
  await page.mouse.up();
  const id = (await seen()).boards.find((board) => board.name === "plank 3")?.id;
  await expect
    .poll(async () => {
      const lie = (await seen()).lies.find((one) => one.piece === number);
      return [lie?.lie.board, lie?.by];
    })
    .toEqual([id, "hand"]);
  await page.getByRole("button", { name: /^Undo: / }).click();
  await page.getByRole("button", { name: /^Undo: / }).click();
  await expect.poll(async () => (await seen()).boards.length).toBe(2);
  if (before) await page.setViewportSize(before);
});

test("what a dragged piece throws off is laid round it", async () => {
  const demo = await onDemo();
  try {
    const { page } = demo;
    await page.setViewportSize({ width: 1280, height: 2400 });
    const lies = () => page.evaluate(async () => ((await (await fetch("/api/seen")).json()) as Seen).lies);
    await page.waitForSelector("[data-area].piece");
    await page.keyboard.press("5");
    await page.getByRole("button", { name: "Lay out the boards" }).waitFor();
    if ((await lies()).length === 0) await page.getByRole("button", { name: "Lay out the boards" }).click();
    await page.locator(".laid").first().waitFor({ timeout: 60_000 });
    const before = await lies();
    const on = (id: number) => before.filter((one) => one.lie.board === id).length;
    const fullest = before.reduce((best, one) => (on(one.lie.board) > on(best) ? one.lie.board : best), 0);
    const board = page.locator(`svg[data-board="${fullest}"]`);
    await board.scrollIntoViewIfNeeded();
    const sized = await Promise.all(
      (await board.locator(".laid").all()).map(async (piece) => ({ piece, box: await piece.boundingBox() })),
    );
    // The smallest is let go over the middle of the largest, so that it does not reach beyond the board.
    sized.sort(
      (a, b) => (a.box?.height ?? 0) * (a.box?.width ?? 0) - (b.box?.height ?? 0) * (b.box?.width ?? 0),
    );
    const [one, other] = [sized[0]?.piece, sized.at(-1)?.piece];
    const number = Number(/\d+/.exec((await one?.getAttribute("aria-label")) ?? "")?.[0]);
    const [from, to] = [await one?.locator("text").boundingBox(), await other?.locator("text").boundingBox()];
    if (!from || !to) throw new Error("both are drawn");
    await page.mouse.move(from.x + from.width / 2, from.y + from.height / 2);
    await page.mouse.down();
    await page.mouse.move(to.x + to.width / 2, to.y + to.height / 2, { steps: 5 });
    await page.mouse.up();
    await page.getByRole("button", { name: `Piece ${number}, pinned`, exact: true }).waitFor();
    await expect.poll(async () => (await lies()).length, { timeout: 60_000 }).toBe(before.length);
    await page.getByRole("button", { name: /^Undo: / }).click();
    await expect.poll(async () => (await lies()).length).toBeLessThan(before.length);
    await page.getByRole("button", { name: /^Undo: / }).click();
    await expect.poll(lies).toEqual(before);
  } finally {
    await demo.stop();
  }
});

test("a measure that cannot be is told beside its field, and goes once it can", async () => {
  const length = page.getByLabel(/^Length along the grain/);
  const told = page.getByText("Give a length above 0, as in 600 mm.");
  for (const typed of ["-600", "0", "long"]) {
    await length.fill(typed);
    await told.waitFor();
    expect(await length.getAttribute("aria-invalid")).toBe("true");
  }
  await length.fill("99999999");
  await page.getByText("No board is longer than 8000 mm").waitFor();
  await length.fill("600");
  await told.waitFor({ state: "detached" });
});

test("a piece is cut to its neighbour's finished edge, and both are sawn on their line again", async () => {
  const piece = (await seen()).pieces[0]?.number ?? 0;
  await page.getByLabel("Piece to fit").selectOption(String(piece));
  const beside = page.getByLabel("Its neighbour");
  const other = Number(await beside.locator("option").nth(1).getAttribute("value"));
  await beside.selectOption(String(other));
  await page.getByRole("button", { name: "Fit it" }).click();
  await page.getByText(`${piece} is cut to ${other}`).waitFor();
  expect((await seen()).setup.fits).toEqual([{ later: piece, first: other, meets: "cut_to" }]);
  await page.getByRole("button", { name: `Saw ${piece} and ${other} on their line` }).click();
  await expect.poll(async () => (await seen()).setup.fits).toEqual([]);
});

test("a board comes by its photograph; moved corners ask for another look; its colour becomes the wood's", async () => {
  paint(join(folder, "board.bmp"), 600, 450, boardBesidePaper);
  const boards = (await seen()).boards.length;
  const wood = (await seen()).woods[0];
  await page.locator("input[type=file]").setInputFiles(join(folder, "board.bmp"));
  await page.getByLabel("Name, as written on its end").fill("streaked plank");
  await page.getByLabel(/^Wood/).selectOption(wood?.key ?? "");
  await page.getByLabel(/^Length from corner 1 to 2/).fill("480");
  await page.getByLabel(/^Width/).fill("180");
  await page.getByLabel(/^Thickness/).fill("20");
  const look = page.getByRole("button", { name: "Look at the board" });
  await look.click();
  await page.getByRole("heading", { name: "What it shows" }).waitFor();
  await page.getByRole("button", { name: /^Board, first end of the length: 10\.0 % from the left/ }).focus();
  await page.keyboard.press("Shift+ArrowRight");
  await page
    .getByRole("button", { name: /^Board, first end of the length: 12\.0 % from the left/ })
    .waitFor();
  await page.getByRole("heading", { name: "What it shows" }).waitFor({ state: "detached" });
  await page.keyboard.press("Shift+ArrowLeft");
  await look.click();
  await page.getByLabel(/^Take this as the colour of this wood/).check();
  await page.getByRole("button", { name: "Put it on the rack" }).click();
  await page.getByRole("heading", { name: "streaked plank" }).waitFor();
  const now = await seen();
  expect(now.boards.length).toBe(boards + 1);
  const board = now.boards.find((each) => each.name === "streaked plank");
  expect(board?.box_mm).toEqual([0, 0, 480, 180]);
  expect(board?.zones_d).not.toBe("");
  expect(now.woods.find((each) => each.key === wood?.key)?.measured).toBe(true);
  await page.getByRole("button", { name: /^Undo: / }).click();
  await expect.poll(async () => (await seen()).boards.length).toBe(boards);
});

test("a board's price, its faults and zones and how pieces are laid are set by hand; what cannot be is told", async () => {
  const board = async () => (await seen()).boards.find((one) => one.name === "plank 1");
  const id = (await board())?.id;
  const commit = async (label: string | RegExp, text: string) => {
    await page.getByLabel(label).fill(text);
    await page.getByLabel(label).press("Tab");
  };
  await page.getByText("A board of the rack").click();
  await page.getByRole("combobox", { name: "Board", exact: true }).selectOption(String(id));
  await commit(/^What it cost/, "12,5");
  await expect.poll(async () => (await board())?.price).toBe(1250);
  await commit(/^What it cost/, "dear");
  await page.getByText("A price is a figure").waitFor();
  await commit(/^What it cost/, "");
  await expect.poll(async () => (await board())?.price).toBe(null);

  for (const [label, text] of [
    ["From the left, mm", "1 in"],
    ["From the top, mm", "20"],
    ["Long, mm", "30"],
    ["Wide, mm", "4cm"],
  ] as const)
    await page.getByLabel(label).fill(text);
  await page.getByLabel("Wide, mm").press("Enter");
  await expect.poll(async () => (await board())?.faults).toEqual([[25.4, 20, 30, 40]]);
  expect(await page.getByLabel("Long, mm").inputValue()).toBe("");
  await page.getByRole("button", { name: /^Take back: Fault, 25\.4 mm from the left/ }).click();
  await expect.poll(async () => (await board())?.faults).toEqual([]);

  await page.getByLabel("A place on it is").selectOption("zone");
  await page.getByLabel("Its name, such as sapwood").fill("sapwood");
  await page.getByRole("button", { name: "Drag it on the board" }).click();
  const svg = page.locator(`svg[data-board="${id}"]`);
  await svg.scrollIntoViewIfNeeded();
  const box = await svg.boundingBox();
  if (!box) throw new Error("the board is drawn");
  const lies = (await seen()).lies;
  await page.mouse.move(box.x + box.width * 0.25, box.y + box.height * 0.25);
  await page.mouse.down();
  await page.mouse.move(box.x + box.width * 0.75, box.y + box.height * 0.5, { steps: 4 });
  await page.mouse.up();
  const drawn = Number(await page.getByLabel("Long, mm").inputValue());
  expect(Math.abs(drawn - 450)).toBeLessThan(10);
  expect((await seen()).lies).toEqual(lies);
  await page.getByRole("button", { name: "Mark it" }).click();
  await expect.poll(async () => (await board())?.zones.map((zone) => zone.name)).toEqual(["sapwood"]);
  await page.getByRole("button", { name: "Drag it on the board" }).click();

  await page.getByLabel(/^Cut it in two/).fill("5000");
  await page.getByRole("button", { name: "Cut in two", exact: true }).click();
  await page.getByText(/does not make two boards of/).waitFor();
  const boards = (await seen()).boards.length;
  await page.getByLabel(/^Cut it in two/).fill("850");
  await page.getByRole("button", { name: "Cut in two", exact: true }).click();
  await expect.poll(async () => (await seen()).boards.length).toBe(boards + 1);

  await page.getByText("How they are laid").click();
  await commit(/^Grain off its direction/, "95");
  await page.getByText(/^Grain off its direction by at most, degrees: 0 to 90/).waitFor();
  await commit(/^Grain off its direction/, "12.5");
  await expect.poll(async () => (await seen()).setup.laying.grain_within).toBe(1250);
  await commit(/^Between pieces/, "1/4 in");
  await expect.poll(async () => (await seen()).setup.laying.apart).toBe(6350);
  await commit(/^Bought above the need/, "35");
  await expect.poll(async () => (await seen()).setup.laying.allowance).toBe(35);
});

test("axe finds nothing in either theme, and a narrow page is no wider than its screen", async () => {
  for (const colorScheme of ["light", "dark"] as const) {
    await page.emulateMedia({ colorScheme });
    const { violations } = await new AxeBuilder({ page })
      .withTags(["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "best-practice"])
      .analyze();
    expect(violations.map((each) => `${each.id} ${each.nodes.map((node) => node.target).join(" ")}`)).toEqual(
      [],
    );
  }
  await page.setViewportSize({ width: 360, height: 740 });
  await expect.poll(() => page.evaluate(() => document.documentElement.scrollWidth)).toBe(360);
});
