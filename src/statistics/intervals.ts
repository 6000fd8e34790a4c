// Intervals for a share and for a rate: how sure a count makes us.
import { gammaQuantile, normalQuantile } from "./quantiles.ts";

export interface Interval {
  readonly low: number;
  readonly high: number;
}

/** The confidence of every interval, unless another is asked for. */
export const USUAL_CONFIDENCE = 0.95;

/**
 * The interval of a proportion of `count` in `of` (Wilson 1927), two-sided, never outside 0 to 1. Of none, nothing is known: 0 to 1.
 * Throws a RangeError for a count below 0 or above `of`.
 */
export function wilson(count: number, of: number, confidence = USUAL_CONFIDENCE): Interval {
  if (!(count >= 0 && count <= of)) throw new RangeError("count must lie between 0 and of");
  if (of === 0) return { low: 0, high: 1 };
  const share = count / of;
  const z2 = normalQuantile((1 + confidence) / 2) ** 2;
  const high = (share + z2 / (2 * of) + Math.sqrt((z2 * share * (1 - share)) / of + (z2 / (2 * of)) ** 2)) / (1 + z2 / of);
  // The lower end is computed from the product of the two roots, so that a small share loses no digits; 0 and 1 come out exactly.
  const low = share ** 2 / ((1 + z2 / of) * high);
  return { low: count === 0 ? 0 : Math.min(low, share), high: count === of ? 1 : Math.min(Math.max(high, share), 1) };
}

/**
 * The rate of `events` (a whole number) in `exposure` and its exact interval (Garwood 1936), two-sided. Throws a RangeError for
 * negative events or an exposure that is not above 0.
 */
export function poissonRate(events: number, exposure: number, confidence = USUAL_CONFIDENCE): { rate: number } & Interval {
  if (!(events >= 0 && exposure > 0)) throw new RangeError("events must not be negative, and exposure must be above 0");
  const tail = (1 - confidence) / 2;
  return {
    rate: events / exposure,
    low: events === 0 ? 0 : gammaQuantile(events, tail, "below") / exposure,
    high: gammaQuantile(events + 1, tail, "above") / exposure,
  };
}
