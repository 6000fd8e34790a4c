// Has each checkpoint time-stamped once it is committed. Nobody waits for this, and nothing fails because of it: what could not be stamped is
// sent again later.
import { setTimeout as pause } from "node:timers/promises";
import type { KeysContext } from "../keys/index.ts";
import type { Gauged } from "../platform/index.ts";
import { NotWitnessed } from "./refused.ts";
import { readLastStamp, readUnwitnessed } from "./store.ts";
import { mostMinutesApart, type Witness } from "./witness.ts";

/** How often it looks for checkpoints without a time-stamp, and how long it pauses after the first failure and at most. */
export interface Pace {
  readonly lookEveryMs: number;
  readonly firstPauseMs: number;
  readonly mostPauseMs: number;
  /** between two requests, so that a backlog does not become a burst */
  readonly betweenMs: number;
}

// Common practice, no source: a service that answers many thousands is not asked more often than that.
const usualPace: Pace = { lookEveryMs: 60_000, firstPauseMs: 60_000, mostPauseMs: 3_600_000, betweenMs: 1000 };

// Older checkpoints are not sent: every later one continues them, so its time-stamp covers them too.
const mostDays = 31;
const day = 86_400_000;

export interface Witnessing {
  /** for `/metrics` */
  readonly gauges: readonly Gauged[];
  stop(): Promise<void>;
}

/** Begins to show checkpoints, newest first. */
export async function keepWitnessing(context: KeysContext, witness: Witness, pace: Pace = usualPace): Promise<Witnessing> {
  const { db, clock, log } = context;
  const ending = new AbortController();
  let lacking = 0;
  let failures = 0;
  let lastStamp = await readLastStamp(db);

  /** Shows the newest that was not shown; how long to wait before the next. */
  const turn = async (): Promise<number> => {
    const now = clock.now();
    // A checkpoint from the future was taken by a clock that was ahead: it cannot be stamped yet.
    const latest = new Date(now.getTime() + mostMinutesApart * 60_000);
    const found = await readUnwitnessed(db, new Date(now.getTime() - mostDays * day), latest);
    lacking = found.lacking;
    if (!found.newest) return pace.lookEveryMs;
    const { number } = found.newest;
    const { at, authority } = await witness.see(found.newest, ending.signal);
    lacking -= 1;
    if (lastStamp === null || at > lastStamp) lastStamp = at;
    if (failures > 0) log.info({ witness: witness.host, failures }, "the witness answers again");
    failures = 0;
    log.debug({ checkpoint: number, authority, stampedAt: at.toISOString() }, "a checkpoint was time-stamped");
    return lacking > 0 ? pace.betweenMs : pace.lookEveryMs;
  };

  const failed = (error: unknown): number => {
    if (ending.signal.aborted) return 0;
    failures += 1;
    const pauseMs = Math.min(pace.firstPauseMs * 2 ** (failures - 1), pace.mostPauseMs);
    const next = { failures, lacking, nextInSeconds: Math.round(pauseMs / 1000) };
    if (error instanceof NotWitnessed) {
      log.warn({ witness: witness.host, code: error.code, why: error.message, ...next }, "the witness gave no time-stamp that counts");
    } else {
      log.error({ err: error, ...next }, "no checkpoint could be shown to the witness");
    }
    return pauseMs;
  };

  const working = (async () => {
    while (!ending.signal.aborted) {
      const waitMs = await turn().catch(failed);
      await pause(waitMs, undefined, { signal: ending.signal, ref: false }).catch(() => undefined);
    }
  })();

  return {
    gauges: [
      { name: "ferrule_witness_lacking", help: `Checkpoints of the last ${mostDays} days that no witness has seen`, value: () => lacking },
      {
        name: "ferrule_witness_failures",
        help: "Questions to the witness in a row without a time-stamp that counts",
        value: () => failures,
      },
      {
        name: "ferrule_witness_last_timestamp_seconds",
        help: "The moment that the newest time-stamp says, in seconds since 1970; 0 where there is none",
        value: () => (lastStamp?.getTime() ?? 0) / 1000,
      },
    ],
    stop: async () => {
      ending.abort();
      await working;
    },
  };
}
