// What wears, as it was measured, cut into stretches: each begins with a new part (or the first reading) and runs to the next one.
import type { Handbook } from "../../shared/contracts/machine-model.ts";
import type { Quantity } from "../../shared/contracts/quantities.ts";
import { elongationPercent } from "../../shared/rules/chain.ts";
import { type DistancePoint, distanceAt } from "./distance.ts";

interface WearFacts {
  /** the weekly item at which it is measured */
  readonly itemId: string;
  /** which way it goes as it wears */
  readonly goes: "up" | "down";
  /** set back by adjusting, and not by a new part */
  readonly adjustable: boolean;
  /** A value that is better than the one before by more than this is no gauge error but work that nobody wrote down: common practice, no source. */
  readonly gaugeError: number;
}

const wearDown = (itemId: string): WearFacts => ({ itemId, goes: "down", adjustable: false, gaugeError: 0.5 });
const freeTravel = (itemId: string): WearFacts => ({ itemId, goes: "up", adjustable: true, gaugeError: 5 });

/** What is foreseen: mm, and percent of elongation for the chain. */
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
  /** null: taken only after the work */
  readonly asFound: number | null;
  readonly asLeft: number | null;
  /** a new part was fitted after `asFound` was read */
  readonly renewed: boolean;
}

export interface StretchPoint {
  readonly at: string;
  readonly km: number;
  /** how much has worn away since the stretch began; what adjusting set back is not taken off */
  readonly worn: number;
}

export interface Stretch {
  readonly begunAt: string;
  readonly begunBy: "first-reading" | "renewal" | "better-than-wear-allows";
  readonly points: readonly StretchPoint[];
  /** the value as it was left last */
  readonly latest: number;
}

export interface Stretches {
  /** oldest first */
  readonly all: readonly Stretch[];
  /** the one that runs; null before the first reading, and of a new part that was not measured yet */
  readonly open: Stretch | null;
}

/** A length becomes an elongation in percent; everything else is read in mm and stays so. Null for a length without the chain's figures. */
export function wearValue(quantity: WearingQuantity, reading: number, handbook: Handbook): number | null {
  if (quantity !== "chain-length") return reading;
  if (handbook.chain === undefined || reading <= 0) return null;
  return elongationPercent({ ...handbook.chain, lengthMm: reading });
}

/** How much worse `after` is than `before`: positive for wear. */
export const wornBetween = ({ goes }: Pick<WearFacts, "goes">, before: number, after: number): number =>
  goes === "up" ? after - before : before - after;

/**
 * Cuts the readings of one quantity (values as `wearValue` gives them) into stretches, oldest first. Wear lies between a value as left and
 * the next as found, so that adjusting neither hides it nor begins anything. A new part begins a stretch, and so does a value that is
 * better than any gauge error explains.
 */
export function stretchesOf(quantity: WearingQuantity, readings: readonly WearReading[], ridden: readonly DistancePoint[]): Stretches {
  const facts = factsOf(quantity);
  const all: Building[] = [];
  let open: Building | null = null;
  let next: Stretch["begunBy"] = "first-reading";
  const begun = (at: string, value: number, begunBy: Stretch["begunBy"]): Building => {
    const stretch: Building = { begunAt: at, begunBy, points: [{ at, km: distanceAt(ridden, at), worn: 0 }], latest: value };
    all.push(stretch);
    return stretch;
  };
  for (const { at, asFound, asLeft, renewed } of readings) {
    if (asFound !== null) {
      const worn: number = open === null ? 0 : wornBetween(facts, open.latest, asFound);
      if (open === null) open = begun(at, asFound, next);
      else if (worn < -facts.gaugeError) open = begun(at, asFound, "better-than-wear-allows");
      else {
        open.points.push({ at, km: distanceAt(ridden, at), worn: (open.points.at(-1)?.worn ?? 0) + worn });
        open.latest = asFound;
      }
    }
    if (renewed) {
      next = "renewal";
      open = asLeft === null ? null : begun(at, asLeft, next);
    } else if (asLeft !== null) {
      const isBetter: boolean = open !== null && wornBetween(facts, open.latest, asLeft) < -facts.gaugeError;
      // Set at a repair with nothing read before it: what had worn by then is not known, so the count begins anew.
      if (open === null || (facts.adjustable ? asFound === null : isBetter)) open = begun(at, asLeft, open === null ? next : "renewal");
      else open.latest = asLeft;
    }
  }
  return { all, open };
}

type Building = { -readonly [Field in keyof Stretch]: Stretch[Field] } & { readonly points: StretchPoint[] };
