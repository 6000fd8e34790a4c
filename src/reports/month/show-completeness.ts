import type { Completeness, CompletenessQuery } from "../../../shared/contracts/reports.ts";
import type { AppContext } from "../../acts/index.ts";
import { cursorFrom, noDepot, pageFrom, type View } from "../../platform/index.ts";
import { daysOf } from "../rules.ts";
import { groundOf, machineDaysAfter } from "./collect-days.ts";
import { monthAsked } from "./month-scope.ts";

/** Each machine of a depot with the days of a month, judged as the month's report judges them. Throws `not-found`, `period-not-valid`. */
export async function showCompleteness(
  context: AppContext,
  view: View,
  { month, depotId, cursor }: CompletenessQuery,
): Promise<Completeness> {
  const scope = await monthAsked(context, view, { month });
  const [depot] = scope.depots;
  if (!depot) throw noDepot();
  const after = cursorFrom(cursor)?.[0] ?? "";
  const { judged, next } = await machineDaysAfter(context, scope, depot, await groundOf(context, scope), after);
  return {
    ...{ month, depotId, days: daysOf(scope.period) },
    items: judged.map(({ verdicts, ...machine }) => ({ ...machine, verdicts: [...verdicts] })),
    // The place of the last machine that was read, which need not be one that was there.
    nextCursor:
      next === null
        ? null
        : pageFrom(
            [next, ""],
            1,
            (place) => [place],
            (place) => place,
          ).nextCursor,
  };
}
