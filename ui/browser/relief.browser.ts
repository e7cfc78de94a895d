// The relief as a maker says it: marks on six parts, a contradiction and its loosening, heights that are landed on stock;
// a climb and a section by drawing.

import type { Page } from "playwright-core";
import { afterAll, beforeAll, expect, test } from "vitest";
import type { Piece } from "../state/wire";
import { barriers, type OnDemo, onDemo, placeOfPattern } from "./spelk";

let run: OnDemo;
let page: Page;

beforeAll(async () => {
  run = await onDemo();
  page = run.page;
}, 240_000);

afterAll(() => run?.stop());

const seen = () => run.seen();
const rowOf = (number: number) =>
  page
    .locator(".piece-pick")
    .filter({ has: page.locator(".number", { hasText: new RegExp(`^${number}$`) }) });
const pick = async (number: number, more = false) => {
  await rowOf(number).click(more ? { modifiers: ["Shift"] } : {});
};
const revision = async () => (await seen()).revision;
/** Does something that changes the job, and waits until it has. */
async function changes(act: () => Promise<unknown>): Promise<void> {
  const before = await revision();
  await act();
  await expect.poll(revision, { timeout: 60_000 }).toBeGreaterThan(before);
}
const standsAbove = async (upper: number, lower: number) => {
  await page.locator(".sheet").focus();
  await page.keyboard.press("Escape");
  await pick(upper);
  await pick(lower, true);
  await page.getByLabel("By how much").selectOption("lot");
  await changes(() => page.getByRole("button", { name: "Say so" }).click());
};

test("marks on six parts, a contradiction, its loosening, landed heights", async () => {
  await page.waitForSelector("[data-area].piece", { timeout: 60_000 });
  await page.keyboard.press("4");
  const first = await seen();
  const firsts = first.parts
    .map((part) => first.pieces.find((piece) => piece.part === part.id))
    .filter((piece): piece is Piece => piece !== undefined)
    .slice(0, 6);
  expect(firsts.length).toBe(6);
  for (const [at, piece] of firsts.entries()) {
    await pick(piece.number);
    await page.getByLabel("Who is marked").selectOption(String(piece.part));
    const button = page.getByRole("button", { name: at < 3 ? "Near" : "Far", exact: true });
    if ((await button.getAttribute("aria-pressed")) !== "true") await changes(() => button.click());
  }
  const marked = (await seen()).marks.filter(({ whom }) => typeof whom !== "string" && "part" in whom);
  expect(marked.length).toBeGreaterThanOrEqual(6);

  // The highest and the lowest of them, so that only the second saying contradicts what the demo says already.
  const stood = [...firsts].sort((one, other) => (one.height?.value ?? 0) - (other.height?.value ?? 0));
  const [upper, lower] = [stood.at(-1)?.number ?? 0, stood[0]?.number ?? 0];
  await standsAbove(upper, lower);
  await standsAbove(lower, upper);
  await page.getByRole("button", { name: "Work out heights" }).click();
  const note = page.locator(".note.grave");
  await note.getByText("These cannot all hold").waitFor({ timeout: 120_000 });
  const loosen = note.getByRole("button", { name: new RegExp(`^Take back: piece ${lower} at least`) });
  await changes(() => loosen.click());

  await changes(() => page.getByRole("button", { name: "Work out heights" }).click());
  const landed = await seen();
  const { raisers } = landed.setup.stock;
  const thicknesses = [...landed.setup.stock.thicknesses, ...landed.boards.map((board) => board.thickness)];
  for (const piece of landed.pieces) {
    const [thick, lift] = [piece.thickness?.value ?? -1, piece.raiser?.value ?? -1];
    expect(piece.height?.value).toBe(thick + lift);
    expect(thicknesses.includes(thick) && raisers.includes(lift)).toBe(true);
  }
  const height = (number: number) =>
    landed.pieces.find((piece) => piece.number === number)?.height?.value ?? 0;
  expect(height(upper) - height(lower)).toBeGreaterThanOrEqual(landed.setup.steps[2]);
});

test("few planer settings, from afar, within a frame: wished and found on the page", async () => {
  await changes(() => page.getByLabel("Planer settings").selectOption("3"));
  await changes(() => page.getByRole("button", { name: "Work out heights" }).click());
  const thick = new Set((await seen()).pieces.map((piece) => piece.thickness?.value));
  expect(thick.size).toBeLessThanOrEqual(4);

  const highest = Math.max(...(await seen()).pieces.map((piece) => piece.height?.value ?? 0));
  await page.getByLabel(/^Depth of the frame/).fill(String(highest / 1000 - 1));
  await changes(() => page.getByRole("button", { name: "Set", exact: true }).click());
  await page
    .getByRole("button", { name: /Out of the frame/ })
    .first()
    .waitFor({ timeout: 60_000 });
  const [some] = (await seen()).pieces;
  await page.locator(".sheet").focus();
  await page.keyboard.press("Escape");
  await pick(some?.number ?? 0);
  await page.getByLabel("How it stands").selectOption("below_front");
  await changes(() => page.getByRole("button", { name: "Say it stands so" }).click());
  const said = (await seen()).relations.at(-1);
  expect(said?.says).toMatchObject({ at_least: { above: "frame" } });
  expect(said?.words).toContain("below the frame's front at");
  expect(
    await page.getByRole("button", { name: /^Undo: .* below the frame's front by at least/ }).count(),
  ).toBe(1);
  await changes(() => page.getByRole("button", { name: `Take back: ${said?.words}` }).click());
  await changes(() => page.getByLabel("Find borders that do not show from afar").check());
  expect((await seen()).setup.reading?.distance).toBeGreaterThan(1_000_000);
});

test("a climb and a section are drawn over the pattern; axe finds nothing", async () => {
  const box = await placeOfPattern(page, "relief");
  const draw = async () => {
    await page.mouse.move(box.x + box.width * 0.3, box.y + box.height * 0.4);
    await page.mouse.down();
    await page.mouse.move(box.x + box.width * 0.7, box.y + box.height * 0.6, { steps: 12 });
    await page.mouse.up();
  };
  await page.getByRole("button", { name: "Draw a section" }).click();
  await draw();
  await page.getByRole("img", { name: /^Section: \d+: / }).waitFor();
  await page.getByRole("button", { name: "Draw a climb" }).click();
  await draw();
  await page.getByText(/^(Climbs|Falls) over \d+, /).waitFor();
  await page.getByLabel("It must; otherwise it is a wish").last().uncheck();
  await changes(() => page.getByRole("button", { name: "Say so" }).last().click());
  const climb = (await seen()).relations.find((relation) => "climbs" in relation.says);
  const row = climb && "climbs" in climb.says ? climb.says.climbs.row.length : 0;
  expect(row).toBeGreaterThan(1);
  // The row stays lit when it is said, and is lit again when the relation is picked.
  await expect.poll(() => page.locator(".picked .mark").count()).toBe(row);
  await page.locator(".sheet").focus();
  await page.keyboard.press("Escape");
  await expect.poll(() => page.locator(".picked .mark").count()).toBe(0);
  await page
    .getByRole("button", { name: climb?.words ?? "no climb" })
    .first()
    .click();
  await expect.poll(() => page.locator(".picked .mark").count()).toBe(row);
  expect(await barriers(page)).toEqual([]);
  expect(run.faults).toEqual([]);
});
