// How closely a gauge repeats. Two readings that differ by no more than this are one measurement taken twice, and no wear or leak.
import type { Quantity } from "../../shared/contracts/quantities.ts";

/** Whose gauge it was: a mechanic's at the bench, or a rider's on the walk round (a gauge on the key ring, in the street). */
export type ReadBy = "bench" | "rider";

/** A rider's readings scatter this many times as much as a mechanic's: common practice, no source. */
const RIDER_TIMES = 2;
/** The weight of a reading, where one of the bench has 1: the inverse square of its error. */
export const weightOf = (by: ReadBy): number => (by === "rider" ? 1 / RIDER_TIMES ** 2 : 1);

/**
 * How far apart two readings of the same thing by the same gauge may be, in the unit in which wear is counted. All common practice, no
 * source: a tread gauge and a caliper in a drum are read to 0.1 mm and never placed at exactly the same spot; half a millimetre on a rule
 * along 20 pitches of 12.7 mm is 0.2 %; the point at which a lever begins to act is felt to a millimetre or two. A tyre gauge may be off by
 * 8 kPa (Directive 86/217/EEC, up to 4 bar; from memory), but always by the same amount: it repeats to about 2 kPa.
 */
const repeatable = {
  "front-tread": 0.2,
  "rear-tread": 0.2,
  "front-lining": 0.2,
  "rear-lining": 0.2,
  "chain-length": 0.2,
  "front-brake-free-travel": 2,
  "rear-brake-free-travel": 2,
  "front-tyre-pressure": 2,
  "rear-tyre-pressure": 2,
} as const satisfies Partial<Record<Quantity, number>>;

/** Within this, two readings are one measurement taken twice. */
export const rereadWithin = (quantity: keyof typeof repeatable, by: ReadBy = "bench"): number =>
  repeatable[quantity] * (by === "rider" ? RIDER_TIMES : 1);

/** A machine that was ridden no further than this has not worn in between: common practice, no source. */
const SAME_PLACE_KM = 20;

/** Whether two ISO instants are on one day, by UTC: accurate enough, and fast, since it is asked for each reading of a fleet. */
export const isSameDay = (one: string, other: string): boolean => one.slice(0, 10) === other.slice(0, 10);

/** Whether nothing can have worn between two readings. */
export const isSameTime = (
  one: { readonly at: string; readonly km: number },
  other: { readonly at: string; readonly km: number },
): boolean => Math.abs(other.km - one.km) <= SAME_PLACE_KM || isSameDay(one.at, other.at);
