import { defineConfig } from "vitest/config";

// The built program, its pages in a real browser: slow, so apart from the tests of `state`.
export default defineConfig({
  test: {
    include: ["browser/*.browser.ts"],
    globalSetup: "browser/planned.ts",
    testTimeout: 240_000,
    hookTimeout: 60_000,
    fileParallelism: false,
  },
});
