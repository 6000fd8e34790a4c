// Pure decisions of the papers: how many days machines were in service, since when one is grounded.
import { addDays, daysBetween, endOfDay, localDay } from "../../shared/rules/calendar.ts";
import { grounds } from "../../shared/rules/machine-state.ts";
import type { Period } from "../platform/index.ts";
import type { DefectCourse, Frame } from "./facts.ts";

/** The moment that a paper is about. */
export const momentOf = ({ asAt, printedAt }: Pick<Frame, "asAt" | "printedAt">): Date => asAt ?? printedAt;

/** All days of a period, in order. */
export const daysOf = ({ from, to }: Period): string[] =>
  Array.from({ length: daysBetween(from, to) + 1 }, (_, index) => addDays(from, index));

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

/** The past moment that a paper is about, as a part of its file's name; nothing where it is about now. */
export const asAtInName = (at: Date | null): string => (at === null ? "" : `as at ${at.toISOString().replace(/\.\d+Z$/, "Z")}`);

/** A file name that every system takes: letters, digits and hyphens. */
export const fileNameOf = (ending: "pdf" | "ndjson" | "csv", ...parts: readonly string[]): string =>
  `${parts
    .map((part) => part.replace(/[^A-Za-z0-9]+/g, "-").replace(/^-+|-+$/g, ""))
    .filter((part) => part !== "")
    .join("-")}.${ending}`;
