// What every use case is given, so that none uses a global, or something stored in a module or on the database object. Rooms further to the
// right add their own parts (`keys/context.ts`, `people/context.ts`, `acts/context.ts`); main.ts puts it together.
import { randomBytes } from "node:crypto";
import type { Logger } from "pino";
import { v7 } from "uuid";
import type { Clock } from "./clock.ts";
import type { Config } from "./config.ts";
import type { Database } from "./database/database.ts";
import type { EventStreams } from "./http/event-stream.ts";
import type { Threads } from "./threads.ts";

export interface ServiceContext {
  readonly db: Database;
  readonly clock: Clock;
  readonly config: Config;
  readonly log: Logger;
  /** where long computations are made */
  readonly threads: Threads;
  /** the event streams that are open in this process */
  readonly streams: EventStreams;
  /** A new UUIDv7. */
  readonly newId: () => string;
  /** 16 bytes that nobody can guess, in hex. */
  readonly newSalt: () => string;
}

/** Salts from the system's randomness. */
export const saltsFromSystem = (): string => randomBytes(16).toString("hex");

/** Ids from the clock handed in and the system's randomness. */
export const idsFrom = (clock: Clock) => (): string => v7({ msecs: clock.now().getTime() });
