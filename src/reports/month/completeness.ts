// Whether a machine was checked on each day it was ridden: what the records show of every day of a month. Pure.
import type { DayVerdict } from "../../../shared/contracts/reports.ts";
import { addDays, endOfDay, localDay, startOfDay } from "../../../shared/rules/calendar.ts";
import { type DistancePoint, distanceAt } from "../../planning/index.ts";
import type { Period } from "../../platform/index.ts";
import type { DayJudged } from "../roadworthiness-facts.ts";
import { daysOf } from "../rules.ts";

/** A stretch of time; null: it has no beginning, or no end so far. */
export interface Stretch {
  readonly from: Date | null;
  readonly to: Date | null;
}

export interface CheckMade {
  readonly at: Date;
  readonly foundDefects: boolean;
  /** a defect stood open after it, whoever had found it */
  readonly stillOpen?: boolean;
}

export interface MachineMonth {
  readonly period: Period;
  readonly timeZone: string;
  readonly now: Date;
  readonly inServiceFrom: string;
  /** when its records begin */
  readonly enteredAt: Date;
  /** daily checks of the period and of the days around it that a look at the odometer leads to, in the order of time */
  readonly checks: readonly CheckMade[];
  /** the distance at each look at the odometer, in the order of time: those of the period, the last before and the first after it */
  readonly points: readonly DistancePoint[];
  readonly withdrawn: readonly Stretch[];
  /** sold or scrapped */
  readonly disposed: readonly Stretch[];
  /** grounded by a defect */
  readonly grounded: readonly Stretch[];
  /** when it belonged to the depot that is asked about */
  readonly here: readonly Stretch[];
  /** the most that it usually goes in a day, by `usualDayKm`; null if too little is known */
  readonly usualKm: number | null;
  /** what no machine of the firm goes in a day (policy) */
  readonly plausibleKm: number;
}

/** Kilometres that prove no ride: a mechanic's road test or a rounded figure move the odometer as well. Common practice, no source. */
export const slackKm = 5;

/**
 * Nine in ten of a machine's days are shorter than this quantile; a day half as long again is still one long day. Two usual days are longer
 * than that, so an unchecked day between two checks on which it was ridden as usual is noticed. Common practice, no source.
 */
const usualShare = 0.9;
const usualMargin = 1.5;
/** Fewer days than this say nothing about a usual one. Common practice, no source. */
const fewestDays = 5;

/** The moment of the first check of each day. */
function firstChecks(checks: readonly CheckMade[], timeZone: string): Map<string, string> {
  const first = new Map<string, string>();
  for (const { at } of checks) {
    const day = localDay(at, timeZone);
    if (!first.has(day)) first.set(day, at.toISOString());
  }
  return first;
}

/** The most that a machine usually goes in a day, from its checks on two days in a row; null where there are fewer than five of them. */
export function usualDayKm(checks: readonly CheckMade[], points: readonly DistancePoint[], timeZone: string): number | null {
  const firstOf = firstChecks(checks, timeZone);
  const distances: number[] = [];
  for (const [day, at] of firstOf) {
    const next = firstOf.get(addDays(day, 1));
    if (next !== undefined) distances.push(distanceAt(points, next) - distanceAt(points, at));
  }
  if (distances.length < fewestDays) return null;
  distances.sort((a, b) => a - b);
  return (distances[Math.ceil(usualShare * distances.length) - 1] ?? 0) * usualMargin;
}

/** Of several checks on one day, the one that found most counts. */
const saysMore = { nil: 0, "nothing-new": 1, defect: 2 } as const;

/** What the looks at the odometer say about the days that no check was made on. */
type Evidence = "still" | "unclear" | "ridden";
const graver: Readonly<Record<Evidence, number>> = { still: 0, unclear: 1, ridden: 2 };

/**
 * Judges every day of the period. The rule (common practice, no source): between two odometer readings a machine may have gone, on each day
 * with a check, as far as it usually goes in a day (if that is not known, as far as is plausible; then a day between them without a check is
 * `missing`). Any distance beyond that was ridden without a check. Nobody knows on which of the unchecked days, so all of them are marked; if
 * there is none, the day whose first check shows the distance is. If the odometer did not move, the machine was not ridden. After the last
 * reading nothing shows that it was not ridden, unless it was grounded or withdrawn all day.
 */
export function judgeDays(machine: MachineMonth): DayJudged[] {
  const { period, timeZone, now, inServiceFrom, enteredAt, withdrawn, disposed, grounded, here } = machine;
  const foundOn = new Map<string, keyof typeof saysMore>();
  for (const { at, foundDefects, stillOpen } of machine.checks) {
    const day = localDay(at, timeZone);
    const found = foundDefects ? "defect" : stillOpen ? "nothing-new" : "nil";
    if (saysMore[found] > saysMore[foundOn.get(day) ?? "nil"] || !foundOn.has(day)) foundOn.set(day, found);
  }
  const evidence = evidenceOf(machine, firstChecks(machine.checks, timeZone));
  const judge = (day: string): DayVerdict => {
    const start = startOfDay(day, timeZone);
    const end = endOfDay(day, timeZone);
    const whole = (stretches: readonly Stretch[]): boolean => stretches.some((one) => holds(one, start) && holds(one, before(end)));
    // The day belongs to the depot where the machine was in the evening; if it is not over, where the machine is now.
    if (!here.some((one) => holds(one, end < now ? before(end) : now))) return "outside";
    const found = foundOn.get(day);
    const seen = evidence.get(day);
    if (found !== undefined) return seen === "ridden" ? "ridden" : found;
    if (day < inServiceFrom || end <= enteredAt) return "outside";
    // On the day on which it left the fleet nobody asks for a check any more.
    if (disposed.some((one) => holds(one, before(end)))) return "outside";
    if (seen === "ridden") return "ridden";
    if (end > now) return "outside";
    if (whole(withdrawn)) return "withdrawn";
    return seen === "still" || whole(grounded) ? "not-in-use" : "missing";
  };
  return daysOf(period).map((day) => ({ day, verdict: judge(day) }));
}

const before = (instant: Date): Date => new Date(instant.getTime() - 1);
const holds = ({ from, to }: Stretch, at: Date): boolean => (from === null || from <= at) && (to === null || at < to);

function evidenceOf(machine: MachineMonth, firstOn: ReadonlyMap<string, string>): Map<string, Evidence> {
  const { period, timeZone, points, usualKm, plausibleKm } = machine;
  const evidence = new Map<string, Evidence>();
  const say = (day: string, what: Evidence) => {
    const known = evidence.get(day);
    if (known === undefined || graver[what] > graver[known]) evidence.set(day, what);
  };
  const away = (day: string): boolean => {
    const [start, end] = [startOfDay(day, timeZone), before(endOfDay(day, timeZone))];
    return machine.withdrawn.some((one) => holds(one, start) && holds(one, end));
  };
  const begins = startOfDay(period.from, timeZone).toISOString();
  const dayOf = (point: DistancePoint): string => localDay(new Date(point.at), timeZone);
  points.forEach((later, index) => {
    const earlier = points[index - 1];
    if (!earlier || later.at < begins) return;
    const [fromDay, toDay] = [dayOf(earlier), dayOf(later)];
    if (fromDay > period.to) return;
    // A check covers every ride after it on the same day.
    if (fromDay === toDay && (firstOn.get(fromDay) ?? later.at) <= earlier.at) return;
    const moved = later.km - earlier.km;
    const days = daysOf({ from: fromDay, to: toDay });
    const covering = days.filter((day) => (firstOn.get(day) ?? later.at) < later.at).length;
    const most = (perDay: number): number => covering * perDay + slackKm;
    const unchecked = days.filter((day) => !firstOn.has(day));
    if (unchecked.length === 0) {
      if (moved > most(plausibleKm)) say(toDay, "ridden");
    } else if (moved <= most(usualKm ?? 0)) for (const day of unchecked) say(day, "still");
    else if (usualKm === null && covering > 0 && moved <= most(plausibleKm)) for (const day of unchecked) say(day, "unclear");
    else {
      // Days in service first: a machine that was out of service is the least likely to have been ridden.
      const inService = unchecked.filter((day) => !away(day));
      for (const day of inService.length > 0 ? inService : unchecked) say(day, "ridden");
    }
  });
  // The last reading was not at the end of its day.
  const last = points.at(-1);
  if (last) say(dayOf(last), "unclear");
  return evidence;
}
