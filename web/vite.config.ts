import react from "@vitejs/plugin-react";
import { defineConfig } from "vitest/config";

export default defineConfig({
  plugins: [react()],
  build: {
    // The server lets nothing in but files of its own: no data: addresses, no scripts in the page.
    assetsInlineLimit: 0,
    modulePreload: false,
    chunkSizeWarningLimit: 2000,
  },
  test: { include: ["test/**/*.test.ts"] },
});
