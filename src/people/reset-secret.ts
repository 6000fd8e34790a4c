import type { MemberWithCode, StaffMember } from "../../shared/contracts/people.ts";
import { appendToFirm, type NewEntry, recording } from "../ledger/index.ts";
import { type Actor, platformErrors, type ServiceContext, type Tx } from "../platform/index.ts";
import type { PeopleContext } from "./context.ts";
import { forgetSessions } from "./forget-sessions.ts";
import { alreadyLeft, mustManage, ownSecret } from "./refusals.ts";
import { codeDays, depotOfRecord } from "./rules.ts";
import { type Code, insertSecretEvent, putCode } from "./secret-store.ts";
import { type HashCost, hashSecret, makeCode, usualCost } from "./secrets.ts";
import { endSessionsOf, holdMember, readMember, readOpenSessions, tellSessionsOf } from "./store.ts";

/** A one-time code: as it is stored, and in plain text if the service made it. */
export interface NewCode extends Code {
  readonly told: { readonly oneTimeCode?: string };
  readonly madeBy: "service" | "manager" | "operator";
}

/** What somebody else sets as a secret is a one-time code, given or made here. */
export async function newCode(context: ServiceContext, given: string | undefined, cost: HashCost = usualCost): Promise<NewCode> {
  const code = given ?? makeCode();
  return {
    secretHash: await hashSecret(code, cost),
    codeExpiresAt: new Date(context.clock.now().getTime() + codeDays * 86_400_000),
    told: given === undefined ? { oneTimeCode: code } : {},
    madeBy: given === undefined ? "service" : "manager",
  };
}

/**
 * Replaces somebody's secret by a one-time code that the service makes: their sessions end, their locks are lifted, and the record says who
 * did it. Nobody learns a usable secret this way: the code allows nothing but choosing a new one.
 * Throws `not-found`, `other-depot`, `already-left`, `own-secret`.
 */
export async function resetSecret(context: PeopleContext, actor: Actor, id: string): Promise<MemberWithCode> {
  const code = await newCode(context, undefined);
  const { member, touched } = await recording(context, async (tx) => {
    const before = await holdMember(context.db, tx, id);
    if (!before) throw platformErrors.problem("not-found", "There is nobody with this id.");
    mustManage(actor, before);
    if (before.leftAt !== null) throw alreadyLeft();
    const now = context.clock.now();
    const reset = await resetHeld(context, tx, { by: actor.staffId, member: before, code, now });
    await appendToFirm(context, tx, { staffId: actor.staffId, depotId: depotOfRecord(before), recordedAt: now }, [reset.entry]);
    await reset.afterRecord();
    return { member: await readMember(tx, id), touched: reset.touched };
  });
  forgetSessions(context, touched);
  if (!member) throw new Error("a person is never removed");
  return { ...member, ...code.told };
}

/**
 * The reset of a person whose row is locked, within the caller's transaction. The caller appends its record, and then the rows that refer to
 * that record. `by`: null if it was done by whoever runs the service.
 */
export async function resetHeld(
  context: ServiceContext,
  tx: Tx,
  { by, member, code, now }: { by: string | null; member: StaffMember; code: NewCode; now: Date },
): Promise<{ readonly entry: NewEntry; readonly touched: readonly string[]; readonly afterRecord: () => Promise<void> }> {
  if (by === member.id) throw ownSecret();
  await putCode(tx, member.id, code);
  const touched = await readOpenSessions(tx, member.id);
  const sessionsEnded = await endSessionsOf(tx, member.id, "secret-reset", now);
  await tellSessionsOf(context.db, tx, member.id, touched);
  const id = context.newId();
  // No name and no staff number: this record stays, as evidence about what was signed, even after the person is made anonymous.
  const data = { personId: member.id, madeBy: code.madeBy, expiresAt: code.codeExpiresAt.toISOString(), sessionsEnded };
  return {
    entry: { id, kind: "secret-reset", performedAt: now, data },
    touched,
    afterRecord: () => insertSecretEvent(tx, { id, staffId: member.id, kind: "set", at: now }),
  };
}
