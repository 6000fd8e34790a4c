// The order in which the story happens: acts wait for their moment, and may bring further acts about.
import type { MovedClock } from "../src/platform/index.ts";

interface Waiting {
  readonly at: number;
  readonly act: () => Promise<void> | void;
}

export class Timeline {
  readonly #waiting: Waiting[] = [];

  /** Puts an act at its moment, behind those that wait for the same one. */
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

  /** Lets everything happen, the clock moving along; what was put at a moment already past happens now. */
  async run(clock: MovedClock): Promise<void> {
    for (let next = this.#waiting.shift(); next !== undefined; next = this.#waiting.shift()) {
      clock.moveTo(new Date(Math.max(next.at, clock.now().getTime())));
      await next.act();
    }
  }
}
