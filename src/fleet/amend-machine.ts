import type { Machine, MachineAmendment } from "../../shared/contracts/fleet.ts";
import { type Actor, type House, mustSeeDepot } from "../platform/index.ts";
import { actOnMachine } from "../readiness/index.ts";
import { markTaken, mustExist } from "./add-machine.ts";
import { type Amended, amend, readIdentity } from "./rules.ts";
import { showMachine } from "./show-machine.ts";
import { isTaken } from "./store.ts";

/**
 * Changes a machine's particulars, sets its odometer, withdraws it or brings it back, each with its record; asked twice, it records once.
 * Throws `not-valid`, `not-found`, `other-depot` (of either depot), `mark-taken`, `already-withdrawn`.
 */
export async function amendMachine(house: House, actor: Actor, id: string, body: MachineAmendment): Promise<Machine> {
  const { registrationMark: _mark, vin: _vin, ...others } = body;
  const asked = { ...others, ...readIdentity(body) };
  if (body.depotId !== undefined) mustSeeDepot(actor, body.depotId);
  await mustExist(house, body);
  try {
    await actOnMachine(house, { machineId: id, actor }, (facts, recordedAt) => {
      const { entries, ...amended } = amend(facts, asked, recordedAt, house.newId);
      return { ...amended, entries: atLeastOne(entries) };
    });
  } catch (error) {
    if (isTaken(error)) throw markTaken(asked.registrationMark ?? "");
    if (!(error instanceof AsAskedAlready)) throw error;
  }
  return showMachine(house, actor, id);
}

/** Leaves the act where there is nothing to record. */
class AsAskedAlready extends Error {}

function atLeastOne([first, ...others]: Amended["entries"]): [Amended["entries"][number], ...Amended["entries"]] {
  if (!first) throw new AsAskedAlready();
  return [first, ...others];
}
