// Time is handed in, so that a test can stand still and the demo can be told on a moved clock.

export interface Clock {
  now(): Date;
}

export const systemClock: Clock = { now: () => new Date() };

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
