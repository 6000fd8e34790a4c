// The board as it changes: server-sent events that say at which depots something was recorded. What it was, the board itself answers.
import type { Readable } from "node:stream";
import { type Actor, type Database, depotsInView, eventStream, type House, noDepot, quietMs, Signal } from "../platform/index.ts";
import { isDepot, recordedSince } from "./store.ts";

// A look a second for each process, and none while nobody watches. A notification with each act would make every commit wait for the one
// lock that PostgreSQL hands notifications through.
const lookEveryMs = 1000;
// An act is written with the time at which it arrived and is seen when it is committed: later, and not in that order.
const latestCommitMs = 30_000;

/** Depots at which something was recorded; null: something that belongs to none, such as the policy. */
type DepotIds = ReadonlySet<string | null>;
/** `telling`: without daily checks that found nothing. */
type Subscriber = (all: DepotIds, telling: DepotIds) => void;

interface Counted {
  readonly all: number;
  readonly telling: number;
}

class ChangePoller {
  readonly #house: House;
  readonly #subscribers = new Set<Subscriber>();
  #timer: ReturnType<typeof setInterval> | undefined;
  #since = new Date(0);
  #counts: ReadonlyMap<string | null, Counted> = new Map();
  #looking = false;

  constructor(house: House) {
    this.#house = house;
  }

  async subscribe(subscriber: Subscriber): Promise<() => void> {
    if (this.#subscribers.size === 0) {
      this.#since = new Date(this.#house.clock.now().getTime() - latestCommitMs);
      const rows = await recordedSince(this.#house.db, this.#since, this.#since);
      this.#counts = new Map(rows.map(({ depotId, count, telling }) => [depotId, { all: count, telling }]));
      this.#timer ??= setInterval(() => void this.#look(), lookEveryMs);
    }
    this.#subscribers.add(subscriber);
    return () => {
      this.#subscribers.delete(subscriber);
      if (this.#subscribers.size > 0) return;
      clearInterval(this.#timer);
      this.#timer = undefined;
    };
  }

  async #look(): Promise<void> {
    if (this.#looking) return;
    this.#looking = true;
    try {
      const next = new Date(Math.max(this.#since.getTime(), this.#house.clock.now().getTime() - 2 * latestCommitMs));
      const rows = await recordedSince(this.#house.db, this.#since, next);
      const before = (depotId: string | null): Counted => this.#counts.get(depotId) ?? { all: 0, telling: 0 };
      const changed = new Set(rows.filter(({ depotId, count }) => count !== before(depotId).all).map(({ depotId }) => depotId));
      const telling = new Set(rows.filter((row) => row.telling !== before(row.depotId).telling).map(({ depotId }) => depotId));
      this.#counts = new Map(rows.map(({ depotId, later, tellingLater }) => [depotId, { all: later, telling: tellingLater }]));
      this.#since = next;
      if (changed.size > 0) for (const notify of this.#subscribers) notify(changed, telling);
    } catch (error) {
      this.#house.log.warn({ err: error }, "could not look whether the board has changed");
    } finally {
      this.#looking = false;
    }
  }
}

const pollers = new WeakMap<Database, ChangePoller>();

function pollerOf(house: House): ChangePoller {
  let poller = pollers.get(house.db);
  if (!poller) {
    poller = new ChangePoller(house);
    pollers.set(house.db, poller);
  }
  return poller;
}

/** An event `changed` with the depots of the view at which something was recorded. Throws `other-depot`, `not-found`. */
export async function watchReadiness(house: House, actor: Actor, depotId: string | undefined): Promise<Readable> {
  const inView = depotsInView(actor, depotId);
  if (depotId !== undefined && !(await isDepot(house.db, depotId))) throw noDepot();
  return eventStream(house, actor, (stop) => events(house, inView, actor.role === "rider", stop));
}

// A rider's page reads its machines anew with each event: in a busy morning most checks find nothing, and change nothing for other riders.
async function* events(house: House, inView: readonly string[] | null, asRider: boolean, stop: AbortSignal): AsyncGenerator<string> {
  const signal = new Signal();
  let changed = new Set<string>();
  let everywhere = false;
  const unsubscribe = await pollerOf(house).subscribe((all, telling) => {
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
