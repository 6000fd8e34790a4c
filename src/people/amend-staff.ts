import type { AmendStaffBody, StaffMember } from "../../shared/contracts/people.ts";
import { appendToFirm, type NewEntry, recording } from "../ledger/index.ts";
import { type Actor, mustMatch, platformErrors, type Tx } from "../platform/index.ts";
import type { PeopleContext } from "./context.ts";
import { peopleErrors } from "./errors.ts";
import { forgetSessions } from "./forget-sessions.ts";
import { alreadyLeft, mustFit, mustManage } from "./refusals.ts";
import { type NewCode, newCode, resetHeld } from "./reset-secret.ts";
import { amended, changedParticulars, depotOfRecord, isFullManager, particularsOf, recordOf } from "./rules.ts";
import { countFullManagers, endSessionsOf, holdMember, readMember, readOpenSessions, tellSessionsOf, updatePerson } from "./store.ts";

/**
 * Changes what the body names. A person who leaves or gets a one-time code loses their sessions; any other change counts from the
 * next call they send. Throws `not-found`, `other-depot`, `already-left`, `not-valid`, `own-secret`, `last-manager`, `changed-meanwhile`.
 */
export async function amendStaff(
  context: PeopleContext,
  actor: Actor,
  id: string,
  body: AmendStaffBody,
  ifMatch?: string,
): Promise<StaffMember> {
  const code = body.secret === undefined ? null : await newCode(context, body.secret);
  const { member, touched } = await recording(context, (tx) => amend(context, tx, { actor, id, body, code, ifMatch }));
  forgetSessions(context, touched);
  return member;
}

async function amend(
  context: PeopleContext,
  tx: Tx,
  { actor, id, body, code, ifMatch }: { actor: Actor; id: string; body: AmendStaffBody; code: NewCode | null; ifMatch: string | undefined },
): Promise<{ member: StaffMember; touched: readonly string[] }> {
  const now = context.clock.now();
  const before = await holdMember(context.db, tx, id);
  if (!before) throw platformErrors.problem("not-found", "There is nobody with this id.");
  mustManage(actor, before);
  mustMatch(ifMatch, particularsOf(before));
  if (before.leftAt !== null) throw alreadyLeft();
  const after = amended(before, body);
  mustManage(actor, after);
  // Judged as sent: a list of depots beside allDepots is a contradiction, even where the stored form would hide it.
  await mustFit(tx, { ...after, depotIds: body.allDepots && body.depotIds ? body.depotIds : after.depotIds });

  const changed = changedParticulars(before, after);
  const entries: NewEntry[] = [];
  const record = recordOf(before, after);
  if (changed.length > 0) {
    entries.push({ id: context.newId(), kind: "person-amended", performedAt: now, data: { ...record, changed } });
  }
  if (body.left) entries.push({ id: context.newId(), kind: "person-left", performedAt: now, data: record });
  if (entries.length === 0 && code === null) return { member: before, touched: [] };

  await updatePerson(tx, id, after, body.left ? { leftAt: now } : {});
  const touched = await readOpenSessions(tx, id);
  if (body.left) await endSessionsOf(tx, id, "left", now);
  await tellSessionsOf(context.db, tx, id, touched);
  const reset = code === null ? null : await resetHeld(context, tx, { by: actor.staffId, member: before, code, now });
  if (reset) entries.push(reset.entry);
  await appendToFirm(context, tx, { staffId: actor.staffId, depotId: depotOfRecord(after), recordedAt: now }, entries);
  await reset?.afterRecord();

  // Counted last, behind the firm's row that the record holds: of two managers who demote each other one comes too late.
  const steppedDown = isFullManager(before) && (body.left === true || !isFullManager(after));
  if (steppedDown && (await countFullManagers(tx)) === 0) {
    throw peopleErrors.problem("last-manager", "Make somebody else a manager of all depots first. Nothing was changed.");
  }
  const member = await readMember(tx, id);
  if (!member) throw new Error("a person is never removed");
  return { member, touched };
}
