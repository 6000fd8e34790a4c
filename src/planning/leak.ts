// How fast a tyre loses air: from what it was left at to what it was found at next, at one temperature, over the weeks.

import type { Unit } from "../../shared/contracts/quantities.ts";
import { groupBy } from "../../shared/group-by.ts";
import { pressureAtTemperature } from "../../shared/rules/tyre.ts";
import { convert } from "../../shared/units.ts";
import { type Point, pooledTrend, studentQuantile, whyNoPooledTrend } from "../statistics/index.ts";
import { isSameDay, type ReadBy, rereadWithin, weightOf } from "./gauges.ts";

export const tyreEnds = ["front", "rear"] as const;
export type TyreEnd = (typeof tyreEnds)[number];

/** A reading of one tyre, in the order of time. */
export interface PressureReading {
  readonly at: string;
  readonly asFound: number;
  readonly asLeft: number | null;
  readonly unit: Unit;
  /** temperature of the air; null: not measured */
  readonly celsius: number | null;
  /** the tyre or its valve was renewed then, so what was lost before says nothing about it */
  readonly renewed: boolean;
  /** air was put in and how the tyre was found nobody read: both figures are the one after it */
  readonly setOnly?: boolean;
  /** the bench unless said otherwise */
  readonly by?: ReadBy;
}

/** A repair of a defect at the tyre's pressure. */
export interface PressureRepair {
  readonly at: string;
  /** how many parts were fitted */
  readonly parts: number;
  /** taken after the work; null: none was */
  readonly value: number | null;
  readonly unit: Unit | null;
}

/**
 * The readings of one tyre, with the repairs between them taken into account. A repair that fitted a part, or of which no reading is known,
 * starts the count of losses anew. Air alone does not: the tyre was only left at another pressure; otherwise a slow puncture that is pumped up
 * each week would never show.
 */
export function withRepairs(readings: readonly PressureReading[], repairs: readonly PressureRepair[]): PressureReading[] {
  const between = (from: string, to: string | undefined) => repairs.filter(({ at }) => at >= from && (to === undefined || at < to));
  const isMended = ({ parts, value, unit }: PressureRepair): boolean => parts > 0 || value === null || unit === null;
  return readings.map((reading, index) => {
    const before = readings[index - 1];
    const mended = between(before?.at ?? "", reading.at).some(isMended);
    const pumped = between(reading.at, readings[index + 1]?.at).findLast((repair) => !isMended(repair));
    const asLeft = pumped?.value == null || pumped.unit === null ? reading.asLeft : convert(pumped.value, pumped.unit, reading.unit);
    return { ...reading, asLeft, renewed: reading.renewed || mended };
  });
}

export interface LeakPoint {
  readonly at: string;
  readonly by: ReadBy;
  /** as found and as left; converted to 20 °C if the temperature is known, else as read */
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
/** A tyre that is found higher than it was left, by more than this, was pumped up in between: common practice, no source. */
const PUMPED_KPA = 10;
const WEEK_MS = 7 * 86_400_000;

/**
 * The loss of one tyre since it was last renewed, or pumped up without a record. Air that only cooled is no loss: if both readings of a week
 * have their temperature, they are compared at 20 °C by absolute pressure; else as read. All losses between one setting and the next share one
 * rate, each gauge has a level of its own, and what one gauge read twice on a day is one measurement. `slow-puncture`: the whole interval of
 * the rate lies above the natural loss; `watch`: the rate lies above it, its interval does not.
 */
export function leakOf(readings: readonly PressureReading[]): Leak {
  let points: LeakPoint[] = [];
  let measured: Measured[] = [];
  let set = 0;
  let before: PressureReading | null = null;
  for (const reading of readings) {
    const by = reading.by ?? "bench";
    const both = before !== null && before.celsius !== null && reading.celsius !== null;
    const lost =
      before === null || reading.setOnly === true
        ? 0
        : atReference(left(before), before, both) - atReference(reading.asFound, reading, both);
    if (lost < -PUMPED_KPA * (by === "bench" && (before?.by ?? "bench") === "bench" ? 1 : 2)) [points, measured] = [[], []];
    const so = points.at(-1)?.lostKpa ?? 0;
    const own = reading.celsius !== null;
    const point: LeakPoint = {
      ...{ at: reading.at, by },
      foundKpa: atReference(reading.asFound, reading, own),
      leftKpa: atReference(left(reading), reading, own),
      corrected: both,
      lostKpa: points.length === 0 ? 0 : so + lost,
    };
    if (reading.renewed) {
      points = [{ ...point, corrected: false, lostKpa: 0 }];
      measured = [{ at: reading.at, by, set, lostKpa: 0, of: 1 }];
    } else {
      points.push(point);
      if (reading.setOnly !== true) take(measured, { at: reading.at, by, set, lostKpa: point.lostKpa, of: 1 });
      if (wasSet(reading)) {
        set += 1;
        measured.push({ at: reading.at, by, set, lostKpa: point.lostKpa, of: 1 });
      }
    }
    before = reading;
  }
  const corrected = points.length > 1 && points.slice(1).every((point) => point.corrected);
  const sets = setsOf(measured);
  if (whyNoPooledTrend(sets) !== null) {
    return { points, corrected, kpaPerWeek: null, low: null, high: null, finding: "too-few-readings" };
  }
  const { slope, slopeSe, df } = pooledTrend(sets);
  const half = studentQuantile((1 + LEAK_CONFIDENCE) / 2, df) * slopeSe;
  const [low, high] = [slope - half, slope + half];
  const finding = low > NATURAL_LOSS_KPA_PER_WEEK ? "slow-puncture" : slope > NATURAL_LOSS_KPA_PER_WEEK ? "watch" : "natural";
  return { points, corrected, kpaPerWeek: slope, low, high, finding };
}

/** The tyres that lose air faster than tyres do by themselves. */
export const leaking = (readings: readonly (PressureReading & { readonly end: TyreEnd })[]): TyreEnd[] =>
  tyreEnds.filter((end) => leakOf(readings.filter((reading) => reading.end === end)).finding === "slow-puncture");

interface Measured {
  readonly at: string;
  readonly by: ReadBy;
  /** how often it had been set before */
  readonly set: number;
  readonly lostKpa: number;
  /** number of readings of which it is the mean */
  readonly of: number;
}

/** Readings of one day by one gauge that agree are one measurement. */
function take(measured: Measured[], now: Measured): void {
  const last = measured.at(-1);
  const isAgain =
    last?.by === now.by &&
    last.set === now.set &&
    isSameDay(last.at, now.at) &&
    Math.abs(now.lostKpa - last.lostKpa) <= rereadWithin(TYRE, now.by);
  if (!isAgain) measured.push(now);
  else measured.splice(-1, 1, { ...last, of: last.of + 1, lostKpa: last.lostKpa + (now.lostKpa - last.lostKpa) / (last.of + 1) });
}

function setsOf(measured: readonly Measured[]): Point[][] {
  const start = Date.parse(measured[0]?.at ?? "");
  const sets = [...groupBy(measured, ({ set, by }) => `${set} ${by}`).values()];
  return sets.map((own) => own.map(({ at, by, lostKpa, of }): Point => [(Date.parse(at) - start) / WEEK_MS, lostKpa, of * weightOf(by)]));
}

/** Both tyres are measured with the same kind of gauge, so either quantity gives its repeatability. */
const TYRE = "front-tyre-pressure";

/**
 * Somebody who sends a reading as left may have put in air or only read the gauge again. Both come out right if the tyre counts as set: what
 * was lost before is counted up to the reading as found, later losses from the reading as left, and the difference between the two is no loss.
 */
const wasSet = ({ asLeft }: PressureReading): boolean => asLeft !== null;

const left = ({ asLeft, asFound }: PressureReading): number => asLeft ?? asFound;

function atReference(value: number, { unit, celsius }: PressureReading, correct: boolean): number {
  const gaugeKpa = convert(value, unit, "kPa");
  if (!correct || celsius === null || celsius === REFERENCE_CELSIUS) return gaugeKpa;
  return pressureAtTemperature({ gaugeKpa, fromCelsius: celsius, toCelsius: REFERENCE_CELSIUS });
}
