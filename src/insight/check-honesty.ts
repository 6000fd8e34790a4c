import type { Honesty } from "../../shared/contracts/insight.ts";
import { type AppContext, readPolicy } from "../acts/index.ts";
import { namesOf } from "../people/index.ts";
import type { View } from "../platform/index.ts";
import { gaugesOf, quantitiesWithDigits } from "./digits.ts";
import { conductOf, depotsOf, featuresAsked, peopleOf, sheetBars, sheetOf } from "./honesty.ts";
import { type Asked, scopeOf } from "./scope.ts";
import { countChecks, countFollowed, countNotApplicable, countReadings, readModels } from "./store.ts";

/** Whether the checks mean anything, as questions to ask. Throws `not-found`, `period-not-valid`. */
export async function checkHonesty(context: AppContext, view: View, asked: Asked): Promise<Honesty> {
  const { depotIds, depots, period, frame } = await scopeOf(context, view, asked);
  const { db } = context;
  const [{ tooFastSeconds, tooFastSecondsPerItem }, models] = await Promise.all([readPolicy(db), readModels(db)]);
  const sheets = models.map(sheetOf);
  const [checks, followed, readings, notApplicable] = await Promise.all([
    countChecks(db, depotIds, period, sheets, { tooFastSeconds, tooFastSecondsPerItem }),
    countFollowed(db, depotIds, period, sheets),
    countReadings(db, depotIds, period, quantitiesWithDigits),
    countNotApplicable(db, depotIds, period),
  ]);
  const names = await namesOf(
    db,
    [...checks, ...readings].map(({ staffId }) => staffId),
  );
  return {
    ...frame,
    bars: { tooFastSeconds, tooFastSecondsPerItem, sheets: sheetBars(checks, models, sheets) },
    all: conductOf(checks, followed),
    people: peopleOf(checks, followed, names),
    depots: depotsOf(checks, followed, depots),
    gauges: gaugesOf(readings, names),
    notApplicable: featuresAsked(notApplicable, models),
  };
}
