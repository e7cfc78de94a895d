// Starts the built program and a browser on its pages.

import { type ChildProcess, spawn } from "node:child_process";
import { existsSync, mkdtempSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { type Browser, chromium, type Page } from "playwright-core";

const CHROMIUM = ["/usr/bin/chromium", "/usr/bin/chromium-browser", "/usr/bin/google-chrome"];

export interface Running {
  readonly page: Page;
  readonly browser: Browser;
  readonly address: string;
  stop(): Promise<void>;
}

export async function running(words: readonly string[] = []): Promise<Running> {
  const program = process.env.SPELK;
  if (program === undefined) throw new Error("SPELK names the built program");
  const folder = mkdtempSync(join(tmpdir(), "spelk-pages-"));
  const child = spawn(program, ["studio", "--no-browser", "--folder", folder, ...words], {
    env: { ...process.env, SPELK_STATE: join(folder, "state") },
    stdio: ["ignore", "pipe", "inherit"],
  });
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
  return {
    page,
    browser,
    address,
    stop: async () => {
      await browser.close();
      child.kill();
    },
  };
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
