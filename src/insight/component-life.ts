import type { ComponentLife } from "../../shared/contracts/insight.ts";
import type { AppContext } from "../acts/index.ts";
import type { View } from "../platform/index.ts";
import { componentLives, renewalsAmong, watchedItems } from "./lives.ts";
import { readWork } from "./part-store.ts";
import { type Asked, scopeOf } from "./scope.ts";
import { readModels, readOdometers } from "./store.ts";

/** Parts last longer than a month, so a year of records is used unless another period is asked for. */
const usualDays = 366;

/** How many kilometres parts last. Throws `not-found`, `period-not-valid`. */
export async function componentLife(context: AppContext, view: View, asked: Asked): Promise<ComponentLife> {
  const { depotIds, period, frame } = await scopeOf(context, view, asked, usualDays);
  const { db } = context;
  const [machines, done, models] = await Promise.all([
    readOdometers(db, depotIds, period),
    readWork(db, depotIds, period, watchedItems),
    readModels(db),
  ]);
  return { ...frame, components: componentLives(machines, renewalsAmong(done), models) };
}
