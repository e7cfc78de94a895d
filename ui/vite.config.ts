import { defineConfig } from "vitest/config";

// The server's content policy is `default-src 'self'`: nothing may be inlined as data or as a script.
export default defineConfig({
  base: "./",
  // Vite's own transform of TSX is told where the elements come from, so that no plugin is needed.
  oxc: { jsx: { runtime: "automatic", importSource: "preact" } },
  build: {
    outDir: process.env.SPELK_UI_OUT ?? "dist",
    emptyOutDir: true,
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    target: "es2022",
    reportCompressedSize: true,
    // The 3D view is a piece of its own, loaded only when a relief is turned.
    chunkSizeWarningLimit: 600,
  },
  server: { fs: { allow: [".."] } },
  test: { include: ["**/*.test.ts", "**/*.test.tsx"], exclude: ["node_modules", "browser"] },
});
