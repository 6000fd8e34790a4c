import { defineConfig } from "vitest/config";

export default defineConfig({
  root: new URL("..", import.meta.url).pathname,
  test: {
    include: ["tests/**/*.test.ts"],
    // As in the service, all words are loaded first; every row is compared with what its statement declares; FC_SEED replays a property that failed.
    setupFiles: ["shared/words/index.ts", "tests/support/rows-as-declared.ts", ...(process.env["FC_SEED"] === undefined ? [] : ["tests/support/replay.ts"])],
    globalSetup: ["tests/support/global-setup.ts"],
    // These limits only end tests that hang. They are long, since an embedded database for each file takes a moment to unpack on a small machine,
    // and beside many busy processes a test takes ten times as long as alone.
    testTimeout: 600_000,
    hookTimeout: 900_000,
    // The same for what a test polls for: the default of a second is soon over beside busy processes.
    expect: { poll: { timeout: 60_000, interval: 50 } },
    pool: "forks",
    // Two workers, each loading the modules of the service once and not for each file: no test keeps anything between files except in its own
    // database, and this halves the time of a run.
    maxWorkers: 2,
    isolate: false,
    // No test may depend on those before it in its file: in CI they run in a shuffled order, the same each time, so that a failure can be
    // reproduced. `--sequence.shuffle.tests` with another seed gives another order.
    ...(process.env["CI"] === undefined ? {} : { sequence: { shuffle: { tests: true }, seed: 7 } }),
  },
});
