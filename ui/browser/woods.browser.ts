// Woods by the picture's tones: a tone picks its pieces, the nearest wood is taken for all of them, and shows after years.

import { execFileSync } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { AxeBuilder } from "@axe-core/playwright";
import type { Page } from "playwright-core";
import { afterAll, beforeAll, expect, test } from "vitest";
import type { Seen } from "../state/wire";
import { type Running, running } from "./spelk";

let run: Running;
let page: Page;
const faults: string[] = [];
const folder = mkdtempSync(join(tmpdir(), "spelk-woods-"));

beforeAll(async () => {
  execFileSync(process.env.SPELK ?? "", ["demo", "demo"], { cwd: folder });
  run = await running([join(folder, "demo", "heron.spelk")]);
  page = run.page;
  page.on("pageerror", (error) => faults.push(String(error)));
}, 240_000);

afterAll(async () => {
  await run?.stop();
  rmSync(folder, { recursive: true, force: true });
});

const seen = () => page.evaluate(async () => (await (await fetch("/api/seen")).json()) as Seen);

test("a tone's pieces take the nearest wood together", async () => {
  await page.getByText("Kept on disk").waitFor();
  await page.keyboard.press("2");
  await page.getByText("Tones of the picture").click();
  const tones = page.locator("details", { hasText: "Tones of the picture" });
  await tones.getByRole("button").first().click();
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
  const { violations } = await new AxeBuilder({ page })
    .withTags(["wcag2a", "wcag2aa", "best-practice"])
    .analyze();
  expect(violations.map((violation) => violation.id)).toEqual([]);
  expect(faults).toEqual([]);
}, 120_000);
