import type { Machine, MachineBody } from "../../shared/contracts/fleet.ts";
import type { AppContext } from "../acts/index.ts";
import { recording } from "../ledger/index.ts";
import { type Actor, notValid } from "../platform/index.ts";
import { enterFleet } from "./enter-fleet.ts";
import { fleetErrors } from "./errors.ts";
import { readIdentity } from "./rules.ts";
import { showMachine } from "./show-machine.ts";
import { findDepot, findMachine, findModel, isMarkTaken } from "./store.ts";

/** Adds a machine; its first weekly inspection is due before the first ride. The door has asked whose depot the body names. Throws `not-valid`, `mark-taken`. */
export async function addMachine(context: AppContext, actor: Actor, body: MachineBody): Promise<Machine> {
  const { registrationMark = "", vin = null } = readIdentity(body);
  await mustExist(context, body);
  const entrant = { ...body, registrationMark, vin };
  return recording(context, async (tx) => {
    const [id = ""] = await enterFleet(tx, context, actor, [entrant], context.clock.now());
    // Read in the same transaction: once it is stored, nothing can fail that the answer needs.
    const reading = { clock: context.clock, db: { rows: context.db.rowsIn(tx) } };
    const added = await findMachine(reading.db, id);
    if (!added) throw new Error(`machine ${id} was added and is not there`);
    return showMachine(reading, actor, added);
  }).catch((error: unknown) => {
    throw isMarkTaken(error) ? markTaken(registrationMark) : error;
  });
}

/** The model and the depot that were named. Throws `not-valid` where one is not there. */
export async function mustExist(
  context: AppContext,
  named: { readonly modelId?: string | undefined; readonly depotId?: string | undefined },
) {
  const model = named.modelId === undefined ? undefined : await findModel(context.db, named.modelId);
  const depot = named.depotId === undefined ? undefined : await findDepot(context.db, named.depotId);
  const issues = [];
  if (model === null) issues.push({ pointer: "/modelId", message: "there is no model with this id" });
  if (depot === null) issues.push({ pointer: "/depotId", message: "there is no depot with this id" });
  if (issues.length > 0) throw notValid(issues);
  return { model: model ?? undefined, depot: depot ?? undefined };
}

export const markTaken = (mark: string) =>
  fleetErrors.problem("mark-taken", `A machine with the mark ${mark} is in the fleet. Nothing was stored.`);
