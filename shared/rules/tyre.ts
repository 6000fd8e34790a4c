// Tyres: cold pressure, tread depth, cuts, and pressure at another temperature.
import { ruleSets } from "../catalogue/rule-sets.ts";
import type { SourceKey } from "../catalogue/sources.ts";
import type { Features, Handbook, RuleSet } from "../contracts/machine-model.ts";
import type { Unit } from "../contracts/quantities.ts";
import { convert } from "../units.ts";
import { isAbove, isBelow, limitOf, notSetVerdict, outsideVerdict, type Remarks, requirePositive, withinVerdict } from "./limits.ts";
import type { ValueVerdict } from "./verdict.ts";

/** What the machine carries while its tyres are judged. */
export type Load = "solo" | "laden";

type PrintedPressures = NonNullable<NonNullable<Handbook["tyrePressure"]>["front"]>;

/** Policy: a cold pressure within this share of the handbook's is within. */
const PRESSURE_TOLERANCE = 0.1;
/** 49 CFR 571.138 S4.2(a): at or below 25 % under the recommended cold pressure. */
const LEAK_SHARE = 0.25;

/**
 * A cold tyre pressure (gauge) against the handbook's, compared in the unit that the handbook prints. Within 10 %: within; outside:
 * adjust, `minor`; 25 % under or more: adjust, `major`, for a leak is likely. A handbook that prints one figure means it for
 * either load. `unit` must be a pressure unit (UnitError).
 */
export function judgeTyrePressure(value: number, unit: Unit, printed: PrintedPressures | undefined, load: Load): ValueVerdict {
  if (printed === undefined) return notSetVerdict(unit);
  const target = load === "laden" ? (printed.laden ?? printed.solo) : printed.solo;
  const gauge = convert(value, unit, target.unit);
  const bounds = { least: target.value * (1 - PRESSURE_TOLERANCE), most: target.value * (1 + PRESSURE_TOLERANCE) };
  const limit = limitOf("handbook", "handbook", bounds, target.unit);
  const remarks: Remarks = unit === target.unit ? {} : { compared: { value: gauge, unit: target.unit } };
  const leakAt = target.value * (1 - LEAK_SHARE);
  if (!isAbove(gauge, leakAt)) {
    const categoryBy = limitOf("common-practice", "fmvss-138", { least: leakAt }, target.unit);
    return outsideVerdict("adjust", "major", gauge, limit, { ...remarks, categoryBy });
  }
  if (isBelow(gauge, bounds.least) || isAbove(gauge, bounds.most)) return outsideVerdict("adjust", "minor", gauge, limit, remarks);
  return withinVerdict(limit, remarks);
}

/** What the law asks of a tread: a depth in mm, or, for a small engine, only a pattern that can be seen. */
export type TreadLaw =
  | { readonly asks: "depth"; readonly leastMm: number; readonly source: SourceKey }
  | { readonly asks: "visible-pattern"; readonly source: SourceKey };

/**
 * What the rule set asks of the tread of this machine; null where it has no figure. An exemption for small engines is worded by
 * capacity, so electric machines (and an unknown capacity) keep the depth. For `gb`: SI 1986/1078 reg. 27.
 */
export function treadLawOf(ruleSet: RuleSet, engineCc: number | null, power: Features["power"]): TreadLaw | null {
  const { treadLeastMm, patternInsteadUpToCc } = ruleSets[ruleSet];
  if (patternInsteadUpToCc !== null && power !== "electric" && engineCc !== null && engineCc <= patternInsteadUpToCc.value) {
    return { asks: "visible-pattern", source: patternInsteadUpToCc.source };
  }
  return treadLeastMm === null ? null : { asks: "depth", leastMm: treadLeastMm.value, source: treadLeastMm.source };
}

/**
 * Tread depth (mm, the least of three places) against the law and the handbook. Below the legal limit: fails, `major`. Below the
 * handbook's only: renew soon, `minor`. Where the law asks for a visible pattern, one that cannot be seen fails; without
 * `patternVisible` it is taken as visible wherever there is any depth.
 */
export function judgeTread(tread: {
  readonly depthMm: number;
  readonly law: TreadLaw | null;
  readonly handbookLeastMm?: number | undefined;
  readonly patternVisible?: boolean | undefined;
}): ValueVerdict {
  const { depthMm, law, handbookLeastMm } = tread;
  const legal = law === null ? null : limitOf("legal", law.source, law.asks === "depth" ? { least: law.leastMm } : {}, "mm");
  const unlawful = law?.asks === "depth" ? isBelow(depthMm, law.leastMm) : law !== null && !(tread.patternVisible ?? depthMm > 0);
  if (legal !== null && unlawful) return outsideVerdict("fails", "major", depthMm, legal);
  if (handbookLeastMm !== undefined) {
    const handbook = limitOf("handbook", "handbook", { least: handbookLeastMm }, "mm");
    // A visible pattern is no depth: it is not named beside a figure from a gauge.
    const remarks: Remarks = legal === null || law?.asks !== "depth" ? {} : { stillKept: legal };
    if (isBelow(depthMm, handbookLeastMm)) return outsideVerdict("renew-soon", "minor", depthMm, handbook, remarks);
    return withinVerdict(legal !== null && law?.asks === "depth" && law.leastMm > handbookLeastMm ? legal : handbook);
  }
  return legal === null || law?.asks !== "depth" ? notSetVerdict("mm") : withinVerdict(legal);
}

const ABSOLUTE_ZERO_CELSIUS = -273.15;
const STANDARD_ATMOSPHERE_KPA = 101.325;

/**
 * The gauge pressure (kPa) of the same air at another temperature, at constant volume (Amontons: absolute pressure over kelvin is
 * constant). For comparing readings only: a tyre is set cold. Throws a RangeError for what no tyre can be (at or below absolute
 * zero, or below vacuum).
 */
export function pressureAtTemperature(tyre: {
  readonly gaugeKpa: number;
  readonly fromCelsius: number;
  readonly toCelsius: number;
  readonly atmosphereKpa?: number | undefined;
}): number {
  const atmosphereKpa = tyre.atmosphereKpa ?? STANDARD_ATMOSPHERE_KPA;
  const fromKelvin = tyre.fromCelsius - ABSOLUTE_ZERO_CELSIUS;
  const toKelvin = tyre.toCelsius - ABSOLUTE_ZERO_CELSIUS;
  requirePositive("fromCelsius above absolute zero", fromKelvin);
  requirePositive("toCelsius above absolute zero", toKelvin);
  requirePositive("absolute pressure", tyre.gaugeKpa + atmosphereKpa);
  return ((tyre.gaugeKpa + atmosphereKpa) * toKelvin) / fromKelvin - atmosphereKpa;
}
