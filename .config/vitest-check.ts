// The tests of `npm run check`: they open no database, no browser and no service, and take a moment each.
import { defineConfig } from "vitest/config";
import whole from "./vitest.ts";

// They take seconds: simulations, thousands of random courses, time-stamps that are made and broken, the service that is opened, the image;
// or they look at the pages as they are made, which is left out here.
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
    // What these take is made when it is first asked for, or not at all.
    globalSetup: [],
  },
});
