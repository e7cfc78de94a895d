// What a maker sees of a refusal and of what is begun: the controls show what is so, words cover no button and go with Escape.

import type { Page } from "playwright-core";
import { afterAll, beforeAll, expect, test } from "vitest";
import { type OnDemo, onDemo, placeOfPattern } from "./spelk";

/** A piece that is cut. */
const CUT = 47;

let run: OnDemo;
let page: Page;

beforeAll(async () => {
  const cut = { piece: CUT, state: "cut", on: [2026, 5, 17], height: null };
  run = await onDemo([{ bench: { log: { became: cut } } }]);
  page = run.page;
  await page.getByText("Kept on disk").waitFor();
}, 240_000);

afterAll(() => run?.stop());

const refusal = () => page.locator(".note.grave");
const picked = (number: number) =>
  page.locator(".piece-pick", { has: page.getByText(String(number), { exact: true }) }).click();

/** A place on the pattern, in the window. */
const inWindow = (x: number, y: number) =>
  page.evaluate(
    ([x = 0, y = 0]) => {
      const panel = document.querySelector<SVGGElement>(".panel-space")?.getScreenCTM();
      const at = new DOMPoint(x, y).matrixTransform(panel ?? undefined);
      return [at.x, at.y] as const;
    },
    [x, y],
  );

/** The largest pieces that are not cut, with the middle of the widest circle in each. */
async function large() {
  const { areas } = await run.seen();
  return areas
    .flatMap(({ number, label }) => (number !== null && number !== CUT && label ? [{ number, label }] : []))
    .sort((a, b) => b.label.r_mm - a.label.r_mm);
}

test("a height that is refused does not stay in its field, and Escape puts the refusal away", async () => {
  await page.keyboard.press("4");
  await placeOfPattern(page, "relief");
  const number = (await large())[0]?.number ?? 0;
  await picked(number);
  const field = page.getByLabel("Height in mm");
  const before = await field.inputValue();
  expect(before).not.toBe("");
  await field.fill("999");
  await page.getByRole("button", { name: "Pin", exact: true }).click();
  await refusal().waitFor();
  await expect.poll(() => field.inputValue()).toBe(before);
  await page.keyboard.press("Escape");
  await refusal().waitFor({ state: "detached" });
  expect(await page.locator(".picked .mark").count()).toBe(1);
});

test("a piece that is cut says so, and what would be refused is off", async () => {
  await picked(CUT);
  const said = page.locator(".panel-body").getByText(`Piece ${CUT} is cut`);
  await said.waitFor();
  expect(await page.getByRole("button", { name: "Free", exact: true }).isDisabled()).toBe(true);
  await page.keyboard.press("3");
  await placeOfPattern(page, "woods");
  await said.waitFor();
  expect(await page.getByRole("combobox", { name: "Wood", exact: true }).isDisabled()).toBe(true);
  await page.keyboard.press("2");
  await placeOfPattern(page, "pattern");
  for (const name of ["Open", "To ground"])
    expect(await page.getByRole("button", { name, exact: true }).isDisabled()).toBe(true);
});

test("a saw line splits what lies under it while another piece is picked; the keys that zoom work from anywhere", async () => {
  const [one, other] = await large();
  if (!one || !other) throw new Error("the demo has large pieces");
  await page.mouse.click(...(await inWindow(other.label.x_mm, other.label.y_mm)));
  const before = (await run.seen()).pieces.length;
  await page.getByRole("button", { name: "Split", exact: true }).click();
  const { x_mm: x, y_mm: y, r_mm: r } = one.label;
  // Down through the widest place, and beyond it as far as its own width: into what lies above and below.
  const drawn = async (far: number) => {
    await page.mouse.move(...(await inWindow(x, y - far)));
    await page.mouse.down();
    await page.mouse.move(...(await inWindow(x, y + far)), { steps: 30 });
    await page.mouse.up();
  };
  await drawn(3 * r);
  await expect.poll(async () => (await run.seen()).pieces.length).toBe(before + 1);
  await page.keyboard.press("Control+z");
  await expect.poll(async () => (await run.seen()).pieces.length).toBe(before);

  await page.getByRole("button", { name: "Undo" }).or(page.locator(".bar .button")).first().focus();
  const look = () => page.locator(".panel-space").getAttribute("transform");
  const whole = await look();
  await page.keyboard.press("+");
  await expect.poll(look).not.toBe(whole);
  await page.keyboard.press("0");
  await expect.poll(look).toBe(whole);
});

test("a refusal covers neither the buttons that zoom nor the handle of the panel, and another tool puts it away", async () => {
  const at = (await large())[0]?.label ?? { x_mm: 0, y_mm: 0 };
  for (const [width, height] of [
    [1280, 800],
    [820, 1100],
    [390, 844],
  ] as const) {
    await page.setViewportSize({ width, height });
    await placeOfPattern(page, "pattern");
    await page.keyboard.press("0");
    await page.keyboard.press("d");
    // A short line that ends within a piece.
    const [x, y] = await inWindow(at.x_mm, at.y_mm);
    await page.mouse.move(x - 4, y);
    await page.mouse.down();
    await page.mouse.move(x + 4, y, { steps: 5 });
    await page.mouse.up();
    await refusal().waitFor();
    const note = await refusal().boundingBox();
    for (const name of [".zoom", ".handle", ".tool-strip", ".panel-body"]) {
      const box = await page
        .locator(name)
        .boundingBox({ timeout: 500 })
        .catch(() => null);
      const clear =
        !note ||
        !box ||
        note.x + note.width <= box.x ||
        box.x + box.width <= note.x ||
        note.y + note.height <= box.y ||
        box.y + box.height <= note.y;
      expect({ width, name, clear }).toEqual({ width, name, clear: true });
    }
    await page.keyboard.press("p");
    await refusal().waitFor({ state: "detached" });
  }
  await page.setViewportSize({ width: 1280, height: 800 });
  expect(run.faults).toEqual([]);
});
