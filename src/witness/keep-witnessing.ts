// Shows each checkpoint to the witness once it is committed. Nobody waits for this, and nothing fails with it: what the witness did not
// see is shown to it later.
import { setTimeout as pause } from "node:timers/promises";
import type { KeysContext } from "../keys/index.ts";
import type { Gauged } from "../platform/index.ts";
import { NotWitnessed } from "./refused.ts";
import { readLastStamp, readUnwitnessed } from "./store.ts";
import { mostMinutesApart, type Witness } from "./witness.ts";

/** How often it is looked whether there is something to show, and how long nobody is asked after the first failure and at most. */
export interface Pace {
  readonly lookEveryMs: number;
  readonly firstPauseMs: number;
  readonly mostPauseMs: number;
  /** between one question and the next, so that a backlog is no burst */
  readonly betweenMs: number;
}

// Common practice, no source: a service that answers many thousands is not asked more often than that.
const usualPace: Pace = { lookEveryMs: 60_000, firstPauseMs: 60_000, mostPauseMs: 3_600_000, betweenMs: 1000 };

// What is older than this is left alone: every later checkpoint continues it, so what the witness said of one of those says more.
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
    // One from the future was taken by a clock that was ahead; no witness can have seen it yet.
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
