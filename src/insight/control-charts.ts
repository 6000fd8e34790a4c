import type { ControlCharts } from "../../shared/contracts/insight.ts";
import type { AppContext } from "../acts/index.ts";
import { defectsFound, sumService } from "../figures/index.ts";
import type { View } from "../platform/index.ts";
import { rateChart, shareChart, weeksOf } from "./charts.ts";
import { type Asked, scopeOf } from "./scope.ts";
import { countDays } from "./store.ts";

/** Checks with a defect by day and defects by week, against their limits. Throws `not-found`, `period-not-valid`. */
export async function controlCharts(context: AppContext, view: View, asked: Asked): Promise<ControlCharts> {
  const { depotIds, depots, period, now, frame } = await scopeOf(context, view, asked);
  const { db } = context;
  const weeks = weeksOf(period);
  const counted = { depots, periods: weeks, now };
  const [days, found, service] = await Promise.all([countDays(db, depotIds, period), defectsFound(db, counted), sumService(db, counted)]);
  return { ...frame, checksWithDefect: shareChart(days), defectsPerMachineDay: rateChart(weeks, found, service) };
}
