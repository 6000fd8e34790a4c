// How fast a tyre loses air: from what it was left at to what it was found at next, at one temperature, over the weeks.
import type { Unit } from "../../shared/contracts/quantities.ts";
import { pressureAtTemperature } from "../../shared/rules/tyre.ts";
import { convert } from "../../shared/units.ts";
import { studentQuantile } from "./quantiles.ts";
import { FEWEST_READINGS, linearTrend, type Point, whyNoTrend } from "./trend.ts";

/** A weekly reading of one tyre, in the order of time. */
export interface PressureReading {
  readonly at: string;
  readonly asFound: number;
  readonly asLeft: number | null;
  readonly unit: Unit;
  /** of the air; null: not taken */
  readonly celsius: number | null;
  /** the tyre or its valve was renewed then: what it lost before says nothing about it */
  readonly renewed: boolean;
}

export interface LeakPoint {
  readonly at: string;
  /** as found and as left, brought to 20 °C where the temperature was taken, else as read */
  readonly foundKpa: number;
  readonly leftKpa: number;
  readonly corrected: boolean;
  /** lost since the stretch began */
  readonly lostKpa: number;
}

export interface Leak {
  readonly points: readonly LeakPoint[];
  /** whether every loss is between two readings whose temperatures are known */
  readonly corrected: boolean;
  /** kPa a week, positive for a loss; null under three readings */
  readonly kpaPerWeek: number | null;
  readonly low: number | null;
  readonly high: number | null;
  readonly finding: "too-few-readings" | "natural" | "watch" | "slow-puncture";
}

export const REFERENCE_CELSIUS = 20;
export const LEAK_CONFIDENCE = 0.95;
/** What tyres lose by themselves: 1.5 psi in 30 days (source `natural-loss`: consumer pages, the highest figure). */
export const NATURAL_LOSS_KPA_PER_WEEK = (convert(1.5, "psi", "kPa") * 7) / 30;
/** A tyre that was found higher than it was left by more than this was pumped up in between: common practice, no source. */
const PUMPED_KPA = 10;
const WEEK_MS = 7 * 86_400_000;

/**
 * The loss of one tyre since it was last renewed, or pumped up without a record. Air that only cooled is no loss: where both readings
 * of a week have their temperature, they are compared at 20 °C by absolute pressure; else as read. `slow-puncture`: the whole interval
 * lies above the natural loss; `watch`: the rate does, its interval not.
 */
export function leakOf(readings: readonly PressureReading[]): Leak {
  let points: LeakPoint[] = [];
  let before: PressureReading | null = null;
  for (const reading of readings) {
    const both = before !== null && before.celsius !== null && reading.celsius !== null;
    const lost = before === null ? 0 : atReference(left(before), before, both) - atReference(reading.asFound, reading, both);
    if (lost < -PUMPED_KPA) points = [];
    const so = points.at(-1)?.lostKpa ?? 0;
    const own = reading.celsius !== null;
    points.push({
      at: reading.at,
      foundKpa: atReference(reading.asFound, reading, own),
      leftKpa: atReference(left(reading), reading, own),
      corrected: both,
      lostKpa: points.length === 0 ? 0 : so + lost,
    });
    if (reading.renewed) points = [{ ...(points.at(-1) as LeakPoint), corrected: false, lostKpa: 0 }];
    before = reading;
  }
  const corrected = points.length > 1 && points.slice(1).every((point) => point.corrected);
  const start = Date.parse(points[0]?.at ?? "");
  const line = points.map(({ at, lostKpa }): Point => [(Date.parse(at) - start) / WEEK_MS, lostKpa]);
  if (points.length < FEWEST_READINGS || whyNoTrend(line) !== null) {
    return { points, corrected, kpaPerWeek: null, low: null, high: null, finding: "too-few-readings" };
  }
  const { slope, slopeSe, n } = linearTrend(line);
  const half = studentQuantile((1 + LEAK_CONFIDENCE) / 2, n - 2) * slopeSe;
  const [low, high] = [slope - half, slope + half];
  const finding = low > NATURAL_LOSS_KPA_PER_WEEK ? "slow-puncture" : slope > NATURAL_LOSS_KPA_PER_WEEK ? "watch" : "natural";
  return { points, corrected, kpaPerWeek: slope, low, high, finding };
}

const left = ({ asLeft, asFound }: PressureReading): number => asLeft ?? asFound;

function atReference(value: number, { unit, celsius }: PressureReading, correct: boolean): number {
  const gaugeKpa = convert(value, unit, "kPa");
  if (!correct || celsius === null || celsius === REFERENCE_CELSIUS) return gaugeKpa;
  return pressureAtTemperature({ gaugeKpa, fromCelsius: celsius, toCelsius: REFERENCE_CELSIUS });
}
