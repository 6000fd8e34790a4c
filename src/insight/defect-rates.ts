import type { DefectRates } from "../../shared/contracts/insight.ts";
import type { Actor, House } from "../platform/index.ts";
import { clearTimes, ratesOf } from "./rates.ts";
import { type Asked, scopeOf } from "./scope.ts";
import { countDefects, readClearTimes, readModels, sumMachineDays } from "./store.ts";

/** Defects in 1,000 machine-days, and the time to clear them. Throws `other-depot`, `not-found`, `period-not-valid`. */
export async function defectRates(house: House, actor: Actor, asked: Asked): Promise<DefectRates> {
  const { depotIds, depots, period, now, frame } = await scopeOf(house, actor, asked);
  const { db } = house;
  const [defects, days, models, times] = await Promise.all([
    countDefects(db, depotIds, period),
    sumMachineDays(db, depotIds, [period], now),
    readModels(db),
    readClearTimes(db, depotIds, period, now),
  ]);
  return { ...frame, ...ratesOf({ defects, days, models, depots }), timeToClear: clearTimes(times) };
}
