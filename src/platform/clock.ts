// Time is handed in, so that a test can stand still and the demo can be told on a moved clock.

export interface Clock {
  now(): Date;
  /** Begins to ask the database for its time; what is returned takes the answer. A clock that is moved by hand asks nobody. */
  readonly asking?: () => (databaseSaysMs: number) => void;
  /** How far the host is ahead of the database, as it was heard last; null where nothing was heard. */
  readonly driftMs?: number | null;
}

export const systemClock: Clock = { now: () => new Date() };

/** A host that is further off than this does not say what time it is: the database does. Two hosts that keep time by NTP differ by far less. */
export const mostDriftMs = 5000;

/**
 * The clock of a host, bound to the database's, which all hosts share: one that is set wrong would put the records of a machine into
 * another day for everybody. It is compared with each act that is decided (`asking`), and while nothing happens by `keepTime`; in between
 * it goes by a clock that nobody can set.
 */
export class BoundClock implements Clock {
  readonly #hostMs: () => number;
  readonly #steadyMs: () => number;
  #heard: { readonly databaseMs: number; readonly steadyMs: number } | null = null;

  constructor(hostMs: () => number = Date.now, steadyMs: () => number = () => performance.now()) {
    this.#hostMs = hostMs;
    this.#steadyMs = steadyMs;
  }

  now(): Date {
    const hostMs = this.#hostMs();
    return new Date(this.isOff ? hostMs - (this.driftMs ?? 0) : hostMs);
  }

  get driftMs(): number | null {
    if (this.#heard === null) return null;
    return this.#hostMs() - (this.#heard.databaseMs + this.#steadyMs() - this.#heard.steadyMs);
  }

  get isOff(): boolean {
    return Math.abs(this.driftMs ?? 0) > mostDriftMs;
  }

  readonly asking = (): ((databaseSaysMs: number) => void) => {
    const askedMs = this.#steadyMs();
    return (databaseSaysMs) => {
      const [hostMs, steadyMs] = [this.#hostMs(), this.#steadyMs()];
      // It said so at some moment between question and answer: nobody is blamed for an answer that took long.
      const most = hostMs - databaseSaysMs;
      const least = most - (steadyMs - askedMs);
      const driftMs = least > 0 ? least : most < 0 ? most : 0;
      this.#heard = { databaseMs: hostMs - driftMs, steadyMs };
    };
  };
}

/** A clock that stands at `start` until it is moved. */
export class MovedClock implements Clock {
  #at: number;

  constructor(start: string | Date) {
    this.#at = new Date(start).getTime();
  }

  now(): Date {
    return new Date(this.#at);
  }

  /** Moves to an instant; time goes forward only, as records do. */
  moveTo(instant: string | Date): void {
    const at = new Date(instant).getTime();
    if (at < this.#at)
      throw new RangeError(`the clock stands at ${new Date(this.#at).toISOString()} and is not moved back to ${String(instant)}`);
    this.#at = at;
  }

  advance(milliseconds: number): void {
    this.moveTo(new Date(this.#at + milliseconds));
  }
}
