import react from "@vitejs/plugin-react";
import { defineConfig } from "vitest/config";

const SERVER = process.env.CRENA_SERVER ?? "http://127.0.0.1:8765";

export default defineConfig({
  plugins: [react()],
  base: "./",
  build: {
    outDir: "../src/crena/app/page",
    emptyOutDir: true,
    target: "es2023",
    // The content policy allows own files only: nothing is inlined as data, no inline script.
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    chunkSizeWarningLimit: 700,
  },
  // The catalogue of sentences lies in the Python package.
  server: { fs: { allow: [".."] }, proxy: { "/api": { target: SERVER, changeOrigin: true } } },
  test: { environment: "jsdom", setupFiles: ["src/testing/setup.ts"], css: false },
});
