// Comparing a value with a limit, and saying so in a verdict.
import type { SourceKey } from "../catalogue/sources.ts";
import type { Category } from "../contracts/common.ts";
import type { Unit } from "../contracts/quantities.ts";
import type { DecidingLimit, ValueVerdict } from "./verdict.ts";

/** Far finer than any gauge, far coarser than the noise of binary fractions: 90 % of 225 is reached by 202.5. */
const RELATIVE_SLACK = 1e-9;

export const isBelow = (value: number, least: number): boolean => value < least - Math.abs(least) * RELATIVE_SLACK;
export const isAbove = (value: number, most: number): boolean => value > most + Math.abs(most) * RELATIVE_SLACK;

interface Bounds {
  readonly least?: number;
  readonly most?: number;
}

/** 110 % of 175 is 192.5, not 192.50000000000003. */
const withoutNoise = (bound: number | undefined): number | null => (bound === undefined ? null : Number(bound.toPrecision(12)));

/** A limit with its source; a bound that is left out is open. */
export function limitOf(kind: "handbook" | "legal" | "common-practice", source: SourceKey, bounds: Bounds, unit: Unit): DecidingLimit {
  return { kind, least: withoutNoise(bounds.least), most: withoutNoise(bounds.most), unit, source };
}

const keeps = (value: number, { least, most }: DecidingLimit): boolean =>
  !(least !== null && isBelow(value, least)) && !(most !== null && isAbove(value, most));

/** How far a value lies outside a limit: 0 within, negative below its least. Rounded clear of binary noise. */
function offByOf(value: number, limit: DecidingLimit): number {
  if (keeps(value, limit)) return 0;
  const { least, most } = limit;
  const off = least !== null && isBelow(value, least) ? value - least : value - (most ?? value);
  return Math.round(off * 1e9) / 1e9;
}

/** What is added to a verdict beyond its limit. */
export type Remarks = Pick<ValueVerdict, "compared" | "categoryBy" | "stillKept">;

export const withinVerdict = (limit: DecidingLimit, remarks: Remarks = {}): ValueVerdict => ({
  outcome: "within",
  category: null,
  limit,
  offBy: 0,
  ...remarks,
});

export const notSetVerdict = (unit: Unit): ValueVerdict => ({
  outcome: "not-set",
  category: null,
  limit: { kind: "not-set", least: null, most: null, unit, source: "handbook" satisfies SourceKey },
  offBy: 0,
});

export const outsideVerdict = (
  outcome: "adjust" | "renew-soon" | "fails",
  category: Category,
  value: number,
  limit: DecidingLimit,
  remarks: Remarks = {},
): ValueVerdict => ({ outcome, category, limit, offBy: offByOf(value, limit), ...remarks });

/** One limit, one consequence: within it, or `outcome` with `category`. */
export function judgeAgainst(
  value: number,
  limit: DecidingLimit,
  outcome: "adjust" | "renew-soon" | "fails",
  category: Category,
): ValueVerdict {
  return keeps(value, limit) ? withinVerdict(limit) : outsideVerdict(outcome, category, value, limit);
}

/** A handbook's range in millimetres that is kept by adjusting: outside it, adjust now (`minor` if left so). */
export function judgeAdjustable(valueMm: number, range: { minMm: number; maxMm: number } | undefined): ValueVerdict {
  if (range === undefined) return notSetVerdict("mm");
  return judgeAgainst(valueMm, limitOf("handbook", "handbook", { least: range.minMm, most: range.maxMm }, "mm"), "adjust", "minor");
}

/** For the arguments of formulas. Throws a RangeError that names the argument unless the value is finite and above zero. */
export function requirePositive(name: string, value: number): void {
  if (!(Number.isFinite(value) && value > 0)) throw new RangeError(`${name} must be above zero`);
}
