// What `npm run shots` runs: it asserts nothing, so it is no test.
import { defineConfig } from "vitest/config";
import whole from "./vitest.ts";

export default defineConfig({ ...whole, test: { ...whole.test, include: ["tests/web/shots.ts"] } });
