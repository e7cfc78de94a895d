// What is done at the bench, noted on the pages: a piece, a whole part, a wrong note taken back, and what shows of it.

import type { Page } from "playwright-core";
import { afterAll, beforeAll, expect, test } from "vitest";
import { barriers, type OnDemo, onDemo, placeOfPattern } from "./spelk";

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

const piece = async (number: number) => (await run.seen()).pieces.find((each) => each.number === number);
const state = async (number: number) => (await piece(number))?.state;
const marked = (how: string) => page.locator(`.begun .${how}`).count();

test("a piece is noted as cut and set with its measured height; the wrong note is taken back", async () => {
  await page.locator(".sheet").focus();
  await page.keyboard.press(".");
  await page.getByRole("button", { name: "Note that piece 1 is cut" }).click();
  await expect.poll(() => state(1)).toBe("cut");
  await expect.poll(() => marked("cut")).toBe(1);
  await page.getByText("Piece 1 is noted as cut.").waitFor();

  await page.getByLabel(/^Its height as measured/).fill("nothing");
  expect(await page.getByRole("button", { name: "Note that piece 1 is set" }).isDisabled()).toBe(true);
  await page.getByLabel(/^Its height as measured/).fill("9999");
  await page.getByRole("button", { name: "Note that piece 1 is set" }).click();
  await page.getByText(/A measured height of .* cannot be/).waitFor();
  expect(await state(1)).toBe("cut");
  await page.getByLabel(/^Its height as measured/).fill("20.7");
  await page.getByRole("button", { name: "Note that piece 1 is set" }).click();
  await expect.poll(() => state(1)).toBe("set");
  expect((await piece(1))?.height).toEqual({ value: 20_700, by: "fact" });
  await expect.poll(() => marked("set")).toBe(1);

  await page.getByRole("button", { name: "Piece 1 is not set after all" }).click();
  await expect.poll(() => state(1)).toBe("cut");
  await page.getByRole("button", { name: "Piece 1 is not cut after all" }).click();
  await expect.poll(() => state(1)).toBe("planned");
  await expect.poll(() => page.locator(".begun path").count()).toBe(0);
});

test("a whole part is noted at once, counted, and undo beside the note takes it back", async () => {
  const part = (await run.seen()).parts.find((each) => each.pieces.length > 3);
  if (!part) throw new Error("the demo names parts");
  const row = page
    .locator("li", { has: page.getByRole("button", { name: new RegExp(`^${part.name} `) }) })
    .last();
  await row.getByText("At the bench: not begun").click();
  await row.getByRole("button", { name: /^Note that all \d+ pieces are cut$/ }).click();
  const count = async (how: string) =>
    (await run.seen()).pieces.filter((each) => part.pieces.includes(each.number) && each.state === how)
      .length;
  await expect.poll(() => count("cut")).toBe(part.pieces.length);
  // With the parts within it.
  await row.getByText(/At the bench: (\d+) of \1 cut/).waitFor();
  expect(await barriers(page)).toEqual([]);
  await page.locator(".note").getByRole("button", { name: "Undo" }).click();
  await expect.poll(() => count("planned")).toBe(part.pieces.length);
  await row.getByText("At the bench: not begun").waitFor();
});

test("on the page Stock a piece on a board is noted, and counts as laid; a board taken off says what lay on it", async () => {
  await page.keyboard.press("5");
  if ((await run.seen()).lies.length === 0)
    await page.getByRole("button", { name: "Lay out the boards" }).click();
  const laid = page.locator(".laid").first();
  await laid.waitFor({ timeout: 60_000 });
  const { lies, boards } = await run.seen();
  const board = boards.find((each) => lies.some((one) => one.lie.board === each.id));
  const lay = lies.filter((one) => one.lie.board === board?.id).map((one) => one.piece);
  await page.getByRole("button", { name: `Take ${board?.name} off the rack` }).click();
  const note = page.locator(".note", { hasText: `${board?.name} is off the rack.` });
  await note.waitFor();
  expect(await note.textContent()).toContain(String(Math.min(...lay)));
  await note.getByRole("button", { name: "Undo" }).click();
  await expect.poll(async () => (await run.seen()).boards.length).toBe(boards.length);
  expect((await run.seen()).lies.length).toBe(lies.length);

  const number = Number(/\d+/.exec((await laid.getAttribute("aria-label")) ?? "")?.[0]);
  await laid.focus();
  await page.getByRole("button", { name: `Note that piece ${number} is set` }).click();
  await expect.poll(() => state(number)).toBe("set");
  await page
    .getByText(/on no board$|^all laid$/)
    .first()
    .waitFor();
  expect(run.faults).toEqual([]);
});
