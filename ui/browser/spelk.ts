// Starts the built program and a browser on its pages.

import { type ChildProcess, execFileSync, spawn } from "node:child_process";
import { once } from "node:events";
import { copyFileSync, existsSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { AxeBuilder } from "@axe-core/playwright";
import { type Browser, chromium, type Page } from "playwright-core";
import { inject } from "vitest";
import type { Seen } from "../state/wire";

const CHROMIUM = ["/usr/bin/chromium", "/usr/bin/chromium-browser", "/usr/bin/google-chrome"];

export interface Running {
  readonly page: Page;
  readonly browser: Browser;
  /** The folder of the jobs, with what the account keeps. */
  readonly folder: string;
  /** Kill -9: the program has no time for anything. */
  kill(): Promise<void>;
  /** Starts the program again, in the same folder with the same words; no browser is told. */
  again(): Promise<void>;
  stop(): Promise<void>;
}

export function folderForJobs(): string {
  return mkdtempSync(join(tmpdir(), "spelk-pages-"));
}

export async function running(
  words: readonly string[] = [],
  folder: string = folderForJobs(),
): Promise<Running> {
  let child = studio(folder, words);
  const address = await addressOf(child);
  const path = process.env.SPELK_CHROMIUM ?? CHROMIUM.find((each) => existsSync(each));
  if (path === undefined) throw new Error("no chromium is installed");
  const browser = await chromium.launch({ executablePath: path, args: ["--no-sandbox"] });
  const context = await browser.newContext({
    viewport: { width: 1280, height: 800 },
    reducedMotion: "reduce",
  });
  const page = await context.newPage();
  await page.goto(address);
  const kill = async () => {
    if (child.exitCode !== null || child.signalCode !== null) return;
    child.kill("SIGKILL");
    await once(child, "exit");
  };
  return {
    page,
    browser,
    folder,
    kill,
    again: async () => {
      child = studio(folder, words);
      await addressOf(child);
    },
    stop: async () => {
      await browser.close();
      await kill();
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

/** The demo planned and opened on the pages; `edits` are made before. */
export interface OnDemo extends Running {
  /** The job's file, in the folder. */
  readonly job: string;
  /** What the page threw, and what three.js complained of. */
  readonly faults: readonly string[];
  seen(): Promise<Seen>;
}

export async function onDemo(edits: readonly unknown[] = []): Promise<OnDemo> {
  const folder = folderForJobs();
  const job = "heron.spelk";
  copyFileSync(inject("demo"), join(folder, job));
  if (edits.length > 0) {
    writeFileSync(join(folder, "edits.json"), JSON.stringify(edits));
    said(folder, "edit", job, "edits.json");
  }
  const run = await running([join(folder, job)], folder);
  const faults: string[] = [];
  run.page.on("pageerror", (error) => faults.push(String(error)));
  // A shader that does not compile is told so, and all stays black.
  run.page.on("console", (told) => {
    if (told.text().includes("THREE")) faults.push(told.text());
  });
  const seen = () => run.page.evaluate(async () => (await (await fetch("/api/seen")).json()) as Seen);
  return { ...run, job, faults, seen };
}

/** What of a page keeps somebody out, by the rules of axe. */
export async function barriers(page: Page): Promise<string[]> {
  const rules = new AxeBuilder({ page }).withTags(["wcag2a", "wcag2aa", "best-practice"]);
  return (await rules.analyze()).violations.map((violation) => violation.id);
}

function program(): string {
  const found = process.env.SPELK;
  if (found === undefined) throw new Error("SPELK names the built program");
  return found;
}

function settings(folder: string): NodeJS.ProcessEnv {
  return { ...process.env, SPELK_STATE: join(folder, "state"), SPELK_SHOP: join(folder, "shop.spelk") };
}

function studio(folder: string, words: readonly string[]): ChildProcess {
  return spawn(program(), ["studio", "--no-browser", "--folder", folder, ...words], {
    env: settings(folder),
    stdio: ["ignore", "pipe", "inherit"],
  });
}

/** What a command prints. */
export function said(folder: string, ...words: string[]): string {
  return execFileSync(program(), words, {
    cwd: folder,
    env: settings(folder),
    maxBuffer: 64 * 1024 * 1024,
    stdio: "pipe",
  }).toString();
}

function addressOf(child: ChildProcess): Promise<string> {
  return new Promise((found, failed) => {
    let text = "";
    child.stdout?.on("data", (data: Buffer) => {
      text += data.toString();
      const address = /http:\/\/\S+/.exec(text)?.[0];
      if (address !== undefined) found(address);
    });
    child.on("exit", () => failed(new Error(`spelk ended before it said where its pages are: ${text}`)));
  });
}

/** A picture of three plain shapes, or of other colours, painted here: a BMP of 24 bits, which needs no library. */
export function paint(path: string, width: number, height: number, colour = shapes): void {
  const row = Math.ceil((width * 3) / 4) * 4;
  const bytes = Buffer.alloc(54 + row * height);
  bytes.write("BM");
  bytes.writeUInt32LE(bytes.length, 2);
  bytes.writeUInt32LE(54, 10);
  bytes.writeUInt32LE(40, 14);
  bytes.writeInt32LE(width, 18);
  bytes.writeInt32LE(height, 22);
  bytes.writeUInt16LE(1, 26);
  bytes.writeUInt16LE(24, 28);
  for (let y = 0; y < height; y += 1)
    for (let x = 0; x < width; x += 1)
      bytes.writeUIntLE(colour(x / width, y / height), 54 + y * row + x * 3, 3);
  writeFileSync(path, bytes);
}

/** The same as a TIFF, bare: one strip of RGB. */
export function paintTiff(path: string, width: number, height: number, colour = shapes): void {
  const [long, short] = [4, 3];
  const fields: [number, number, number][] = [
    [256, long, width],
    [257, long, height],
    [258, short, 8],
    [259, short, 1],
    [262, short, 2],
    [273, long, 200],
    [277, short, 3],
    [278, long, height],
    [279, long, width * height * 3],
  ];
  const bytes = Buffer.alloc(200 + width * height * 3);
  bytes.write("II*\0\x08\0\0\0", "latin1");
  bytes.writeUInt16LE(fields.length, 8);
  for (const [at, [tag, kind, value]] of fields.entries()) {
    bytes.writeUInt16LE(tag, 10 + at * 12);
    bytes.writeUInt16LE(kind, 12 + at * 12);
    bytes.writeUInt32LE(1, 14 + at * 12);
    bytes.writeUInt32LE(value, 18 + at * 12);
  }
  for (let y = 0; y < height; y += 1)
    for (let x = 0; x < width; x += 1)
      bytes.writeUIntBE(colour(x / width, 1 - y / height), 200 + (y * width + x) * 3, 3);
  writeFileSync(path, bytes);
}

/** A board with a dark streak on a bench, and white paper below it, where the pages have their corners at first. */
export function boardBesidePaper(x: number, y: number): number {
  const down = 1 - y;
  if (x > 0.1 && x < 0.9 && down > 0.2 && down < 0.6)
    return Math.abs(down - 0.4) < 0.04 ? 0x7a4a2a : 0xb98a5c;
  if (x > 0.08 && x < 0.52 && down > 0.68 && down < 0.87) return 0xe6e6e6;
  return 0x54504a;
}

/** From below, as a BMP lies. */
function shapes(x: number, y: number): number {
  const round = (cx: number, cy: number, r: number) => (x - cx) ** 2 + (y - cy) ** 2 < r * r;
  if (round(0.3, 0.55, 0.17)) return 0xc4783e;
  if (round(0.7, 0.7, 0.12)) return 0xe8d2a0;
  if (y < 0.25) return 0x483022;
  return x + y > 1.1 ? 0x96a0aa : 0x788c5a;
}

/** Where the pattern lies on the page `place`, once that page is open and rests: opening paints the pattern anew. */
export async function placeOfPattern(page: Page, place: string) {
  await page.locator(`.tab[href="#/${place}"][aria-current="page"]`).waitFor();
  const pattern = page.locator(".sheet");
  let last = "";
  for (;;) {
    await pattern.waitFor();
    const box = await pattern.boundingBox();
    const now = JSON.stringify(box);
    if (box && now === last) return box;
    last = now;
    await page.waitForTimeout(100);
  }
}
