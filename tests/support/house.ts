// A house for tests: a clean database, a clock that stands still until moved, a silent log.
import { randomUUID } from "node:crypto";
import { rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { pino } from "pino";
import {
  type Config,
  type Database,
  type House,
  idsFrom,
  MovedClock,
  openThreads,
  readConfig,
  saltsFromSystem,
} from "../../src/platform/index.ts";
import { openTestDatabase } from "./database.ts";

// One for all houses of this process, since a test has to wait for each thread that is begun; they end with it.
const threads = openThreads(pino({ level: "silent" }));

export interface TestHouse extends House {
  readonly clock: MovedClock;
  close(): Promise<void>;
}

export const testConfig = (changes: Partial<Config> = {}): Config => ({
  ...readConfig({ NODE_ENV: "test", LOG_LEVEL: "silent", RATE_LIMIT_PER_MINUTE: "1000000", SIGN_IN_LIMIT_PER_MINUTE: "1000000" }),
  ...changes,
});

/** Opens a house that stands at `at`: a Monday morning in summer, unless told otherwise. */
export async function openTestHouse(
  at = "2026-07-13T04:30:00.000Z",
  changes: Partial<Config> = {},
  database?: Database,
): Promise<TestHouse> {
  const db = database ?? (await openTestDatabase());
  const clock = new MovedClock(at);
  // Made by whoever writes there first, if anybody does.
  const dataFolder = join(tmpdir(), `ferrule-test-${randomUUID()}`);
  return {
    db,
    clock,
    config: testConfig({ dataFolder, ...changes }),
    log: pino({ level: "silent" }),
    threads,
    newId: idsFrom(clock),
    newSalt: saltsFromSystem,
    close: async () => {
      await db.close();
      await rm(dataFolder, { recursive: true, force: true });
    },
  };
}
