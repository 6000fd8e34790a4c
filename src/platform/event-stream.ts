// Server-sent events (WHATWG HTML, 'Server-sent events'): a stream that its reader or the closing service ends, and a wait that can be cut short.
import { Readable } from "node:stream";

/** A line that says nothing, after so long a silence, keeps proxies from taking it for an end. */
export const quietMs = 15_000;

const open = new Set<AbortController>();

/** Ends all that is being watched, so that a service that closes waits for nobody's page. */
export function endWatching(): void {
  for (const watching of open) watching.abort();
}

/** The events as a stream; `stop` is aborted when the reader goes or the service closes. */
export function eventStream(events: (stop: AbortSignal) => AsyncGenerator<string>): Readable {
  const watching = new AbortController();
  const stream = Readable.from(events(watching.signal), { objectMode: false, encoding: "utf8" });
  open.add(watching);
  stream.once("close", () => {
    open.delete(watching);
    watching.abort();
  });
  return stream;
}

/** Something to wait for that may have happened already. */
export class Bell {
  #rung = false;
  #wake = (): void => undefined;

  ring(): void {
    this.#rung = true;
    this.#wake();
  }

  /** Waits until it is rung, `stop` is aborted or the time is over; not at all where it was rung since the last wait. */
  async wait(milliseconds: number, stop: AbortSignal): Promise<void> {
    if (!this.#rung && !stop.aborted) {
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
    this.#rung = false;
  }
}
