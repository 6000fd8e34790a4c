// The board as it changes: server-sent events that say at which depots something was recorded. What it was is read from the board itself.

import type { Readable } from "node:stream";
import { onlyRides } from "../../shared/rules/roles.ts";
import type { AppContext } from "../acts/index.ts";
import { eventsFor } from "../people/index.ts";
import { type Actor, type DepotIds, noDepot, quietMs, Signal, type View } from "../platform/index.ts";
import { isDepot } from "./store.ts";

/** An event `changed` with the depots of the view at which something was recorded. Throws `not-found`. */
export async function watchReadiness(context: AppContext, actor: Actor, { depotIds, asked }: View): Promise<Readable> {
  if (asked !== undefined && !(await isDepot(context.db, asked))) throw noDepot();
  return eventsFor(context, actor, (stop) => events(context, depotIds, onlyRides(actor), stop));
}

// A rider's page reads its machines anew with each event: in a busy morning most checks find nothing, and change nothing for other riders.
async function* events(context: AppContext, inView: DepotIds, asRider: boolean, stop: AbortSignal): AsyncGenerator<string> {
  const signal = new Signal();
  let changed = new Set<string>();
  let everywhere = false;
  const unsubscribe = await context.changes.subscribe((all, telling) => {
    const depotIds = asRider ? telling : all;
    everywhere ||= depotIds.has(null);
    for (const id of depotIds) if (id !== null && (inView === null || inView.includes(id))) changed.add(id);
    if (everywhere || changed.size > 0) signal.raise();
  });
  try {
    // Said at once, so that the page knows that it is live.
    yield "event: watching\ndata: {}\n\n";
    while (!stop.aborted) {
      await signal.wait(quietMs, stop);
      if (stop.aborted) return;
      const data = JSON.stringify({ depotIds: everywhere ? null : [...changed] });
      const quiet = !everywhere && changed.size === 0;
      everywhere = false;
      changed = new Set();
      yield quiet ? ": nothing new\n\n" : `event: changed\ndata: ${data}\n\n`;
    }
  } finally {
    unsubscribe();
  }
}
