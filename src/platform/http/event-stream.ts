// Server-sent events (WHATWG HTML, 'Server-sent events'): a stream that its reader or the closing service ends, and a wait that can be cut short.
import { Readable } from "node:stream";
import type { Actor } from "../actor.ts";
import type { Database } from "../database/database.ts";
import { platformErrors } from "../errors.ts";
import type { House } from "../house.ts";

/** A line that says nothing, after so long a silence, keeps proxies from taking it for an end. */
export const quietMs = 15_000;

/** each with the session that it was opened in */
const open = new Map<AbortController, string>();

/** Ends all that is being watched, so that a service that closes waits for nobody's page. */
export function endWatching(): void {
  for (const watching of open.keys()) watching.abort();
}

/** Ends what is watched in a session that has ended, or whose person has changed: whoever still may opens it anew. */
export function endWatchingIn(sessionId: string): void {
  for (const [watching, session] of open) if (session === sessionId) watching.abort();
}

type MayGoOn = (actor: Actor) => Promise<boolean>;

const asking = new WeakMap<Database, MayGoOn>();

/** What is asked again while somebody watches: a session also runs out, and word of its end can be lost. */
export const askAgainWith = ({ db }: House, mayGoOn: MayGoOn): void => void asking.set(db, mayGoOn);

/** As many pages as somebody has open at once; each holds a connection. */
const mostInSession = 20;

/** The events as a stream; `stop` is aborted when the reader goes, their session ends or the service closes. Throws `too-many-calls`. */
export function eventStream(house: House, actor: Actor, events: (stop: AbortSignal) => AsyncGenerator<string>): Readable {
  if ([...open.values()].filter((sessionId) => sessionId === actor.sessionId).length >= mostInSession) {
    throw platformErrors.problem("too-many-calls", `This session watches ${mostInSession} times already. Close a page and try again.`);
  }
  const watching = new AbortController();
  const stream = Readable.from(events(watching.signal), { objectMode: false, encoding: "utf8" });
  open.set(watching, actor.sessionId);
  const ask = async (): Promise<void> => {
    try {
      if ((await asking.get(house.db)?.(actor)) === false) watching.abort();
    } catch (error) {
      house.log.warn({ err: error }, "could not ask whether somebody who watches still may");
    }
  };
  const again = setInterval(() => void ask(), quietMs);
  // Closed is only told when the wait for the next event is over; whoever went is not waited for.
  const destroy = stream._destroy.bind(stream);
  stream._destroy = (error, done) => {
    watching.abort();
    destroy(error, done);
  };
  stream.once("close", () => {
    clearInterval(again);
    open.delete(watching);
    watching.abort();
  });
  return stream;
}

/** Something to wait for that may have happened already. */
export class Signal {
  #raised = false;
  #wake = (): void => undefined;

  raise(): void {
    this.#raised = true;
    this.#wake();
  }

  /** Waits until it is raised, `stop` is aborted or the time is over; not at all where it was raised since the last wait. */
  async wait(milliseconds: number, stop: AbortSignal): Promise<void> {
    if (!this.#raised && !stop.aborted) {
      await new Promise<void>((resolve) => {
        const done = (): void => {
          clearTimeout(timer);
          stop.removeEventListener("abort", done);
          resolve();
        };
        const timer = setTimeout(done, milliseconds);
        stop.addEventListener("abort", done);
        this.#wake = done;
      });
    }
    this.#raised = false;
  }
}
