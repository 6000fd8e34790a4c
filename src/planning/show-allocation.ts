import type { KeptAllocation } from "../../shared/contracts/planning.ts";
import { onlyRides } from "../../shared/rules/roles.ts";
import type { AppContext } from "../acts/index.ts";
import type { Actor } from "../platform/index.ts";
import { readKept } from "./allocation-store.ts";
import { type DayOfDepot, keptAnswer } from "./line-facts.ts";

/** What is kept for a depot's day, each line with how it stands; a rider sees their own line only. */
export async function showAllocation(context: AppContext, actor: Actor, asked: DayOfDepot): Promise<KeptAllocation> {
  const kept = await readKept(context.db.rows, asked.depot.id, asked.day);
  const lines = onlyRides(actor) ? kept.lines.filter(({ staffId }) => staffId === actor.staffId) : kept.lines;
  return keptAnswer(context, context.db.rows, asked, { ...kept, lines });
}
