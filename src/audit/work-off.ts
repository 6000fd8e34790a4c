// Makes the packs that were ordered, one at a time in each process. An order that a process left lying is taken up by the next one.
import type { Writable } from "node:stream";
import type { AuditPack, PackFailure } from "../../shared/contracts/audit.ts";
import type { AppContext } from "../acts/index.ts";
import { patiently } from "../platform/index.ts";
import { makePack } from "./make-pack.ts";
import { dropDrafts, keepDraft, openDraft } from "./pack-files.ts";
import { endWork, noteProgress, takeOrder } from "./store.ts";

const channel = "ferrule_packs";

/** Tells all processes that something about a pack has changed. */
export const tellPack = (context: AppContext, id: string): Promise<void> => context.db.notify(channel, id);

/** Hears what `tellPack` tells. */
export const subscribeToPacks = (context: AppContext, heard: (id: string) => void): Promise<() => Promise<void>> =>
  context.db.listen(channel, heard);

// A worker gives a sign of life every half second; one that has given none for a minute counts as gone.
const tellEveryMs = 500;
const lostAfterMs = 60_000;
// A pack that has brought the process down three times would do so again.
const mostAttempts = 3;

class Stopped extends Error {}

export interface Worker {
  readonly id: string;
  /** no other process uses the store, so an order that was left half done can be taken up at once */
  readonly alone: boolean;
  stopped(): boolean;
}

/** Makes all packs that wait. */
export async function workOff(context: AppContext, worker: Worker): Promise<void> {
  for (let first = true; !worker.stopped(); first = false) {
    const now = context.clock.now();
    const lostBefore = worker.alone && first ? new Date(now.getTime() + 1) : new Date(now.getTime() - lostAfterMs);
    const order = await takeOrder(context.db, worker.id, now, lostBefore);
    if (!order) return;
    await workOn(context, worker, order.pack, order.attempts);
    await tellPack(context, order.pack.id);
  }
}

async function workOn(context: AppContext, worker: Worker, pack: AuditPack, attempts: number): Promise<void> {
  const { id } = pack;
  await dropDrafts(context, id);
  const fail = (failure: PackFailure) => endWork(context.db, id, worker.id, context.clock.now(), { failure });
  if (attempts > mostAttempts) {
    await fail("ended-each-time");
    return;
  }
  let draft: Writable | null = null;
  try {
    let told = 0;
    const progress = async (share: number): Promise<void> => {
      if (worker.stopped()) throw new Stopped();
      if (Date.now() - told < tellEveryMs) return;
      told = Date.now();
      if (!(await noteProgress(context.db, id, worker.id, share, context.clock.now()))) throw new Stopped();
      await tellPack(context, id);
    };
    draft = await openDraft(context, id, worker.id);
    const ended = await makePack(context, pack, draft, progress);
    await keepDraft(context, id, worker.id);
    await endWork(context.db, id, worker.id, context.clock.now(), ended);
  } catch (error) {
    // If nothing was written before the failure, the draft is still open.
    draft?.destroy();
    await dropDrafts(context, id);
    if (error instanceof Stopped) return;
    context.log.error({ err: error, packId: id }, "an audit pack could not be made");
    await fail((error as { code?: string }).code === "ENOSPC" ? "disk-full" : "fault");
  }
}

const lookEveryMs = 10_000;

/** Makes packs as they are ordered, and takes up those left half done. Returns a function that stops it; a half-made pack is left for the next start. */
export async function keepPacking(context: AppContext): Promise<() => Promise<void>> {
  let stopping = false;
  const worker: Worker = { id: context.newId(), alone: context.db.kind === "embedded", stopped: () => stopping };
  let again = false;
  let underWay: Promise<void> | null = null;
  const look = (): void => {
    if (stopping) return;
    if (underWay) {
      again = true;
      return;
    }
    underWay = patiently(() => workOff(context, worker))
      .catch((error: unknown) => context.log.error({ err: error }, "audit packs could not be worked off"))
      .finally(() => {
        underWay = null;
        if (again) {
          again = false;
          look();
        }
      });
  };
  const unsubscribe = await subscribeToPacks(context, look);
  const timer = setInterval(look, lookEveryMs);
  timer.unref();
  look();
  return async () => {
    stopping = true;
    clearInterval(timer);
    await unsubscribe();
    await underWay;
  };
}
