// Pure decisions of the papers: what a day of a machine was, how many days machines were in service, since when one is grounded.
import { addDays, daysBetween, endOfDay, localDay, startOfDay } from "../../shared/rules/calendar.ts";
import { grounds } from "../../shared/rules/machine-state.ts";
import type { Period } from "../platform/index.ts";
import type { DayChecked, DefectCourse, Frame } from "./facts.ts";

/** The moment that a paper is about. */
export const momentOf = ({ asAt, printedAt }: Pick<Frame, "asAt" | "printedAt">): Date => asAt ?? printedAt;

/** All days of a period, in order. */
export const daysOf = ({ from, to }: Period): string[] =>
  Array.from({ length: daysBetween(from, to) + 1 }, (_, index) => addDays(from, index));

/** What a machine's state said from a moment on, until the next. */
export interface StateThen {
  readonly recordedAt: Date;
  readonly odometerKm: number;
  readonly odometerAt: Date;
  /** withdrawn, or grounded by a defect */
  readonly barred: boolean;
}

export interface DaysAsked {
  readonly period: Period;
  readonly timeZone: string;
  readonly now: Date;
  readonly inServiceFrom: string;
  /** daily checks of the period, by the depot's day */
  readonly checks: readonly { readonly day: string; readonly foundDefects: boolean }[];
  /** the whole state history, oldest first */
  readonly states: readonly StateThen[];
}

/**
 * What each day of the period was. A day with checks is `defect` where one of them found something, else `nil`. Without one it is
 * `outside` where the machine was surely not used on it: before it was in service or in these records; withdrawn or grounded all
 * day, or the odometer the same before and after, and no odometer saying otherwise; or the day is not over. Whatever cannot be
 * shown is `missing`, never `nil`: a gap in the readings counts against the completeness of the record.
 */
export function dayStates({ period, timeZone, now, inServiceFrom, checks, states }: DaysAsked): DayChecked[] {
  const foundOn = new Map<string, boolean>();
  for (const { day, foundDefects } of checks) foundOn.set(day, foundDefects || foundOn.get(day) === true);
  const readings = [...states].sort((a, b) => a.odometerAt.getTime() - b.odometerAt.getTime());
  const stateOf = (day: string): DayChecked["state"] => {
    const found = foundOn.get(day);
    if (found !== undefined) return found ? "defect" : "nil";
    const start = startOfDay(day, timeZone);
    const end = endOfDay(day, timeZone);
    const first = states[0];
    if (day < inServiceFrom || first === undefined || first.recordedAt >= end) return "outside";
    const before = readings.findLast(({ odometerAt }) => odometerAt < start);
    const after = readings.find(({ odometerAt }) => odometerAt >= end);
    const moved = before && after ? before.odometerKm !== after.odometerKm : null;
    if (moved !== null) return moved ? "missing" : "outside";
    const readThatDay = readings.find(({ odometerAt }) => odometerAt >= start && odometerAt < end);
    if (before && readThatDay && readThatDay.odometerKm !== before.odometerKm) return "missing";
    if (end > now) return "outside";
    const atStart = states.findLast(({ recordedAt }) => recordedAt <= start);
    const during = states.filter(({ recordedAt }) => recordedAt > start && recordedAt < end);
    return atStart !== undefined && [atStart, ...during].every(({ barred }) => barred) ? "outside" : "missing";
  };
  return daysOf(period).map((day) => ({ day, state: stateOf(day) }));
}

export interface InService {
  readonly inServiceFrom: string;
  /** when it was withdrawn and when it came back, oldest first, in the depot's days */
  readonly turns: readonly { readonly day: string; readonly withdrawn: boolean }[];
}

/** Machines times days in service within the period: the exposure of a rate. The day of a withdrawal counts, that of a return too. */
export function machineDays({ from, to }: Period, machines: readonly InService[]): number {
  const span = (first: string, last: string): number => {
    const begin = first > from ? first : from;
    const end = last < to ? last : to;
    return begin > end ? 0 : daysBetween(begin, end) + 1;
  };
  const daysInService = ({ inServiceFrom, turns }: InService): number => {
    let since: string | null = inServiceFrom;
    let days = 0;
    for (const { day, withdrawn } of turns) {
      if (withdrawn && since !== null) {
        days += span(since, day);
        since = null;
      } else if (!withdrawn && since === null) since = day > inServiceFrom ? day : inServiceFrom;
    }
    return days + (since === null ? 0 : span(since, to));
  };
  return machines.reduce((sum, machine) => sum + daysInService(machine), 0);
}

/** Where the weight of a defect changed, oldest first. */
export interface Weight {
  readonly at: Date;
  readonly category: DefectCourse["category"];
}

/** Since when an open defect keeps its machine off the road: its category, or the end of a minor one's last day. Null: it does not. */
export function groundsSince(weights: readonly Weight[], dueDay: string | null, timeZone: string, now: Date): Date | null {
  const lastMinor = weights.findLastIndex(({ category }) => !grounds(category));
  const grave = weights[lastMinor + 1];
  if (grave) return grave.at;
  return dueDay !== null && dueDay < localDay(now, timeZone) ? endOfDay(dueDay, timeZone) : null;
}

/** A file name that every system takes: letters, digits and hyphens. */
export const fileNameOf = (ending: "pdf" | "ndjson" | "csv", ...parts: readonly string[]): string =>
  `${parts
    .map((part) => part.replace(/[^A-Za-z0-9]+/g, "-").replace(/^-+|-+$/g, ""))
    .filter((part) => part !== "")
    .join("-")}.${ending}`;
