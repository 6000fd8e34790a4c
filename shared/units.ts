// Units as gauges show them. A value is converted only where somebody calls `convert`, and never stored converted.
import { limits } from "./contracts/limits.ts";
import type { Quantity, Unit } from "./contracts/quantities.ts";

/** Thrown where a value in one unit is asked for in another that measures something else, or that its gauge cannot show. */
export class UnitError extends Error {
  override readonly name = "UnitError";
  readonly code = "unlike-units";
}

interface UnitFacts {
  readonly measures: "pressure" | "length" | "share";
  /** One of this unit in kPa, mm or percent. */
  readonly size: number;
  readonly decimals: number;
}

const units: Readonly<Record<Unit, UnitFacts>> = {
  kPa: { measures: "pressure", size: 1, decimals: 1 },
  // NIST SP 811, appendix B.8
  psi: { measures: "pressure", size: 6.894757293168, decimals: 1 },
  bar: { measures: "pressure", size: 100, decimals: 2 },
  mm: { measures: "length", size: 1, decimals: 2 },
  km: { measures: "length", size: 1_000_000, decimals: 0 },
  percent: { measures: "share", size: 1, decimals: 1 },
};

/** `value` of unit `from`, expressed in unit `to`. Throws a UnitError where the two measure different things. */
export function convert(value: number, from: Unit, to: Unit): number {
  if (from === to) return value;
  if (units[from].measures !== units[to].measures) throw new UnitError(`${from} cannot be given in ${to}`);
  return (value * units[from].size) / units[to].size;
}

const numberFormats = new Map<string, Intl.NumberFormat>();

/**
 * A value as people read it, with its unit: `175 kPa`, `25.5 psi`, `0.65 mm`, `12,345 km`. Rounded for reading only: compare the
 * value, not the text. `locale` is a BCP 47 tag; `decimals` is the most to print, by default the unit's own.
 */
export function formatQuantity(value: number, unit: Unit, locale = "en-GB", decimals = units[unit].decimals): string {
  const key = `${locale} ${unit} ${decimals}`;
  let format = numberFormats.get(key);
  if (format === undefined) {
    format = new Intl.NumberFormat(locale, { maximumFractionDigits: decimals, signDisplay: "negative" });
    numberFormats.set(key, format);
  }
  return `${format.format(value)}\u00a0${unit === "percent" ? "%" : unit}`;
}

/** A limit is printed to its last digit: a rounded one would seem to allow what it does not, or forbid what it allows. */
export const LIMIT_DECIMALS = 4;
const MOST_DECIMALS = 9;

/**
 * How many decimals it takes to tell a value from each of these when printed: 2.01 beside a limit of 2, not 2. No fewer than the unit's
 * own, and just those where the two are equal.
 */
export function decimalsBeside(value: number, others: readonly (number | null)[], unit: Unit): number {
  const { decimals: own } = units[unit];
  const apart = (decimals: number): boolean =>
    others.every((other) => other === null || other === value || value.toFixed(decimals) !== other.toFixed(decimals));
  for (let decimals = own; decimals <= MOST_DECIMALS; decimals += 1) if (apart(decimals)) return decimals;
  return own;
}

export interface Window {
  readonly min: number;
  readonly max: number;
}

interface QuantityFacts {
  /** The units that a gauge may show; the windows are in the first. */
  readonly units: readonly [Unit, ...Unit[]];
  readonly plausible: Window;
  readonly possible: Window;
}

const facts = (unitList: readonly [Unit, ...Unit[]], plausible: [number, number], possible: [number, number]): QuantityFacts => ({
  units: unitList,
  plausible: { min: plausible[0], max: plausible[1] },
  possible: { min: possible[0], max: possible[1] },
});

// A flat tyre reads 0 and an empty sump reads under its lower mark: whatever can really be found must be accepted.
const tyre = facts(["kPa", "psi", "bar"], [100, 350], [0, 600]);
const tread = facts(["mm"], [0, 8], [0, 15]);
const brakeTravel = facts(["mm"], [0, 60], [0, 200]);
const lining = facts(["mm"], [0, 6], [0, 15]);
const runOut = facts(["mm"], [0, 5], [0, 50]);
const oilLevel = facts(["percent"], [-50, 120], [-100, 200]);

const quantities: Readonly<Record<Quantity, QuantityFacts>> = {
  odometer: facts(["km"], [0, 200_000], [0, limits.odometerKm]),
  charge: facts(["percent"], [0, 100], [0, 100]),
  "front-tyre-pressure": tyre,
  "rear-tyre-pressure": tyre,
  "front-tread": tread,
  "rear-tread": tread,
  "chain-slack": facts(["mm"], [0, 60], [0, 150]),
  "chain-length": facts(["mm"], [100, 700], [25, 1300]),
  "front-brake-free-travel": brakeTravel,
  "rear-brake-free-travel": brakeTravel,
  "front-lining": lining,
  "rear-lining": lining,
  "front-wheel-run-out": runOut,
  "rear-wheel-run-out": runOut,
  "brake-rod-diameter": facts(["mm"], [2, 8], [0, 20]),
  "plug-gap": facts(["mm"], [0.4, 1.2], [0, 3]),
  "clutch-free-travel": facts(["mm"], [0, 40], [0, 100]),
  "throttle-free-play": facts(["mm"], [0, 10], [0, 50]),
  "engine-oil-level": oilLevel,
  "gearcase-oil-level": oilLevel,
  "brake-efficiency": facts(["percent"], [10, 100], [0, 150]),
};

/** The units in which a gauge may show a quantity; the usual one first. */
export const unitsFor = (quantity: Quantity): readonly [Unit, ...Unit[]] => quantities[quantity].units;

/** Where a true reading normally lies: ask again outside it, but take the answer. Throws a UnitError for a unit the gauge cannot show. */
export const plausibleWindow = (quantity: Quantity, unit: Unit): Window => inUnit(quantity, quantities[quantity].plausible, unit);

/** Where a reading can lie at all: refuse a value outside it. Throws a UnitError for a unit the gauge cannot show. */
export const possibleWindow = (quantity: Quantity, unit: Unit): Window => inUnit(quantity, quantities[quantity].possible, unit);

function inUnit(quantity: Quantity, window: Window, unit: Unit): Window {
  const allowed = unitsFor(quantity);
  if (!allowed.includes(unit)) throw new UnitError(`${quantity} is not read in ${unit}`);
  if (unit === allowed[0]) return window;
  // Outward to what a gauge can show, so that a person reads 14.5 psi and not 14.503774.
  const steps = 10 ** units[unit].decimals;
  const outward = (round: (value: number) => number, value: number): number => round(convert(value, allowed[0], unit) * steps) / steps;
  return { min: outward(Math.floor, window.min), max: outward(Math.ceil, window.max) };
}

/**
 * The unit that was probably meant where a value is implausible in the one given but plausible in another: 28 entered as kPa for
 * a tyre suggests psi. Null where nothing is amiss or no other unit fits. A question to ask, never a correction to make.
 */
export function looksLikeOtherUnit(quantity: Quantity, value: number, unit: Unit): Unit | null {
  const fits = (candidate: Unit): boolean => {
    const { min, max } = plausibleWindow(quantity, candidate);
    return value >= min && value <= max;
  };
  if (fits(unit)) return null;
  return unitsFor(quantity).find((candidate) => candidate !== unit && fits(candidate)) ?? null;
}
