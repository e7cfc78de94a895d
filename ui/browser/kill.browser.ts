// The program is killed, as by the system, amid edits made by hand in the browser; started again, the same page goes on.

import { join } from "node:path";
import type { Page } from "playwright-core";
import { afterAll, beforeAll, expect, test } from "vitest";
import { folderForJobs, paint, type Running, running, said } from "./spelk";

const EDITS = 100;
/** Edits after which the program is killed; a few more are made before the page or the hand has noticed. */
const KILLS = [13, 38, 60, 87];

let run: Running;
let page: Page;
const folder = folderForJobs();

beforeAll(async () => {
  paint(join(folder, "shapes.bmp"), 300, 200);
  said(folder, ..."start shapes.bmp --out shapes.spelk --width 300mm --pieces 8 --keep-all".split(" "));
  run = await running([join(folder, "shapes.spelk")], folder);
  page = run.page;
}, 120_000);

afterAll(() => run?.stop());

interface Step {
  readonly id: number;
  readonly label: string;
}

const steps = () =>
  (JSON.parse(said(folder, "history", "shapes.spelk", "--json")) as Step[]).filter((step) => step.id > first);
let first = 0;

test("no confirmed edit is lost by a kill -9, and the page comes back by itself", async () => {
  const confirmed: number[] = [];
  let edits = 0;
  page.on("response", async (response) => {
    if (!response.url().endsWith("/api/edit") || response.status() !== 200) return;
    const body = await response.json().catch(() => null);
    // Only what came whole was confirmed to the page.
    if (body === null) return;
    confirmed.push((body as { step: number }).step);
    edits += (response.request().postDataJSON() as { edits: unknown[] }).edits.length;
  });
  const field = page.getByLabel("At most this many woods");
  const woods = async () => {
    // Keys lead to a page of the job only once the job is there.
    await page.locator(".kept").waitFor();
    await page.keyboard.press("3");
    await field.waitFor();
  };
  await woods();
  first = Math.max(
    ...(JSON.parse(said(folder, "history", "shapes.spelk", "--json")) as Step[]).map((each) => each.id),
  );

  const alert = page.locator(".note.grave");
  let last = "";
  for (let at = 1; at <= EDITS; at += 1) {
    last = String(2 + (at % 19));
    await field.selectOption(last);
    if (!KILLS.includes(at)) continue;
    // At another moment each time: before, amid and after the write.
    await page.waitForTimeout((at * 7) % 23);
    await run.kill();
    await alert.getByText("spelk does not answer").waitFor({ timeout: 10_000 });
    // An edit to a dead server is not dropped without a word.
    last = String(2 + ((at + 1) % 19));
    await field.selectOption(last);
    await run.again();
    await alert.getByText(/^spelk is back\. Your last/).waitFor({ timeout: 20_000 });
    await page.getByRole("button", { name: "Do it now" }).click();
    await expect.poll(() => field.inputValue()).toBe(last);
    await expect.poll(() => page.locator(".kept").textContent()).toBe("Kept on disk");
  }
  await expect.poll(() => page.locator(".kept").textContent(), { timeout: 20_000 }).toBe("Kept on disk");

  expect(await field.inputValue()).toBe(last);
  const kept = new Set(steps().map((step) => step.id));
  expect(confirmed.filter((step) => !kept.has(step))).toEqual([]);
  // Those made while it was away were sent again; one a kill may have been kept without its answer.
  expect(edits).toBeGreaterThanOrEqual(EDITS);
  expect(edits).toBeLessThanOrEqual(EDITS + KILLS.length);
  // The page shows what the file holds: the same job opened by a fresh window.
  await page.reload();
  await woods();
  expect(await field.inputValue()).toBe(last);
});
