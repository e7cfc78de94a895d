// The demo, planned once for every test that begins with it.

import { execFileSync } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { TestProject } from "vitest/node";

declare module "vitest" {
  interface ProvidedContext {
    /** The planned job. */
    readonly demo: string;
  }
}

export function setup(project: TestProject) {
  const folder = mkdtempSync(join(tmpdir(), "spelk-demo-"));
  const settings = { SPELK_STATE: join(folder, "state"), SPELK_SHOP: join(folder, "shop.spelk") };
  execFileSync(process.env.SPELK ?? "", ["demo", "demo"], {
    cwd: folder,
    env: { ...process.env, ...settings },
    stdio: "pipe",
  });
  project.provide("demo", join(folder, "demo", "heron.spelk"));
  return () => rmSync(folder, { recursive: true, force: true });
}
