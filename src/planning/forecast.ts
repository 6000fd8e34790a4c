// When a quantity that wears will reach its limit: by distance, by day, and how sure that is.
import { groupBy } from "../../shared/group-by.ts";
import { addDays } from "../../shared/rules/calendar.ts";
import type { DecidingLimit } from "../../shared/rules/verdict.ts";
import { type Point, pooledTrend, probabilityPast, whyNoPooledTrend } from "../statistics/index.ts";
import { factsOf, type Stretch, type StretchPoint, type WearingQuantity, wornBetween } from "./stretches.ts";

export type Advice =
  | "renew-at-this-inspection"
  | "adjust-at-this-inspection"
  | "watch"
  | "fine"
  | "not-wearing"
  | "too-few-readings"
  | "no-limit";

/** The advice is to renew now if the part would be past its limit at the next inspection with more than this probability. */
const RISK = 0.05;
/** The interval leaves that risk on either side, so its earlier end is where the rule above begins to ask for a new part. */
export const INTERVAL_CONFIDENCE = 1 - 2 * RISK;
/** The advice is to watch the part if that comes within this many inspections: common practice, no source. */
const WATCHED_INSPECTIONS = 4;
/** A day further away than this is not forecast. */
const FURTHEST_DAYS = 3650;

export interface Outlook {
  readonly today: string;
  /** days until the first inspection after today; `inspectionEveryDays`: between two of them */
  readonly nextInspectionInDays: number;
  readonly inspectionEveryDays: number;
  /** distance ridden by now, as the stretch counts it */
  readonly riddenKm: number;
  readonly kmPerDay: number | null;
}

/** Counted from today; the day is null if the machine is not ridden or the day is more than ten years away. */
export interface Reach {
  readonly kmLeft: number;
  readonly day: string | null;
}

export interface Forecast {
  readonly quantity: WearingQuantity;
  /** readings of the stretch */
  readonly n: number;
  readonly since: string | null;
  readonly latest: { readonly at: string; readonly value: number } | null;
  readonly limit: DecidingLimit;
  /** in the quantity's own direction: tread falls */
  readonly slopePer1000Km: number | null;
  readonly residualSd: number | null;
  /** where the line meets the limit */
  readonly atLimit: Reach | null;
  /** where the 90 % prediction interval first touches the limit; `atLatest`: where it leaves the limit behind; null: open on that side */
  readonly earliest: Reach | null;
  readonly atLatest: Reach | null;
  readonly probabilityPastNextInspection: number | null;
  /** days that a new part will last, by the same line; null if nobody measured this one when it was new, it does not wear, or lasts over ten years */
  readonly lifeDays: number | null;
  readonly advice: Advice;
}

/** No small machine is ridden this far: a slope that would need longer is no wear, only rounding. */
const MOST_KM = 1_000_000;

/**
 * The measurements in groups: by how often the part had been adjusted before, and by whose gauge. Each group has its own level and all share one
 * slope. The last group is the one to forecast from: that of the latest adjustment, by the bench's gauge if it measured since.
 */
export function setsOf(points: readonly StretchPoint[]): Point[][] {
  const sets = groupBy(points, ({ set, by }) => 2 * set + (by === "bench" ? 1 : 0));
  return [...sets].sort(([one], [other]) => one - other).map(([, own]) => own.map(({ km, worn, weight }): Point => [km, worn, weight]));
}

/** How many measurements a stretch has: the reading after an adjustment belongs to the one before it and is not counted. */
const countOf = (points: readonly StretchPoint[]): number => points.length - (points.at(-1)?.set ?? 0);

/**
 * Forecasts one quantity from the readings of its stretch (null: none yet). The line is fitted to what has worn away between one adjustment
 * and the next, so that adjustments do not count as wear and the error of a reading is not carried on.
 */
export function forecast(quantity: WearingQuantity, stretch: Stretch | null, limit: DecidingLimit, outlook: Outlook): Forecast {
  const facts = factsOf(quantity);
  const { today, riddenKm, kmPerDay } = outlook;
  const sets = setsOf(stretch?.points ?? []);
  const last = stretch?.points.at(-1);
  const figure = facts.goes === "up" ? limit.most : limit.least;
  const known = {
    ...{ quantity, limit, n: countOf(stretch?.points ?? []), since: stretch?.begunAt ?? null },
    latest: stretch && last ? { at: last.at, value: stretch.latest } : null,
    ...{ slopePer1000Km: null, residualSd: null, atLimit: null, earliest: null, atLatest: null, probabilityPastNextInspection: null },
    lifeDays: null,
  } satisfies Partial<Forecast>;
  if (figure === null) return { ...known, advice: "no-limit" };
  const atOnce: Advice = facts.adjustable ? "adjust-at-this-inspection" : "renew-at-this-inspection";
  const room = stretch ? wornBetween(facts, stretch.latest, figure) : 0;
  const isPast = room < 0;
  if (!stretch || !last || whyNoPooledTrend(sets) !== null || kmPerDay === null) {
    return { ...known, advice: isPast ? atOnce : "too-few-readings" };
  }

  // From the mean of the last measurement, which may be of several readings.
  const wornAtLimit = last.worn + wornBetween(facts, last.value, figure);
  const line = pooledTrend(sets, { limit: wornAtLimit, confidence: INTERVAL_CONFIDENCE });
  const riskIn = (days: number): number => probabilityPast(line, riddenKm + kmPerDay * days, wornAtLimit, "above");
  const reach = (atKm: number | null | undefined): Reach | null => {
    if (atKm === null || atKm === undefined) return null;
    const kmLeft = atKm - riddenKm;
    const days = kmLeft <= 0 ? 0 : kmPerDay > 0 ? Math.floor(kmLeft / kmPerDay) : FURTHEST_DAYS + 1;
    return { kmLeft, day: days > FURTHEST_DAYS ? null : addDays(today, days) };
  };
  const wears = line.slope * MOST_KM > Math.max(0, room);
  const risk = riskIn(outlook.nextInspectionInDays);
  const watched = outlook.nextInspectionInDays + WATCHED_INSPECTIONS * outlook.inspectionEveryDays;
  const advice: Advice = isPast || risk > RISK ? atOnce : !wears ? "not-wearing" : riskIn(watched) > RISK ? "watch" : "fine";
  return {
    ...known,
    slopePer1000Km: line.slope * 1000 * (facts.goes === "up" ? 1 : -1),
    residualSd: line.residualSd,
    ...(wears
      ? { atLimit: reach(line.limitAtX), earliest: reach(line.limitInterval?.low), atLatest: reach(line.limitInterval?.high) }
      : {}),
    probabilityPastNextInspection: risk,
    lifeDays: wears ? lifeDays(quantity, stretch, { figure, wornPerDay: line.slope * kmPerDay }) : null,
    advice,
  };
}

/** From a new part's value to the limit. A chain's elongation begins at 0 %; of anything else the first reading of this part says how it began. */
function lifeDays(
  quantity: WearingQuantity,
  { begunBy, points }: Stretch,
  { figure, wornPerDay }: { readonly figure: number; readonly wornPerDay: number },
): number | null {
  const whenNew = quantity === "chain-length" ? 0 : begunBy === "first-reading" ? undefined : points[0]?.value;
  if (whenNew === undefined || wornPerDay <= 0) return null;
  const days = Math.floor(wornBetween(factsOf(quantity), whenNew, figure) / wornPerDay);
  return days < 1 || days > FURTHEST_DAYS ? null : days;
}
