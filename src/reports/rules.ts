// Pure decisions of the reports: their days, since when a machine is grounded, what a file is called.
import { addDays, daysBetween, endOfDay, localDay } from "../../shared/rules/calendar.ts";
import { grounds } from "../../shared/rules/machine-state.ts";
import type { Period } from "../platform/index.ts";
import type { DefectCourse } from "./defect-facts.ts";
import type { Frame } from "./facts.ts";

/** The moment that a report is about. */
export const momentOf = ({ asAt, printedAt }: Pick<Frame, "asAt" | "printedAt">): Date => asAt ?? printedAt;

/** All days of a period, in order. */
export const daysOf = ({ from, to }: Period): string[] =>
  Array.from({ length: daysBetween(from, to) + 1 }, (_, index) => addDays(from, index));

/** A change of a defect's category. */
export interface Weight {
  readonly at: Date;
  readonly category: DefectCourse["category"];
}

/** Since when an open defect has kept its machine off the road: since it got a grounding category, or since a minor one's last day ended. Null: it does not. */
export function groundsSince(weights: readonly Weight[], dueDay: string | null, timeZone: string, now: Date): Date | null {
  const lastMinor = weights.findLastIndex(({ category }) => !grounds(category));
  const grave = weights[lastMinor + 1];
  if (grave) return grave.at;
  return dueDay !== null && dueDay < localDay(now, timeZone) ? endOfDay(dueDay, timeZone) : null;
}

/** The past moment that a report is about, as a part of its file's name; nothing where it is about now. */
export const asAtInName = (at: Date | null): string => (at === null ? "" : `as at ${at.toISOString().replace(/\.\d+Z$/, "Z")}`);

/** A file name that every system takes: letters, digits and hyphens. */
export const fileNameOf = (ending: "pdf" | "ndjson" | "csv", ...parts: readonly string[]): string =>
  `${parts
    .map((part) => part.replace(/[^A-Za-z0-9]+/g, "-").replace(/^-+|-+$/g, ""))
    .filter((part) => part !== "")
    .join("-")}.${ending}`;
