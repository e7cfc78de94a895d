// The whole job by hand in a real browser, and what axe (axe-core, WCAG 2.1 A and AA) says of each page in both themes.

import { gzipSync } from "node:zlib";
import { AxeBuilder } from "@axe-core/playwright";
import type { Page } from "playwright-core";
import { afterAll, beforeAll, expect, test } from "vitest";
import { type Running, running } from "./spelk";

let run: Running;
let page: Page;
const faults: string[] = [];

beforeAll(async () => {
  run = await running();
  page = run.page;
  page.on("pageerror", (error) => faults.push(String(error)));
  page.on("console", (message) => {
    if (message.type() === "error" && /Content Security Policy/.test(message.text()))
      faults.push(message.text());
  });
});

afterAll(() => run?.stop());

/** A sun over two hills, painted here. */
async function dropPicture(): Promise<void> {
  await page.waitForSelector(".drop");
  await page.evaluate(async () => {
    const canvas = document.createElement("canvas");
    canvas.width = 480;
    canvas.height = 320;
    const pen = canvas.getContext("2d");
    if (!pen) throw new Error("no canvas");
    const shape = (colour: string, draw: () => void) => {
      pen.fillStyle = colour;
      pen.beginPath();
      draw();
      pen.fill();
    };
    shape("#e8d8b0", () => pen.rect(0, 0, 480, 320));
    shape("#c0502c", () => pen.arc(330, 100, 60, 0, 7));
    shape("#7a8a5a", () => pen.ellipse(140, 330, 260, 160, 0, 0, 7));
    shape("#3c4a30", () => pen.ellipse(400, 350, 240, 130, 0, 0, 7));
    shape("#8a5a34", () => pen.rect(90, 110, 36, 130));
    shape("#2c3c24", () => pen.arc(108, 100, 56, 0, 7));
    const blob = await new Promise<Blob | null>((done) => canvas.toBlob(done, "image/png"));
    const data = new DataTransfer();
    data.items.add(new File([blob as Blob], "hills.png", { type: "image/png" }));
    document
      .querySelector(".drop")
      ?.dispatchEvent(new DragEvent("drop", { dataTransfer: data, bubbles: true, cancelable: true }));
  });
}

async function axe(where: string): Promise<void> {
  for (const colorScheme of ["light", "dark"] as const) {
    await page.emulateMedia({ colorScheme });
    const { violations } = await new AxeBuilder({ page })
      .withTags(["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "best-practice"])
      .analyze();
    const said = violations.map(
      (each) => `${where}, ${colorScheme}: ${each.id} ${each.nodes.map((node) => node.target).join(" ")}`,
    );
    expect(said).toEqual([]);
  }
}

test("the first paint takes little script", async () => {
  const fresh = await run.browser.newPage();
  const sizes: Promise<number>[] = [];
  fresh.on("response", (response) => {
    if (response.request().resourceType() === "script")
      sizes.push(response.body().then((body) => gzipSync(body).length));
  });
  await fresh.goto(new URL("/", page.url()).href);
  await fresh.waitForLoadState("load");
  const bytes = (await Promise.all(sizes)).reduce((sum, size) => sum + size, 0);
  expect(bytes).toBeGreaterThan(10_000);
  expect(bytes).toBeLessThan(120_000);
  await fresh.close();
});

const quiet = () =>
  page.waitForFunction(() => !document.querySelector(".note progress"), undefined, { timeout: 120_000 });
const undo = () => page.getByRole("button", { name: /^Undo: / });

test("picture, slide, accept, merge, undo, wood pinned, relation, book; axe finds nothing", async () => {
  await dropPicture();
  await page.getByRole("button", { name: "Draw a first pattern" }).waitFor();
  await axe("start");
  await page.getByLabel("Saw the background too").check();
  await page.getByLabel("Author").fill("painted by the test");
  await page.getByRole("button", { name: "Draw a first pattern" }).click();

  const slider = page.getByRole("slider", { name: "About how many pieces" });
  await slider.waitFor({ timeout: 60_000 });
  await page.getByText(/^draft: /).waitFor({ timeout: 60_000 });
  await slider.fill("40");
  await page.getByRole("button", { name: /^Accept about \d+ pieces/ }).click();
  await page.waitForSelector("[data-area].piece", { timeout: 120_000 });
  await quiet();
  await axe("pattern");

  const count = () => page.locator("[data-area].piece").count();
  const before = await count();
  expect(before).toBeGreaterThan(3);
  await page.locator(".sheet").focus();
  const merge = page.getByRole("button", { name: "Merge", exact: true });
  await page.keyboard.press("ArrowRight");
  await expect.poll(() => page.locator(".picked .mark").count()).toBe(1);
  for (const key of ["ArrowRight", "ArrowDown", "ArrowLeft", "ArrowUp"]) {
    if ((await page.locator(".picked .mark").count()) < 2) await page.keyboard.press(`Shift+${key}`);
    await page.waitForTimeout(100);
  }
  expect(await merge.isEnabled()).toBe(true);
  await page.keyboard.press("m");
  await expect
    .poll(async () => `${await count()} ${await page.locator(".note > p").allInnerTexts()}`)
    .toBe(`${before - 1} `);
  await undo().click();
  await expect.poll(count).toBe(before);

  await page.keyboard.press("3");
  await page.getByRole("button", { name: "Choose woods and grain" }).click();
  await page.getByRole("button", { name: /^Pin piece 1:/ }).click({ timeout: 120_000 });
  await page.getByRole("button", { name: /^Free piece 1:/ }).waitFor();
  await quiet();
  await axe("woods");

  await page.keyboard.press("4");
  await page.getByRole("button", { name: "Work out heights" }).click();
  await page.waitForSelector(".note progress", { timeout: 5_000 }).catch(() => undefined);
  await quiet();
  await page.locator(".piece-pick").nth(0).click();
  await page
    .locator(".piece-pick")
    .nth(1)
    .click({ modifiers: ["Shift"] });
  await page.getByRole("button", { name: "Say so" }).click();
  await page.getByRole("button", { name: /^Take back: / }).waitFor();
  await quiet();
  await axe("relief");

  await page.keyboard.press("5");
  await page.getByLabel("Name, as written on its end").fill("test board");
  await page.getByLabel(/^Length along the grain/).fill("900");
  await page.getByLabel(/^Width/).fill("400");
  await page.getByLabel(/^Thickness/).fill("60");
  await page.getByRole("button", { name: "Put it on the rack" }).click();
  await page.getByRole("heading", { name: "test board" }).waitFor();
  await page.getByRole("button", { name: "Lay out the boards" }).click();
  await page.locator(".laid").first().focus({ timeout: 60_000 });
  const pinned = await page.locator(".laid").first().getAttribute("aria-label");
  await page.keyboard.press("Shift+ArrowRight");
  await page.getByRole("button", { name: `${pinned?.replace("laid", "pinned")}` }).waitFor();
  await quiet();
  await axe("stock");

  await page.keyboard.press("6");
  await page.getByRole("button", { name: "Make the pattern book" }).click();
  const link = page.getByRole("link", { name: "Pattern book, PDF" });
  await link.waitFor({ timeout: 120_000 });
  await quiet();
  await axe("view");
  const [download] = await Promise.all([page.waitForEvent("download"), link.click()]);
  const bytes = await (await download.createReadStream()).toArray();
  expect(Buffer.concat(bytes).subarray(0, 5).toString()).toBe("%PDF-");

  await page.getByRole("button", { name: "Make the prints to cut up" }).click();
  const prints = page.getByRole("link", { name: "Prints to cut up, PDF" });
  await prints.waitFor({ timeout: 120_000 });
  await page.getByText("This saves pattern-book-a4-prints.pdf among your browser’s downloads.").waitFor();
  const [saved] = await Promise.all([page.waitForEvent("download"), prints.click()]);
  expect(saved.suggestedFilename()).toBe("pattern-book-a4-prints.pdf");
  expect(faults).toEqual([]);
});
