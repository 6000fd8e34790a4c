import type { Depot, DepotBody } from "../../shared/contracts/fleet.ts";
import type { AppContext } from "../acts/index.ts";
import { appendToFirm, recording } from "../ledger/index.ts";
import type { Actor } from "../platform/index.ts";
import { fleetErrors } from "./errors.ts";
import { insertDepot, isDepotNameTaken } from "./store.ts";

/** Adds a depot. Throws `name-taken`. */
export async function addDepot(context: AppContext, actor: Actor, body: DepotBody): Promise<Depot> {
  const recordedAt = context.clock.now();
  const depot: Depot = { id: context.newId(), ...body, addedAt: recordedAt.toISOString() };
  await recording(context, async (tx) => {
    await insertDepot(tx, depot);
    await appendToFirm(context, tx, { staffId: actor.staffId, depotId: depot.id, recordedAt }, [
      { id: context.newId(), kind: "depot-added", performedAt: recordedAt, data: { depotId: depot.id, ...body } },
    ]);
  }).catch((error: unknown) => {
    if (isDepotNameTaken(error)) throw fleetErrors.problem("name-taken", `There is a depot called ${body.name}. Nothing was stored.`);
    throw error;
  });
  return depot;
}
