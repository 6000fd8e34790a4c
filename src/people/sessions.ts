// What this process remembers of live sessions, so that a call costs no reading while nothing has changed.
import { LRUCache } from "lru-cache";
import type { Person } from "../../shared/contracts/people.ts";

/** A session that is alive, and its person as they are now. */
export interface LiveSession {
  readonly sessionId: string;
  readonly expiresAt: Date;
  readonly person: Person;
}

// If a notification is lost (a broken connection), a session that has ended is believed for at most this long.
const oldestMs = 10_000;
const mostRemembered = 10_000;

export class SessionMemory {
  readonly #known = new LRUCache<string, { session: LiveSession; readAt: number }>({ max: mostRemembered });
  #changes = 0;

  /** The session as remembered or read; null where it is over. `read` answers null for one that has ended. */
  async get(sessionId: string, now: Date, read: () => Promise<LiveSession | null>): Promise<LiveSession | null> {
    const known = this.#known.get(sessionId);
    const age = known ? now.getTime() - known.readAt : Number.POSITIVE_INFINITY;
    const session = known && age >= 0 && age < oldestMs ? known.session : await this.#readAfresh(sessionId, now, read);
    return session && now < session.expiresAt ? session : null;
  }

  async #readAfresh(sessionId: string, now: Date, read: () => Promise<LiveSession | null>): Promise<LiveSession | null> {
    const before = this.#changes;
    const session = await read();
    this.#known.delete(sessionId);
    // If something changed while it was read, it may be from before the change: it is used for this call and not remembered.
    if (!session || before !== this.#changes) return session;
    this.#known.set(sessionId, { session, readAt: now.getTime() });
    return session;
  }

  /** Forgets one session: it ended, or its person changed. */
  forget(sessionId: string): void {
    this.#changes += 1;
    this.#known.delete(sessionId);
  }
}
