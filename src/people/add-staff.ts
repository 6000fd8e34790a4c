import type { AddStaffBody, MemberWithCode, StaffMember } from "../../shared/contracts/people.ts";
import { appendToFirm, type NewEntry, recording } from "../ledger/index.ts";
import type { Actor, Asking, ServiceContext, Tx } from "../platform/index.ts";
import type { PeopleContext } from "./context.ts";
import { mustFit, mustManage, numberTaken } from "./refusals.ts";
import { type NewCode, newCode } from "./reset-secret.ts";
import { depotOfRecord, type Particulars, recordOf, rolesAsKept, tidy } from "./rules.ts";
import { insertSecretEvent } from "./secret-store.ts";
import { insertPerson, readMember } from "./store.ts";

/** The depots of a person to be added, which the body names: all of them the caller's own. */
export const newPerson: Asking<PeopleContext, undefined> = {
  name: "depots in body",
  ask: (_context, actor, { inBody: { allDepots = false, depotIds = [] } = {} }) => {
    mustManage(actor, { allDepots, depotIds });
    return undefined;
  },
};

/** Adds a person. Their secret is a one-time code: the one given, or one made here that only this answer shows. The door has asked whose depots they are. Throws `not-valid`, `staff-number-taken`. */
export async function addStaff(context: PeopleContext, actor: Actor, body: AddStaffBody): Promise<MemberWithCode> {
  const { staffNumber, secret, role, roles, ...others } = body;
  const given = { ...others, ...rolesAsKept(roles ?? (role === undefined ? [] : [role])) };
  const code = await newCode(context, secret);
  const member = await recording(context, async (tx) => {
    await mustFit(tx, given);
    return insertWithRecord(context, tx, { staffNumber, code, particulars: tidy(given), by: actor.staffId });
  });
  return { ...member, ...code.told };
}

/** Writes a person and the record of it; `first` are acts recorded before it in the same transaction. */
export async function insertWithRecord(
  context: ServiceContext,
  tx: Tx,
  about: { staffNumber: string; code: NewCode; particulars: Particulars; by: string | null; first?: readonly NewEntry[] },
): Promise<StaffMember> {
  const { staffNumber, code, particulars } = about;
  const { secretHash, codeExpiresAt } = code;
  const id = context.newId();
  const now = context.clock.now();
  if (!(await insertPerson(tx, { id, staffNumber, secretHash, codeExpiresAt, addedAt: now, ...particulars })))
    throw numberTaken(staffNumber);
  const added: NewEntry = {
    id: context.newId(),
    kind: "person-added",
    performedAt: now,
    data: recordOf({ id, staffNumber }, particulars),
  };
  await appendToFirm(context, tx, { staffId: about.by, depotId: depotOfRecord(particulars), recordedAt: now }, [
    ...(about.first ?? []),
    added,
  ]);
  await insertSecretEvent(tx, { id: added.id, staffId: id, kind: "set", at: now });
  const member = await readMember(tx, id);
  if (!member) throw new Error("the person was just written");
  return member;
}
