// The days that a report or a figure is about, from what was asked.
import { addDays, daysBetween, localDay } from "../../shared/rules/calendar.ts";
import { platformErrors } from "./errors.ts";

export interface Period {
  readonly from: string;
  readonly to: string;
}

/** A leap year, both ends included. */
export const mostDays = 366;

const names = { from: "The first day", to: "The last day", on: "The day asked for" } as const;
const notValid = (field: keyof typeof names, message: string) =>
  platformErrors.problem("period-not-valid", `${names[field]} ${message}.`, { issues: [{ pointer: `/query/${field}`, message }] });

/** The period asked for; the contract has checked that its start is not after its end. If the end is missing it is today, if the start is missing the period has `usualDays` days. Throws `period-not-valid`. */
export function periodAsked(
  asked: { readonly from?: string | undefined; readonly to?: string | undefined },
  today: string,
  usualDays: number,
): Period {
  for (const field of ["from", "to"] as const) mustHaveBegun(field, asked[field], today);
  const to = asked.to ?? today;
  const from = asked.from ?? addDays(to, 1 - usualDays);
  if (daysBetween(from, to) >= mostDays) throw notValid("from", `makes the period longer than ${mostDays} days; ask for fewer`);
  return { from, to };
}

/** Throws `period-not-valid` for a day that is still to come. */
export function mustHaveBegun(field: "from" | "to" | "on", day: string | undefined, today: string): void {
  if (day !== undefined && day > today) throw notValid(field, `is still to come: today is ${today}`);
}

/** The latest of the days that it is now at the depots: in the east a new day begins earlier. If there is no depot, the day in UTC. */
export const latestDay = (now: Date, timeZones: readonly string[]): string =>
  (timeZones.length > 0 ? timeZones : ["UTC"])
    .map((timeZone) => localDay(now, timeZone))
    .reduce((one, other) => (one > other ? one : other));
