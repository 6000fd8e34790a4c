// The readings of what wears, cut into stretches: each begins with a new part (or the first reading) and runs to the next new part.
import type { Handbook } from "../../shared/contracts/machine-model.ts";
import type { Quantity } from "../../shared/contracts/quantities.ts";
import { elongationPercent } from "../../shared/rules/chain.ts";
import { type DistancePoint, distanceAt } from "./distance.ts";
import { isSameTime, type ReadBy, rereadWithin, weightOf } from "./gauges.ts";

interface WearFacts {
  /** the weekly item at which it is measured */
  readonly itemId: string;
  /** which way it goes as it wears */
  readonly goes: "up" | "down";
  /** set back by adjusting, and not by a new part */
  readonly adjustable: boolean;
  /** A value that is better than the one before by more than this is no gauge error, but work that nobody recorded: common practice, no source. */
  readonly gaugeError: number;
}

const wearDown = (itemId: string): WearFacts => ({ itemId, goes: "down", adjustable: false, gaugeError: 0.5 });
const freeTravel = (itemId: string): WearFacts => ({ itemId, goes: "up", adjustable: true, gaugeError: 5 });

/** What is forecast: in mm, the chain in percent of elongation. */
export const wearing = {
  "front-tread": wearDown("front-tyre-tread-weekly"),
  "rear-tread": wearDown("rear-tyre-tread-weekly"),
  "front-lining": wearDown("front-lining"),
  "rear-lining": wearDown("rear-lining"),
  "chain-length": { itemId: "chain-wear", goes: "up", adjustable: false, gaugeError: 0.3 },
  "front-brake-free-travel": freeTravel("front-brake-free-travel"),
  "rear-brake-free-travel": freeTravel("rear-brake-free-travel"),
} as const satisfies Partial<Record<Quantity, WearFacts>>;

export type WearingQuantity = keyof typeof wearing;
export const wearingQuantities = Object.keys(wearing) as readonly WearingQuantity[];
export const factsOf = (quantity: WearingQuantity): WearFacts => wearing[quantity];

/** One reading of a quantity, in the order of time. */
export interface WearReading {
  readonly at: string;
  /** null: it was only read after the work */
  readonly asFound: number | null;
  readonly asLeft: number | null;
  /** a new part was fitted after `asFound` was read */
  readonly renewed: boolean;
  /** the bench unless said otherwise */
  readonly by?: ReadBy;
}

/** A measurement: one reading, or the mean of several between which nothing can have worn. */
export interface StretchPoint {
  readonly at: string;
  readonly km: number;
  /** how much has worn away since the stretch began; adjusting does not reduce it */
  readonly worn: number;
  readonly value: number;
  /** number of readings of which it is the mean */
  readonly of: number;
  /** how often it had been adjusted before: a difference shows wear only between readings with the same number */
  readonly set: number;
  readonly by: ReadBy;
  /** the weight of its gauge, for each of its readings */
  readonly weight: number;
}

export interface Stretch {
  readonly begunAt: string;
  readonly begunBy: "first-reading" | "renewal" | "better-than-wear-allows";
  readonly points: readonly StretchPoint[];
  /** the value as it was left last */
  readonly latest: number;
}

/** When a part was new: because a record says so, or because a value cannot be explained by wear. */
export interface Renewal {
  readonly at: string;
  /** of the new part, as measured then; null: nobody measured it */
  readonly value: number | null;
}

export interface Stretches {
  /** oldest first */
  readonly all: readonly Stretch[];
  /** the current stretch; null before the first reading, and while a new part has not been measured */
  readonly open: Stretch | null;
  /** in the order of time */
  readonly renewals: readonly Renewal[];
}

/** Converts a chain's length into its elongation in percent; everything else stays in mm. Null for a length if the handbook lacks the chain's figures. */
export function wearValue(quantity: WearingQuantity, reading: number, handbook: Handbook): number | null {
  if (quantity !== "chain-length") return reading;
  if (handbook.chain === undefined || reading <= 0) return null;
  return elongationPercent({ ...handbook.chain, lengthMm: reading });
}

/** How much worse `after` is than `before`: positive for wear. */
export const wornBetween = ({ goes }: Pick<WearFacts, "goes">, before: number, after: number): number =>
  goes === "up" ? after - before : before - after;

/**
 * Cuts the readings of one quantity (values as `wearValue` gives them) into stretches, oldest first. Wear is the difference between a value
 * as left and the next as found, so adjusting neither hides wear nor begins a stretch. A new part begins one, and so does a value that is
 * better than the gauge's error can explain. A reading that repeats the one before within the gauge's error is the same measurement.
 */
export function stretchesOf(quantity: WearingQuantity, readings: readonly WearReading[], ridden: readonly DistancePoint[]): Stretches {
  const facts = factsOf(quantity);
  const all: Building[] = [];
  const renewals: Renewal[] = [];
  let open: Building | null = null;
  let next: Stretch["begunBy"] = "first-reading";
  let isTold = false;
  const begin = (read: Read, value: number, begunBy: Stretch["begunBy"]): Building => {
    const stretch: Building = { begunAt: read.at, begunBy, points: [pointOf(read, value, 0, 0)], latest: value };
    all.push(stretch);
    // A renewal that nobody measured was noted when it was done.
    if (begunBy !== "first-reading" && !isTold) renewals.push({ at: read.at, value });
    isTold = false;
    return stretch;
  };
  for (const { at, asFound, asLeft, renewed, by = "bench" } of readings) {
    const again = rereadWithin(quantity, by);
    const read: Read = { at, km: distanceAt(ridden, at), by, weight: weightOf(by), again };
    // A rider's gauge has a larger error in this as well, by the same factor.
    const better = -facts.gaugeError * (by === "bench" ? 1 : again / rereadWithin(quantity));
    const isBetter = (stretch: Building, value: number): boolean => wornBetween(facts, lastOf(stretch).value, value) < better;
    if (asFound !== null) {
      if (open === null) open = begin(read, asFound, next);
      else if (isBetter(open, asFound)) open = begin(read, asFound, "better-than-wear-allows");
      else take(facts, open, read, asFound);
    }
    if (renewed) {
      next = "renewal";
      isTold = asLeft === null;
      if (asLeft === null) renewals.push({ at, value: null });
      open = asLeft === null ? null : begin(read, asLeft, next);
    } else if (asLeft !== null) {
      if (open === null) open = begin(read, asLeft, next);
      // Adjusted at a repair, with no reading before it: how much had worn by then is not known, so the count begins anew.
      else if (facts.adjustable ? asFound === null : isBetter(open, asLeft)) open = begin(read, asLeft, "renewal");
      // Adjusted, or only read again: either way later wear is counted from here, and the difference between the two readings is no wear.
      else if (facts.adjustable) {
        const { worn, set } = lastOf(open);
        open.points.push(pointOf(read, asLeft, worn, set + 1));
        open.latest = asLeft;
      } else take(facts, open, read, asLeft);
    }
  }
  return { all, open, renewals };
}

interface Read {
  readonly at: string;
  readonly km: number;
  readonly by: ReadBy;
  readonly weight: number;
  /** within this it is the measurement before, taken again */
  readonly again: number;
}

const pointOf = ({ at, km, by, weight }: Read, value: number, worn: number, set: number): StretchPoint => ({
  at,
  km,
  worn,
  value,
  of: 1,
  set,
  by,
  weight,
});

function take(facts: WearFacts, stretch: Building, read: Read, value: number): void {
  const last = lastOf(stretch);
  const isAgain = Math.abs(value - last.value) <= read.again + NOISE && last.by === read.by && isSameTime(last, read);
  if (isAgain) stretch.points.splice(-1, 1, middleOf(facts, stretch.points, { km: read.km, value }));
  else stretch.points.push(pointOf(read, value, last.worn + wornBetween(facts, last.value, value), last.set));
  stretch.latest = value;
}

/** Keeps the rounding of binary fractions from making two readings look further apart than the gauge's error. */
const NOISE = 1e-9;

type Building = { -readonly [Field in keyof Stretch]: Stretch[Field] } & { readonly points: StretchPoint[] };
/** A stretch begins with a point. */
const lastOf = ({ points }: Building): StretchPoint => points.at(-1) as StretchPoint;

function middleOf(facts: WearFacts, points: readonly StretchPoint[], read: { readonly km: number; readonly value: number }): StretchPoint {
  const before = points.at(-1) as StretchPoint;
  const of = before.of + 1;
  const share = (one: number, other: number): number => one + (other - one) / of;
  const value = share(before.value, read.value);
  // The wear of a stretch is counted from its first measurement.
  const worn = points.length === 1 ? 0 : before.worn + wornBetween(facts, before.value, value);
  return { ...before, of, value, worn, weight: (before.weight * of) / before.of, km: share(before.km, read.km) };
}
