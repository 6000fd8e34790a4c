// What a process has opened, and how it is closed: everything, in reverse order, whatever fails on the way.
import type { ServiceContext } from "./context.ts";

interface Step {
  readonly what: string;
  readonly close: () => unknown;
}

export class Closing {
  readonly #log: ServiceContext["log"];
  readonly #mostMs: number;
  readonly #steps: Step[] = [];
  #ending: Promise<boolean> | null = null;

  /** `mostMs`: how long closing may take in all; what is not closed by then is left open. */
  constructor(log: ServiceContext["log"], mostMs: number) {
    this.#log = log;
    this.#mostMs = mostMs;
  }

  /** Whether closing has begun. */
  get hasBegun(): boolean {
    return this.#ending !== null;
  }

  /**
   * Opens something and notes how to close it. If closing begins meanwhile, what was opened is closed with the rest, and this throws, so that
   * a start that is told to stop opens nothing more.
   */
  async open<Opened>(what: string, open: () => Opened | Promise<Opened>, close: (opened: Opened) => unknown): Promise<Opened> {
    if (this.#ending) throw new Error(`The process is closing; ${what} is not opened any more.`);
    const opening = (async () => open())();
    // Noted before it is open, so that a closing that begins meanwhile waits for it. A failed opening leaves nothing to close.
    const step: Step = { what, close: () => opening.then(close, () => undefined) };
    this.#steps.push(step);
    const opened = await opening.catch((error: unknown) => {
      const place = this.#steps.indexOf(step);
      if (place >= 0) this.#steps.splice(place, 1);
      throw error;
    });
    if (this.#ending) throw new Error(`The process is closing; ${what} was opened too late.`);
    return opened;
  }

  /** Closes everything, what was opened last first; resolves to whether all went well. Never throws; a second call waits for the same closing. */
  end(): Promise<boolean> {
    this.#ending ??= this.#closeAll();
    return this.#ending;
  }

  async #closeAll(): Promise<boolean> {
    const until = performance.now() + this.#mostMs;
    let well = true;
    for (let step = this.#steps.pop(); step; step = this.#steps.pop()) {
      // Two thirds of the time that is left, so that a step that never ends leaves time for those after it.
      const mostMs = ((until - performance.now()) * 2) / 3;
      try {
        await within(mostMs, step);
      } catch (error) {
        well = false;
        this.#log.error({ err: error, step: step.what }, "could not be closed in order; the rest is closed all the same");
      }
    }
    return well;
  }
}

async function within(mostMs: number, { what, close }: Step): Promise<void> {
  let timer: ReturnType<typeof setTimeout> | undefined;
  const late = new Promise<never>((_, failed) => {
    timer = setTimeout(() => failed(new Error(`${what} did not end within ${Math.max(0, Math.round(mostMs))} ms`)), Math.max(0, mostMs));
  });
  try {
    await Promise.race([(async () => close())(), late]);
  } finally {
    clearTimeout(timer);
  }
}

// Ctrl-C under npm arrives twice within a moment: from the terminal, and passed on by npm. That is one person asking once.
const sameAskingMs = 1000;

/**
 * Closes at the first signal and ends the process: with 0 where all was closed in order, else with 1. A second signal ends it at once.
 * `ends` is the end of the process.
 */
export function closeOnSignal(closing: Closing, log: ServiceContext["log"], ends: (code: 0 | 1) => void): void {
  let askedAt: number | null = null;
  const asked = (signal: NodeJS.Signals): void => {
    if (askedAt === null) {
      askedAt = performance.now();
      log.info({ signal }, "closing");
      void closing.end().then((well) => ends(well ? 0 : 1));
    } else if (performance.now() - askedAt >= sameAskingMs) {
      log.warn({ signal }, "asked a second time: ended without waiting for what was still open");
      ends(1);
    }
  };
  process.on("SIGTERM", asked).on("SIGINT", asked);
}
