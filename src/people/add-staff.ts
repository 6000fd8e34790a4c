import type { AddStaffBody, StaffMember } from "../../shared/contracts/people.ts";
import { appendToFirm, type NewEntry } from "../ledger/index.ts";
import type { Actor, House, Tx } from "../platform/index.ts";
import { mustFit, mustManage, numberTaken } from "./refusals.ts";
import { depotOfRecord, type Particulars, recordOf, tidy } from "./rules.ts";
import { hashSecret } from "./secrets.ts";
import { insertPerson, readMember } from "./store.ts";

/** Adds a person. Throws `other-depot`, `not-valid`, `staff-number-taken`. */
export async function addStaff(house: House, actor: Actor, body: AddStaffBody): Promise<StaffMember> {
  const { staffNumber, secret, ...given } = body;
  mustManage(actor, given);
  const secretHash = await hashSecret(secret);
  return house.db.prisma.$transaction(async (tx) => {
    await mustFit(tx, given);
    return insertWithRecord(house, tx, { staffNumber, secretHash, particulars: tidy(given), by: actor.staffId });
  });
}

/** Writes a person and the record of it; `first` are acts that come before it in the same breath. */
export async function insertWithRecord(
  house: House,
  tx: Tx,
  about: { staffNumber: string; secretHash: string; particulars: Particulars; by: string | null; first?: readonly NewEntry[] },
): Promise<StaffMember> {
  const { staffNumber, secretHash, particulars } = about;
  const id = house.newId();
  const now = house.clock.now();
  if (!(await insertPerson(tx, { id, staffNumber, secretHash, addedAt: now, ...particulars }))) throw numberTaken(staffNumber);
  const added: NewEntry = {
    id: house.newId(),
    kind: "person-added",
    performedAt: now,
    data: recordOf({ id, staffNumber }, particulars),
  };
  await appendToFirm(house, tx, { staffId: about.by, depotId: depotOfRecord(particulars), recordedAt: now }, [
    ...(about.first ?? []),
    added,
  ]);
  const member = await readMember(tx, id);
  if (!member) throw new Error("the person was just written");
  return member;
}
