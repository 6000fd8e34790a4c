// A context for tests: a clean database, a clock that stands still until moved, a silent log.
import { randomUUID } from "node:crypto";
import { rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { pino } from "pino";
import { type AppContext, appContext } from "../../src/acts/index.ts";
import { openDefectsGoAlong } from "../../src/defects/index.ts";
import { makeKeys, readKeys } from "../../src/keys/index.ts";
import { hashSecret } from "../../src/people/index.ts";
import { SessionMemory } from "../../src/people/sessions.ts";
import { makeRefreshToken, TokenReader } from "../../src/people/tokens.ts";
import {
  type Clock,
  type Config,
  type Database,
  EventStreams,
  idsFrom,
  MovedClock,
  openThreads,
  readConfig,
  saltsFromSystem,
} from "../../src/platform/index.ts";
import { askedInText, type TestDatabase } from "./checked-rows.ts";
import { openTestDatabase } from "./database.ts";

// One for all contexts of this process, since a test has to wait for each thread that is begun; they end with it.
const threads = openThreads(pino({ level: "silent" }));
// Takes a while by intent, and no test needs another.
const nobodysHash = hashSecret(makeRefreshToken());

export interface TestContext extends AppContext {
  readonly clock: MovedClock;
  readonly db: TestDatabase;
  close(): Promise<void>;
}

export const testConfig = (changes: Partial<Config> = {}): Config => ({
  ...readConfig({ NODE_ENV: "test", LOG_LEVEL: "silent", RATE_LIMIT_PER_MINUTE: "1000000", SIGN_IN_LIMIT_PER_MINUTE: "1000000" }),
  ...changes,
});

/** Everything that use cases are given, on that database, with keys of its own and a silent log. */
export async function contextOf(db: Database, clock: Clock, config: Config): Promise<AppContext> {
  const log = pino({ level: "silent" });
  const keys = await readKeys(await makeKeys(), "the test's keys");
  const opened = {
    ...{ db, clock, config, log, threads, keys, streams: new EventStreams(log), newId: idsFrom(clock), newSalt: saltsFromSystem },
    signIn: { tokens: new TokenReader(keys, config.issuer), sessions: new SessionMemory(), nobodysHash: await nobodysHash },
  };
  return appContext(opened, openDefectsGoAlong);
}

/** Opens a context that stands at `at`: a Monday morning in summer, unless told otherwise. */
export async function openTestContext(
  at = "2026-07-13T04:30:00.000Z",
  changes: Partial<Config> = {},
  database?: Database,
): Promise<TestContext> {
  const db = database ? askedInText(database) : await openTestDatabase();
  const clock = new MovedClock(at);
  // Made by whoever writes there first, if anybody does.
  const dataFolder = join(tmpdir(), `ferrule-test-${randomUUID()}`);
  return {
    ...(await contextOf(db, clock, testConfig({ dataFolder, ...changes }))),
    ...{ db, clock },
    close: async () => {
      await db.close();
      await rm(dataFolder, { recursive: true, force: true });
    },
  };
}
