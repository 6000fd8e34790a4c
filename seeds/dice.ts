// Reproducible randomness: the demo firm made twice from the same start is the same to the last id.
import { v7 } from "uuid";
import type { Clock } from "../src/platform/index.ts";

/** Mulberry32, a public-domain generator of 32-bit numbers: plenty for a story, of no use for secrets. */
export class Dice {
  #state: number;

  constructor(seed: number) {
    this.#state = seed >>> 0;
  }

  /** From 0 up to, but not including, 1. */
  next(): number {
    this.#state = (this.#state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(this.#state ^ (this.#state >>> 15), this.#state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4_294_967_296;
  }

  between(least: number, most: number): number {
    return least + (most - least) * this.next();
  }

  /** A whole number, both ends included. */
  whole(least: number, most: number): number {
    return least + Math.floor(this.next() * (most - least + 1));
  }

  chance(share: number): boolean {
    return this.next() < share;
  }

  pick<T>(list: readonly T[]): T {
    const picked = list[Math.floor(this.next() * list.length)];
    if (picked === undefined) throw new RangeError("nothing to pick from");
    return picked;
  }

  /** About normal, mean 0 and deviation 1: twelve throws less six. */
  spread(): number {
    let sum = -6;
    for (let throws = 0; throws < 12; throws += 1) sum += this.next();
    return sum;
  }

  bytes(count: number): Uint8Array {
    return Uint8Array.from({ length: count }, () => this.whole(0, 255));
  }
}

/** Salts by dice: the demo firm has nothing to hide, and the same start gives the same records. */
export const saltsByDice = (dice: Dice) => (): string => Buffer.from(dice.bytes(16)).toString("hex");

/** Ids from a clock and dice. */
export const idsByDice = (clock: Clock, dice: Dice) => (): string => v7({ msecs: clock.now().getTime(), random: dice.bytes(16) });
