// How far a machine has been ridden, also across a change of its odometer, and how far it goes in a day.
import type { WithdrawnSpan } from "../../shared/rules/withdrawn-spans.ts";

/** A reading of the odometer, or its being set by hand (a new meter, or a corrected figure). Instants are ISO, in UTC. */
export type OdometerSight =
  | { readonly kind: "read"; readonly at: string; readonly odometerKm: number }
  | { readonly kind: "set"; readonly at: string; readonly fromKm: number; readonly toKm: number };

/** Kilometres ridden since the first reading. */
export interface DistancePoint {
  readonly at: string;
  readonly km: number;
}

/** How far a machine goes in a day, counting days on which it stood. */
export interface DailyUse {
  /** null where there is less than a week to go by */
  readonly kmPerDay: number | null;
  readonly km: number;
  /** days in service that were counted */
  readonly days: number;
  /** odometer readings in them */
  readonly readings: number;
}

/** How many calendar days back are looked at, and the fewest that give a figure: common practice, no source. */
const USE_DAYS = 28;
const FEWEST_DAYS = 7;
const DAY_MS = 86_400_000;

/**
 * The distance ridden at each reading, from readings in the order of time. A figure below the one before is a slip and left out; setting the
 * odometer adds only what was ridden up to then.
 */
export function distanceRidden(sights: readonly OdometerSight[]): DistancePoint[] {
  const points: DistancePoint[] = [];
  let shown: number | null = null;
  let km = 0;
  for (const sight of sights) {
    const figure: number = sight.kind === "set" ? sight.fromKm : sight.odometerKm;
    if (shown === null || figure >= shown) {
      km += shown === null ? 0 : figure - shown;
      shown = figure;
      points.push({ at: sight.at, km });
    }
    if (sight.kind === "set") shown = sight.toKm;
  }
  return points;
}

/** The distance at an instant, linear between two readings; before the first and after the last it is constant. */
export function distanceAt(points: readonly DistancePoint[], at: string): number {
  let low = 0;
  let high = points.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((points[middle]?.at ?? "") <= at) low = middle + 1;
    else high = middle;
  }
  const before = points[low - 1];
  const after = points[low];
  if (!before || !after) return (before ?? after)?.km ?? 0;
  const share = (Date.parse(at) - Date.parse(before.at)) / (Date.parse(after.at) - Date.parse(before.at));
  return before.km + share * (after.km - before.km);
}

/** The machine's own distance per day over the last 28 days in service up to `now`, or since its first odometer reading. */
export function dailyUse(points: readonly DistancePoint[], away: readonly WithdrawnSpan<string>[], now: Date): DailyUse {
  const [first] = points;
  const last = points.at(-1);
  if (!first || !last) return { kmPerDay: null, km: 0, days: 0, readings: 0 };
  const earliest = new Date(now.getTime() - USE_DAYS * DAY_MS).toISOString();
  const start = first.at > earliest ? first.at : earliest;
  const from = Date.parse(start);
  const awayMs = away.reduce((sum, { from: gone, to }) => {
    const back = to === null ? now.getTime() : Math.min(Date.parse(to), now.getTime());
    return sum + Math.max(0, back - Math.max(Date.parse(gone), from));
  }, 0);
  const days = Math.max(0, now.getTime() - from - awayMs) / DAY_MS;
  const km = last.km - distanceAt(points, start);
  const readings = points.filter(({ at }) => at >= start).length;
  return { kmPerDay: days >= FEWEST_DAYS ? km / days : null, km, days, readings };
}
