// Server-sent events (WHATWG HTML, 'Server-sent events'): a stream that its reader or the closing service ends, and a wait that can be cut short.
import { Readable } from "node:stream";
import type { Logger } from "pino";
import type { Actor } from "../actor.ts";
import { platformErrors } from "../errors.ts";

/** After this long without an event an empty comment is sent, so that no proxy takes the connection for dead. */
export const quietMs = 15_000;

/** More pages than anybody has open at once; each keeps a connection open. */
const mostInSession = 20;

/** Asked repeatedly while a stream is open, because a session may also expire, and the notification of its end can be lost. */
export type MayGoOn = () => Promise<boolean>;

/** The streams that are open in this process. */
export class EventStreams {
  /** the open streams, each with the session that it was opened in */
  readonly #open = new Map<AbortController, string>();
  readonly #log: Logger;

  constructor(log: Logger) {
    this.#log = log;
  }

  /** Ends all streams, so that a service that closes does not wait for open pages. */
  endAll(): void {
    for (const watching of this.#open.keys()) watching.abort();
  }

  /** Ends the streams of a session that has ended, or whose person has changed: those who still may can open a new one. */
  endIn(sessionId: string): void {
    for (const [watching, session] of this.#open) if (session === sessionId) watching.abort();
  }

  /** Opens a stream of events; `stop` is aborted when the reader leaves, their session ends or the service closes. Throws `too-many-calls`. */
  open(actor: Actor, mayGoOn: MayGoOn, events: (stop: AbortSignal) => AsyncGenerator<string>): Readable {
    if ([...this.#open.values()].filter((sessionId) => sessionId === actor.sessionId).length >= mostInSession) {
      throw platformErrors.problem("too-many-calls", `This session watches ${mostInSession} times already. Close a page and try again.`);
    }
    const watching = new AbortController();
    const stream = Readable.from(events(watching.signal), { objectMode: false, encoding: "utf8" });
    this.#open.set(watching, actor.sessionId);
    const ask = async (): Promise<void> => {
      try {
        if (!(await mayGoOn())) watching.abort();
      } catch (error) {
        this.#log.warn({ err: error }, "could not ask whether somebody who watches still may");
      }
    };
    const again = setInterval(() => void ask(), quietMs);
    // Without this, 'close' would come only once the wait for the next event is over.
    const destroy = stream._destroy.bind(stream);
    stream._destroy = (error, done) => {
      watching.abort();
      destroy(error, done);
    };
    stream.once("close", () => {
      clearInterval(again);
      this.#open.delete(watching);
      watching.abort();
    });
    return stream;
  }
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
