// Checkpoints at least every hour, by whichever process comes first.
import type { KeysContext } from "../keys/index.ts";
import { takeCheckpoint } from "./take-checkpoint.ts";

const everyMs = 3_600_000;
// More often than every hour, so that a missed checkpoint is soon made up for.
const lookEveryMs = 10 * 60_000;

/** Takes a checkpoint whenever the next one would fall due before the next look, now and every ten minutes; returns a function that stops it. */
export function keepSealing(context: KeysContext): () => Promise<void> {
  // A little early rather than late: the last look before the hour is over takes it.
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
