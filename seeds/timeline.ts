// The order in which the story happens: acts wait for their moment, and may schedule further acts.
import type { MovedClock } from "../src/platform/index.ts";

interface Waiting {
  readonly at: number;
  readonly act: () => Promise<void> | void;
}

export class Timeline {
  readonly #waiting: Waiting[] = [];

  /** Schedules an act, after those already scheduled for the same moment. */
  at(instant: Date, act: Waiting["act"]): void {
    const at = instant.getTime();
    let low = 0;
    let high = this.#waiting.length;
    while (low < high) {
      const middle = (low + high) >> 1;
      if ((this.#waiting[middle]?.at ?? 0) <= at) low = middle + 1;
      else high = middle;
    }
    this.#waiting.splice(low, 0, { at, act });
  }

  /** Runs all acts and moves the clock along; an act scheduled for a moment already past runs now. */
  async run(clock: MovedClock): Promise<void> {
    for (let next = this.#waiting.shift(); next !== undefined; next = this.#waiting.shift()) {
      clock.moveTo(new Date(Math.max(next.at, clock.now().getTime())));
      await next.act();
    }
  }
}
