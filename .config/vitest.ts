import { defineConfig } from "vitest/config";

export default defineConfig({
  root: new URL("..", import.meta.url).pathname,
  test: {
    include: ["tests/**/*.test.ts"],
    // As in the service, all words are learnt before anything is said; rows are compared with what their statements declare; a property that failed is replayed by the seed that it printed.
    setupFiles: ["shared/words/index.ts", "tests/support/rows-as-declared.ts", ...(process.env["FC_SEED"] === undefined ? [] : ["tests/support/replay.ts"])],
    globalSetup: ["tests/support/global-setup.ts"],
    // An embedded database per file takes a moment to unpack on a small machine.
    // Nobody waits for these on an idle machine: they end what hangs, and a test beside many busy processes takes ten times as long as alone.
    testTimeout: 600_000,
    hookTimeout: 900_000,
    // So is what a test waits for: a second, as by default, is soon over beside others.
    expect: { poll: { timeout: 60_000, interval: 50 } },
    pool: "forks",
    // Both cores, and the modules of the service are loaded once for each worker, not for each of ninety files: no test
    // keeps anything between files but in its own database, and this halves the time that lands a change.
    maxWorkers: 2,
    isolate: false,
    // No test hangs on those before it in its file: where the work is landed they run in another order than they stand, the same each time,
    // so that what lands is what was seen. `--sequence.shuffle.tests` draws a new one.
    ...(process.env["CI"] === undefined ? {} : { sequence: { shuffle: { tests: true }, seed: 7 } }),
  },
});
