import type { DefectRates } from "../../shared/contracts/insight.ts";
import type { AppContext } from "../acts/index.ts";
import { actsDone, defectsFound, sumService } from "../figures/index.ts";
import type { View } from "../platform/index.ts";
import { clearTimeOf, clearTimes, ratesOf } from "./rates.ts";
import { type Asked, scopeOf } from "./scope.ts";
import { readModels } from "./store.ts";

/** Defects in 1,000 machine-days, and the time to clear them. Throws `not-found`, `period-not-valid`. */
export async function defectRates(context: AppContext, view: View, asked: Asked): Promise<DefectRates> {
  const { depots, period, now, frame } = await scopeOf(context, view, asked);
  const { db } = context;
  const counted = { depots, periods: [period], now };
  const [found, done, service, models] = await Promise.all([
    defectsFound(db, counted),
    actsDone(db, counted),
    sumService(db, counted),
    readModels(db),
  ]);
  const times = found.map((defect) => clearTimeOf(defect, now));
  return { ...frame, ...ratesOf({ found, done, service, models, depots }), timeToClear: clearTimes(times) };
}
