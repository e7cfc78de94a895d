// Every page is one window high and wide: what is longer scrolls inside it, and the window itself never.

import { afterAll, beforeAll, expect, test } from "vitest";
import { PLACES } from "../view/shared";
import { type OnDemo, onDemo } from "./spelk";

let run: OnDemo;

beforeAll(async () => {
  run = await onDemo();
}, 240_000);

afterAll(() => run?.stop());

test.each([
  [1400, 900],
  [900, 700],
  [821, 700],
  [800, 600],
])("no page is larger than a window of %i by %i", async (width, height) => {
  const { page } = run;
  await page.setViewportSize({ width, height });
  for (const place of PLACES) {
    await page.evaluate((to) => (location.hash = `#/${to}`), place);
    await page.locator(`.tab[href="#/${place}"][aria-current="page"]`).waitFor();
    await page.locator(".panel").waitFor();
    const { scrollWidth, scrollHeight } = await page.evaluate(() => {
      const { scrollWidth, scrollHeight } = document.documentElement;
      return { scrollWidth, scrollHeight };
    });
    expect([place, scrollWidth, scrollHeight]).toEqual([place, width, height]);
    const help = await page.getByRole("button", { name: "Keys and help" }).boundingBox();
    expect(help && help.x + help.width <= width, place).toBe(true);
  }
});
