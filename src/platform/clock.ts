// Time is passed in, so that a test can stop it and the demo's history can be made on a clock that is moved by hand.

export interface Clock {
  now(): Date;
  /** Call before the database is asked for its time, and call the returned function with the answer. Absent on a clock that is moved by hand. */
  readonly asking?: () => (databaseSaysMs: number) => void;
  /** How far the host is ahead of the database, by the last answer; null if there was none. */
  readonly driftMs?: number | null;
}

export const systemClock: Clock = { now: () => new Date() };

/** If a host's clock is further off than this, the database's time is used instead. Two hosts that keep time by NTP differ by far less. */
export const mostDriftMs = 5000;

/**
 * The clock of a host, bound to the database's, which all hosts share: a host whose clock is wrong would put the records of a machine on another
 * day for everybody. They are compared with each act (`asking`), and by `keepTime` while nothing happens; in between the difference is computed
 * with a clock that nobody can set (`performance.now`).
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
      // The database read its clock at some moment between question and answer, so a slow answer must not count as drift.
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
