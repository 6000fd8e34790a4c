// Checkpoints at least every hour, by whichever process comes first.
import type { KeysContext } from "../keys/index.ts";
import { takeCheckpoint } from "./take-checkpoint.ts";

const everyMs = 3_600_000;
// Looked at more often than that, so that a missed turn is made up for soon.
const lookEveryMs = 10 * 60_000;

/** Takes a checkpoint now if the last one is older than an hour, and goes on so; returns how to stop. */
export function keepSealing(context: KeysContext): () => Promise<void> {
  // A little early rather than late: the turn before the hour is over takes it.
  const look = (): Promise<void> =>
    takeCheckpoint(context, { unlessWithinMs: everyMs - lookEveryMs }).then(
      () => undefined,
      (error: unknown) => context.log.error({ err: error }, "no checkpoint could be taken"),
    );
  let underWay = look();
  const timer = setInterval(() => {
    underWay = underWay.then(look);
  }, lookEveryMs);
  timer.unref();
  return async () => {
    clearInterval(timer);
    await underWay;
  };
}
