// Pure decisions of the reports: their moment, their days, what a file is called.
import { addDays, daysBetween } from "../../shared/rules/calendar.ts";
import type { Period } from "../platform/index.ts";
import type { Frame } from "./facts.ts";
import type { ModelRow } from "./store.ts";

/** The moment that a report is about. */
export const momentOf = ({ asAt, printedAt }: Pick<Frame, "asAt" | "printedAt">): Date => asAt ?? printedAt;

/** All days of a period, in order. */
export const daysOf = ({ from, to }: Period): string[] =>
  Array.from({ length: daysBetween(from, to) + 1 }, (_, index) => addDays(from, index));

/** The past moment that a report is about, as a part of its file's name; nothing where it is about now. */
export const asAtInName = (at: Date | null): string => (at === null ? "" : `as at ${at.toISOString().replace(/\.\d+Z$/, "Z")}`);

/** A file name that every system takes: letters, digits and hyphens. */
export const fileNameOf = (ending: "pdf" | "ndjson" | "csv", ...parts: readonly string[]): string =>
  `${parts
    .map((part) => part.replace(/[^A-Za-z0-9]+/g, "-").replace(/^-+|-+$/g, ""))
    .filter((part) => part !== "")
    .join("-")}.${ending}`;

/** What a model said when a record arrived: its figures before the first revision after that. */
export const modelThen = (model: ModelRow, recordedAt: Date): Pick<ModelRow, "engineCc" | "features" | "handbook"> =>
  model.before?.find(({ until }) => new Date(until) > recordedAt) ?? model;
