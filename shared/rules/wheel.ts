// Wheels: how far a rim may be out of true.
import { type Figure, ruleSets } from "../catalogue/rule-sets.ts";
import type { Features, Handbook, RuleSet } from "../contracts/machine-model.ts";
import { isAbove, limitOf, notSetVerdict, outsideVerdict, withinVerdict } from "./limits.ts";
import type { ValueVerdict } from "./verdict.ts";

type RimMaterial = NonNullable<Handbook["rimMaterial"]>["front"];

/** Lateral run-out (mm) that the test of a rule set allows for a rim of this material; null where it has no figure. */
const testRunOutOf = (ruleSet: RuleSet, material: RimMaterial): Figure | null =>
  ruleSets[ruleSet][material === "steel" ? "steelRimRunOutMostMm" : "aluminiumRimRunOutMostMm"];

/**
 * Lateral run-out of a rim (mm) against the test limit for its material and the handbook's. Over the test limit: fails, `major`.
 * Over the handbook's only: adjust (true the wheel) or renew, `minor`. A cast wheel is aluminium alloy. A spoked one may be of either:
 * where nobody wrote down which, it fails at the wider figure, that of steel, and between the two the test does not say.
 */
export function judgeRunOut(rim: {
  readonly ruleSet: RuleSet;
  readonly runOutMm: number;
  readonly wheel: Features["wheels"]["front"];
  readonly material?: RimMaterial | undefined;
  readonly handbookMostMm?: number | undefined;
}): ValueVerdict {
  const material = rim.material ?? (rim.wheel === "cast" ? "aluminium" : undefined);
  const figure = testRunOutOf(rim.ruleSet, material ?? "steel");
  const test = figure === null ? null : limitOf("legal", figure.source, { most: figure.value }, "mm");
  if (test?.most != null && isAbove(rim.runOutMm, test.most)) return outsideVerdict("fails", "major", rim.runOutMm, test);
  if (rim.handbookMostMm === undefined) {
    const sureMostMm = material === undefined ? testRunOutOf(rim.ruleSet, "aluminium")?.value : undefined;
    const isUnsure = sureMostMm !== undefined && isAbove(rim.runOutMm, sureMostMm);
    return test === null || isUnsure ? notSetVerdict("mm") : withinVerdict(test);
  }
  const handbook = limitOf("handbook", "handbook", { most: rim.handbookMostMm }, "mm");
  if (isAbove(rim.runOutMm, rim.handbookMostMm)) return outsideVerdict("adjust", "minor", rim.runOutMm, handbook);
  return withinVerdict(test?.most != null && test.most < rim.handbookMostMm ? test : handbook);
}
