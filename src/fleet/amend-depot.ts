import type { Depot, DepotAmendment } from "../../shared/contracts/fleet.ts";
import type { AppContext } from "../acts/index.ts";
import { appendToFirm, recording } from "../ledger/index.ts";
import { type Actor, mustMatch, noDepot } from "../platform/index.ts";
import { fleetErrors } from "./errors.ts";
import { holdDepot, isDepotNameTaken, updateDepot } from "./store.ts";

/**
 * Changes a depot's name, rule set, workshop hours, when it asks for a second person or whether clearances run over midnight, with its record; asked twice, it records once. What
 * was judged before keeps the limits by which it was judged. Throws `not-found`, `name-taken`, `changed-meanwhile`.
 */
export async function amendDepot(context: AppContext, actor: Actor, id: string, body: DepotAmendment, ifMatch?: string): Promise<Depot> {
  const recordedAt = context.clock.now();
  return recording(context, async (tx): Promise<Depot> => {
    const known = await holdDepot(context.db, tx, id);
    if (!known) throw noDepot();
    mustMatch(ifMatch, known);
    const after: Depot = {
      ...known,
      name: body.name ?? known.name,
      ruleSet: body.ruleSet ?? known.ruleSet,
      workshopHoursPerDay: body.workshopHoursPerDay ?? known.workshopHoursPerDay,
      secondPerson: body.secondPerson === undefined ? known.secondPerson : body.secondPerson,
      clearanceOverMidnight: body.clearanceOverMidnight === undefined ? known.clearanceOverMidnight : body.clearanceOverMidnight,
    };
    const fields = ["name", "ruleSet", "workshopHoursPerDay", "secondPerson", "clearanceOverMidnight"] as const;
    const changed = fields.filter((field) => known[field] !== after[field]);
    if (changed.length === 0) return known;
    await updateDepot(tx, after);
    const only = (depot: Depot) => Object.fromEntries(changed.map((field) => [field, depot[field]]));
    await appendToFirm(context, tx, { staffId: actor.staffId, depotId: id, recordedAt }, [
      {
        id: context.newId(),
        kind: "depot-amended",
        performedAt: recordedAt,
        data: { depotId: id, before: only(known), after: only(after) },
      },
    ]);
    return after;
  }).catch((error: unknown) => {
    if (isDepotNameTaken(error)) throw fleetErrors.problem("name-taken", `There is a depot called ${body.name}. Nothing was stored.`);
    throw error;
  });
}
