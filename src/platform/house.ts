// What every use case is given: nothing in the house reaches for a global.
import { randomBytes } from "node:crypto";
import type { Logger } from "pino";
import { v7 } from "uuid";
import type { Clock } from "./clock.ts";
import type { Config } from "./config.ts";
import type { Database } from "./database/database.ts";
import type { Threads } from "./threads.ts";

export interface House {
  readonly db: Database;
  readonly clock: Clock;
  readonly config: Config;
  readonly log: Logger;
  /** where long computations are made */
  readonly threads: Threads;
  /** A new UUIDv7. */
  readonly newId: () => string;
  /** 16 bytes that nobody can guess, in hex. */
  readonly newSalt: () => string;
}

/** Salts from the system's randomness. */
export const saltsFromSystem = (): string => randomBytes(16).toString("hex");

/** Ids from the clock handed in and the system's randomness. */
export const idsFrom = (clock: Clock) => (): string => v7({ msecs: clock.now().getTime() });
