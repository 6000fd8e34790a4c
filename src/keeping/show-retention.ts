import type { Retention } from "../../shared/contracts/keeping.ts";
import { defaultPolicy } from "../../shared/rules/policy.ts";
import { forgettableBefore, recordClasses, recordClassNames } from "../../shared/rules/retention.ts";
import { word } from "../../shared/words/index.ts";
import type { AppContext } from "../acts/index.ts";
import { countOver, countStandingHolds, readKeeping } from "./store.ts";

/** How long each class of records is kept and why, and what the next run would forget or a hold keeps from it. Nothing is forgotten here. */
export async function showRetention(context: AppContext): Promise<Retention> {
  const ask = context.db.rows;
  const { keepMonths, zones } = (await readKeeping(ask)) ?? { keepMonths: defaultPolicy.keepMonths, zones: [] };
  const { untilDay, before } = forgettableBefore(context.clock.now(), zones, keepMonths);
  const [over, standingHolds] = [await countOver(ask, before), await countStandingHolds(ask)];
  const sum = (which: "due" | "held", kinds?: readonly string[]): number =>
    over.reduce((total, row) => total + (kinds === undefined || kinds.includes(row.kind) ? row[which] : 0), 0);
  return {
    ...{ keepMonths, untilDay, standingHolds, due: sum("due"), held: sum("held") },
    classes: recordClassNames.map((id) => {
      const { kept, kinds } = recordClasses[id];
      return {
        ...{ id, name: word(`retention.${id}.name`), reason: word(`retention.${id}.reason`), kinds: [...kinds] },
        ...{ months: kept === "dated" ? keepMonths : null, due: sum("due", kinds), held: sum("held", kinds) },
      };
    }),
  };
}
