import type { Machine, MachineBody } from "../../shared/contracts/fleet.ts";
import { type Actor, type House, mustSeeDepot } from "../platform/index.ts";
import { enterFleet } from "./enter-fleet.ts";
import { fleetErrors } from "./errors.ts";
import { notValid, readIdentity } from "./rules.ts";
import { showMachine } from "./show-machine.ts";
import { findModel, hasDepot, isTaken } from "./store.ts";

/** Adds a machine; its first weekly inspection is due before the first ride. Throws `not-valid`, `other-depot`, `mark-taken`. */
export async function addMachine(house: House, actor: Actor, body: MachineBody): Promise<Machine> {
  const { registrationMark = "", vin = null } = readIdentity(body);
  mustSeeDepot(actor, body.depotId);
  await mustExist(house, body);
  const entrant = { ...body, registrationMark, vin };
  const ids = await house.db.prisma
    .$transaction((tx) => enterFleet(tx, house, actor, [entrant], house.clock.now()))
    .catch((error: unknown) => {
      throw isTaken(error) ? markTaken(registrationMark) : error;
    });
  return showMachine(house, actor, ids[0] ?? "");
}

/** Throws `not-valid` where the model or the depot that was named is not there. */
export async function mustExist(house: House, named: { readonly modelId?: string | undefined; readonly depotId?: string | undefined }) {
  const issues = [];
  if (named.modelId !== undefined && !(await findModel(house.db, named.modelId)))
    issues.push({ pointer: "/modelId", message: "there is no model with this id" });
  if (named.depotId !== undefined && !(await hasDepot(house.db, named.depotId)))
    issues.push({ pointer: "/depotId", message: "there is no depot with this id" });
  if (issues.length > 0) throw notValid(issues);
}

export const markTaken = (mark: string) =>
  fleetErrors.problem("mark-taken", `A machine with the mark ${mark} is in the fleet. Nothing was stored.`);
