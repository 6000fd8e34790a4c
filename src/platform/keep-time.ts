// Asks the database for its time regularly, and logs an error if this host's clock is off.
import { type BoundClock, mostDriftMs } from "./clock.ts";
import type { ServiceContext } from "./context.ts";
import { readDatabaseMs } from "./database/database.ts";

const everyMs = 15_000;

type Timed = Pick<ServiceContext, "db" | "log"> & { readonly clock: BoundClock };

/** Compares the clocks now and regularly; returns a function that stops it. If the database does not answer, its last answer counts. */
export async function keepTime(context: Timed): Promise<() => Promise<void>> {
  let wasOff = false;
  const look = async (): Promise<void> => {
    const hear = context.clock.asking();
    try {
      hear(await readDatabaseMs(context.db));
    } catch (error) {
      context.log.warn({ err: error }, "the database was not asked for its time");
      return;
    }
    const { isOff, driftMs } = context.clock;
    // Logged at every comparison while it lasts: somebody has to set that clock.
    if (isOff) context.log.error({ driftMs, mostDriftMs }, "the clock of this host is off: the database's time is used");
    else if (wasOff) context.log.info({ driftMs }, "the clock of this host is right again");
    wasOff = isOff;
  };
  let underWay = look();
  await underWay;
  const timer = setInterval(() => {
    underWay = underWay.then(look);
  }, everyMs);
  timer.unref();
  return async () => {
    clearInterval(timer);
    await underWay;
  };
}
