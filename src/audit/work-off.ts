// Makes the packs that were ordered, one at a time in each process. An order that a process left lying is taken up by the next one.

import type { Writable } from "node:stream";
import type { AuditPack, PackFailure } from "../../shared/contracts/audit.ts";
import type { AppContext } from "../acts/index.ts";
import { patiently } from "../platform/index.ts";
import { makePack } from "./make-pack.ts";
import { dropDrafts, keepDraft, openDraft } from "./pack-files.ts";
import { endWork, noteProgress, takeOrder } from "./store.ts";

const channel = "ferrule_packs";

/** Tells everybody that something about a pack is new. */
export const tellPack = (house: AppContext, id: string): Promise<void> => house.db.notify(channel, id);

/** Hears what `tellPack` tells. */
export const subscribeToPacks = (house: AppContext, heard: (id: string) => void): Promise<() => Promise<void>> =>
  house.db.listen(channel, heard);

// Each sign of life is due every half second; a worker that gave none for a minute is gone.
const tellEveryMs = 500;
const lostAfterMs = 60_000;
// What brings the process down three times does so a fourth time.
const mostAttempts = 3;

class Stopped extends Error {}

export interface Worker {
  readonly id: string;
  /** a process that has the store for itself need not wait for the signs of life of another */
  readonly alone: boolean;
  stopped(): boolean;
}

/** Makes all packs that wait. */
export async function workOff(house: AppContext, worker: Worker): Promise<void> {
  for (let first = true; !worker.stopped(); first = false) {
    const now = house.clock.now();
    const lostBefore = worker.alone && first ? new Date(now.getTime() + 1) : new Date(now.getTime() - lostAfterMs);
    const order = await takeOrder(house.db, worker.id, now, lostBefore);
    if (!order) return;
    await workOn(house, worker, order.pack, order.attempts);
    await tellPack(house, order.pack.id);
  }
}

async function workOn(house: AppContext, worker: Worker, pack: AuditPack, attempts: number): Promise<void> {
  const { id } = pack;
  await dropDrafts(house, id);
  const fail = (failure: PackFailure) => endWork(house.db, id, worker.id, house.clock.now(), { failure });
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
      if (!(await noteProgress(house.db, id, worker.id, share, house.clock.now()))) throw new Stopped();
      await tellPack(house, id);
    };
    draft = await openDraft(house, id, worker.id);
    const ended = await makePack(house, pack, draft, progress);
    await keepDraft(house, id, worker.id);
    await endWork(house.db, id, worker.id, house.clock.now(), ended);
  } catch (error) {
    // What failed before anything was written has not closed it.
    draft?.destroy();
    await dropDrafts(house, id);
    if (error instanceof Stopped) return;
    house.log.error({ err: error, packId: id }, "an audit pack could not be made");
    await fail((error as { code?: string }).code === "ENOSPC" ? "disk-full" : "fault");
  }
}

const lookEveryMs = 10_000;

/** Makes packs as they are ordered, and those that were left lying; returns how to stop, which leaves a half-made one for the next start. */
export async function keepPacking(house: AppContext): Promise<() => Promise<void>> {
  let stopping = false;
  const worker: Worker = { id: house.newId(), alone: house.db.kind === "embedded", stopped: () => stopping };
  let again = false;
  let underWay: Promise<void> | null = null;
  const look = (): void => {
    if (stopping) return;
    if (underWay) {
      again = true;
      return;
    }
    underWay = patiently(() => workOff(house, worker))
      .catch((error: unknown) => house.log.error({ err: error }, "audit packs could not be worked off"))
      .finally(() => {
        underWay = null;
        if (again) {
          again = false;
          look();
        }
      });
  };
  const unsubscribe = await subscribeToPacks(house, look);
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
