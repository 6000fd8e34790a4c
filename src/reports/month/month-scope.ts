// What a month's report covers: depots, with the first and the last instant of the month by each depot's calendar.
import { endOfDay, startOfDay } from "../../../shared/rules/calendar.ts";
import type { Language } from "../../../shared/words/index.ts";
import type { AppContext } from "../../acts/index.ts";
import { latestDay, noDepot, type Period, type View } from "../../platform/index.ts";
import { frameOfDepots } from "../collect-frame.ts";
import type { Frame } from "../facts.ts";
import type { DepotRow } from "../store.ts";
import { daysOfMonth, lastDayOf } from "./month.ts";

/** Of a month as records and as a pack, and so of the paper in it: its read-me and its tables are in English. */
export const packLanguage: Language = "en";

/** A stretch of time; `ends` is the first instant after it. */
export interface Span {
  readonly starts: Date;
  readonly ends: Date;
}

export interface MonthScope {
  /** `YYYY-MM` */
  readonly month: string;
  readonly frame: Frame;
  /** by name */
  readonly depots: readonly DepotRow[];
  /** the depots to filter by; null: all */
  readonly depotIds: readonly string[] | null;
  /** the days that have come in at least one of the depots */
  readonly period: Period;
  /** the whole calendar month for each depot; `firm`: for what belongs to none */
  readonly spans: { readonly ofDepots: ReadonlyMap<string, Span>; readonly firm: Span };
}

/** The depots of a month that somebody asks about. Throws `not-found`, `period-not-valid` for a month that is still to come. */
export async function monthAsked(
  context: AppContext,
  { depotIds, asked }: View,
  { month, pointer }: { readonly month: string; readonly pointer?: string },
): Promise<MonthScope> {
  const scope = await monthScope(context, { month, depotIds, pointer });
  if (asked !== undefined && scope.depots.length === 0) throw noDepot();
  return scope;
}

/** The scope of everything that arrived from a moment until now. Throws `not-found`. */
export async function sinceAsked(
  context: AppContext,
  { depotIds, asked }: View,
  since: Date,
): Promise<Pick<MonthScope, "frame" | "spans">> {
  const { frame, depots } = await frameOfDepots(context, depotIds, packLanguage);
  if (asked !== undefined && depots.length === 0) throw noDepot();
  // The end is exclusive: what arrives at this very moment is in the next answer.
  const span = { starts: since, ends: context.clock.now() };
  return { frame, spans: { ofDepots: new Map(depots.map(({ id }) => [id, span])), firm: span } };
}

/** The part of a span that begins at `since`, or at its own start where that is later. */
const from = ({ starts, ends }: Span, since: Date): Span => ({ starts: since > starts ? since : starts, ends });

/** The part of a month since a moment. */
export const onlySince = (spans: MonthScope["spans"], since: Date): MonthScope["spans"] => ({
  ofDepots: new Map([...spans.ofDepots].map(([id, span]) => [id, from(span, since)])),
  firm: from(spans.firm, since),
});

/** The same for depots that were already checked when a job was ordered; null: all. Throws `period-not-valid`. */
export async function monthScope(
  context: AppContext,
  {
    month,
    depotIds,
    pointer,
  }: { readonly month: string; readonly depotIds: readonly string[] | null; readonly pointer?: string | undefined },
): Promise<MonthScope> {
  const { frame, depots } = await frameOfDepots(context, depotIds, packLanguage);
  const zones = depots.map(({ timeZone }) => timeZone);
  const period = daysOfMonth(month, latestDay(context.clock.now(), zones), pointer);
  const span = (timeZone: string): Span => ({
    starts: startOfDay(period.from, timeZone),
    ends: endOfDay(lastDayOf(month), timeZone),
  });
  const [only] = depots;
  return {
    ...{ month, frame, depots, depotIds, period },
    spans: {
      ofDepots: new Map(depots.map(({ id, timeZone }) => [id, span(timeZone)])),
      firm: span(only && depots.length === 1 ? only.timeZone : "UTC"),
    },
  };
}
