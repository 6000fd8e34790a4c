// Tells subscribers at which depots something was recorded, by this process or another.
import type { ServiceContext } from "../platform/index.ts";
import { recordedSince } from "./store.ts";

// A look a second for each process, and none while nobody watches. A notification with each act would make every commit wait for the one
// lock that PostgreSQL hands notifications through.
const lookEveryMs = 1000;
// An act carries the time at which it arrived, but can be seen only once it is committed: later, and not in order of arrival.
const latestCommitMs = 30_000;

/** Depots at which something was recorded; null: something that belongs to none, such as the policy. */
type DepotIds = ReadonlySet<string | null>;
/** `telling`: without daily checks that found nothing. */
type Subscriber = (all: DepotIds, telling: DepotIds) => void;

interface Counted {
  readonly all: number;
  readonly telling: number;
}

export class ChangePoller {
  readonly #context: ServiceContext;
  readonly #subscribers = new Set<Subscriber>();
  #timer: ReturnType<typeof setInterval> | undefined;
  #since = new Date(0);
  #counts: ReadonlyMap<string | null, Counted> = new Map();
  #looking = false;

  constructor(context: ServiceContext) {
    this.#context = context;
  }

  async subscribe(subscriber: Subscriber): Promise<() => void> {
    if (this.#subscribers.size === 0) {
      this.#since = new Date(this.#context.clock.now().getTime() - latestCommitMs);
      const rows = await recordedSince(this.#context.db, this.#since, this.#since);
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
      const next = new Date(Math.max(this.#since.getTime(), this.#context.clock.now().getTime() - 2 * latestCommitMs));
      const rows = await recordedSince(this.#context.db, this.#since, next);
      const before = (depotId: string | null): Counted => this.#counts.get(depotId) ?? { all: 0, telling: 0 };
      const changed = new Set(rows.filter(({ depotId, count }) => count !== before(depotId).all).map(({ depotId }) => depotId));
      const telling = new Set(rows.filter((row) => row.telling !== before(row.depotId).telling).map(({ depotId }) => depotId));
      this.#counts = new Map(rows.map(({ depotId, later, tellingLater }) => [depotId, { all: later, telling: tellingLater }]));
      this.#since = next;
      if (changed.size > 0) for (const notify of this.#subscribers) notify(changed, telling);
    } catch (error) {
      this.#context.log.warn({ err: error }, "could not look whether the board has changed");
    } finally {
      this.#looking = false;
    }
  }
}
