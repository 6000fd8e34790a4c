// The tests of `npm run check`: they open no database, no browser and no service, and take a moment each.
import { defineConfig } from "vitest/config";
import whole from "./vitest.ts";

// Files left out because they take seconds (simulations, thousands of random courses, time-stamps that are made and altered, opening the service,
// building the image) or because they need the built pages, which are not made for this check.
const left = {
  rules: ["never-happens.property", "guidance-figures", "forecast-figures", "gauge-error", "time-stamp", "salvage", "papers"],
  house: ["schema", "routes", "openapi", "image", "first-start", "server-address", "commands", "built-pages"],
};

export default defineConfig({
  ...whole,
  test: {
    ...whole.test,
    include: ["tests/rules/**/*.test.ts", "tests/house/**/*.test.ts"],
    exclude: Object.entries(left).flatMap(([folder, names]) => names.map((name) => `tests/${folder}/${name}.test.ts`)),
    // These tests need no global set-up.
    globalSetup: [],
  },
});
