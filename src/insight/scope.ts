// What a figure covers: the depots in view and the days, checked before anything is counted.
import { word } from "../../shared/words/index.ts";
import type { AppContext } from "../acts/index.ts";
import { type DepotIds, latestDay, noDepot, type Period, periodAsked, type View } from "../platform/index.ts";
import { type DepotRow, readDepots } from "./store.ts";

/** The first and the last day; both may be left out. */
export interface Asked {
  readonly from?: string | undefined;
  readonly to?: string | undefined;
}

export interface Scope {
  /** as the store filters by them */
  readonly depotIds: DepotIds;
  /** by name */
  readonly depots: readonly DepotRow[];
  readonly period: Period;
  readonly now: Date;
  /** what every answer begins with */
  readonly frame: { readonly depotId: string | null; readonly from: string; readonly to: string; readonly caution: string };
}

/** Four weeks hold each weekday as often as any other. */
const usualDays = 28;

/** Throws `not-found` for a depot that does not exist, `period-not-valid`. */
export async function scopeOf(
  context: AppContext,
  { depotIds, asked: depotId }: View,
  asked: Asked,
  daysUnlessAsked = usualDays,
): Promise<Scope> {
  const depots = await readDepots(context.db, depotIds);
  if (depotId !== undefined && depots.length === 0) throw noDepot();
  const now = context.clock.now();
  const today = latestDay(
    now,
    depots.map(({ timeZone }) => timeZone),
  );
  const period = periodAsked(asked, today, daysUnlessAsked);
  return { depotIds, depots, period, now, frame: { depotId: depotId ?? null, ...period, caution: word("insight.caution") } };
}
