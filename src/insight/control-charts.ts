import type { ControlCharts } from "../../shared/contracts/insight.ts";
import type { Actor, House } from "../platform/index.ts";
import { rateChart, shareChart, weeksOf } from "./charts.ts";
import { type Asked, scopeOf } from "./scope.ts";
import { countDays, countDefects, sumMachineDays } from "./store.ts";

/** Checks with a defect by day and defects by week, against their limits. Throws `other-depot`, `not-found`, `period-not-valid`. */
export async function controlCharts(house: House, actor: Actor, asked: Asked): Promise<ControlCharts> {
  const { depotIds, period, now, frame } = await scopeOf(house, actor, asked);
  const { db } = house;
  const weeks = weeksOf(period);
  const [days, defects, machineDays] = await Promise.all([
    countDays(db, depotIds, period),
    countDefects(db, depotIds, period),
    sumMachineDays(
      db,
      depotIds,
      weeks.map(({ from, to }) => ({ from, to })),
      now,
    ),
  ]);
  return { ...frame, checksWithDefect: shareChart(days), defectsPerMachineDay: rateChart(weeks, defects, machineDays) };
}
