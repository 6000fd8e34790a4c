// Brakes: free travel, linings, rods, and efficiency from a stop.
import { type Figure, ruleSets } from "../catalogue/rule-sets.ts";
import type { Handbook, RuleSet } from "../contracts/machine-model.ts";
import { isAbove, judgeAdjustable, judgeAgainst, limitOf, notSetVerdict, outsideVerdict, requirePositive } from "./limits.ts";
import type { ValueVerdict } from "./verdict.ts";

const GRAVITY_MS2 = 9.80665;

type RangeMm = NonNullable<NonNullable<Handbook["brakeFreeTravel"]>["front"]>;

/**
 * Free travel of a brake lever or pedal (mm at its tip) against the handbook's range: outside it, adjust, `minor`. Where it is still
 * too long after adjusting, no adjustment is left: the shoes or the lining are worn, fails, `major` (common practice).
 */
export function judgeBrakeFreeTravel(travelMm: number, range: RangeMm | undefined, afterAdjusting: boolean): ValueVerdict {
  const verdict = judgeAdjustable(travelMm, range);
  if (!afterAdjusting || range === undefined || !isAbove(travelMm, range.maxMm)) return verdict;
  const categoryBy = limitOf("common-practice", "common-practice", { most: range.maxMm }, "mm");
  return outsideVerdict("fails", "major", travelMm, verdict.limit, { categoryBy });
}

/** The least lining (mm) of the rule set for this material, taken as not sintered unless the handbook says so; null where it has none. */
export const legalLiningOf = (ruleSet: RuleSet, material: "sintered" | "other" | undefined): Figure | null =>
  ruleSets[ruleSet][material === "sintered" ? "sinteredLiningLeastMm" : "liningLeastMm"];

/** Thickness of a lining or pad (mm) against the stricter of the handbook's least and the law's: below it fails, `major`. */
export function judgeLining(thicknessMm: number, handbookLeastMm: number | undefined, legal: Figure | null): ValueVerdict {
  if (legal !== null && (handbookLeastMm === undefined || legal.value > handbookLeastMm)) {
    return judgeAgainst(thicknessMm, limitOf("legal", legal.source, { least: legal.value }, "mm"), "fails", "major");
  }
  if (handbookLeastMm === undefined) return notSetVerdict("mm");
  return judgeAgainst(thicknessMm, limitOf("handbook", "handbook", { least: handbookLeastMm }, "mm"), "fails", "major");
}

/** A brake rod's diameter (mm) at its thinnest: worn by more than the share of the new diameter that the law allows, it fails, `major`. */
export function judgeBrakeRod(diameterMm: number, newMm: number | undefined, wornMost: Figure | null): ValueVerdict {
  if (newMm === undefined || wornMost === null) return notSetVerdict("mm");
  return judgeAgainst(diameterMm, limitOf("legal", wornMost.source, { least: newMm * (1 - wornMost.value) }, "mm"), "fails", "major");
}

/**
 * What a measured stop must reach in percent: both brakes together where the rule set says so (by engine capacity; an electric machine's
 * class is not known, so not set), else what one control must reach. Null where it has no figure.
 */
export function legalEfficiencyOf(ruleSet: RuleSet, engineCc: number | null): Figure | null {
  const { bothBrakesTo50CcLeastPercent, bothBrakesLeastPercent, betterControlLeastPercent } = ruleSets[ruleSet];
  const both = engineCc === null ? null : engineCc <= 50 ? bothBrakesTo50CcLeastPercent : bothBrakesLeastPercent;
  return both ?? betterControlLeastPercent;
}

/** The efficiency of a stop in percent against what the law asks: below it fails, `major`. */
export function judgeBrakeEfficiency(efficiencyPercent: number, least: Figure | null): ValueVerdict {
  if (least === null) return notSetVerdict("percent");
  return judgeAgainst(efficiencyPercent, limitOf("legal", least.source, { least: least.value }, "percent"), "fails", "major");
}

/**
 * Mean deceleration and efficiency of a stop from `speedKmh` in `distanceM`: v^2/(2 d), and that over g in percent. Throws a
 * RangeError unless both are above zero.
 */
export function brakeEfficiency(stop: { readonly speedKmh: number; readonly distanceM: number }): {
  decelerationMs2: number;
  efficiencyPercent: number;
} {
  requirePositive("speedKmh", stop.speedKmh);
  requirePositive("distanceM", stop.distanceM);
  const decelerationMs2 = (stop.speedKmh / 3.6) ** 2 / (2 * stop.distanceM);
  return { decelerationMs2, efficiencyPercent: (decelerationMs2 / GRAVITY_MS2) * 100 };
}
