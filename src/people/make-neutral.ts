// The place of a person who has left and wants to be forgotten: the id stays, since records are signed by it; what names them goes.
import type { StaffMember } from "../../shared/contracts/people.ts";
import { word } from "../../shared/words/index.ts";
import { type Actor, type Database, platformErrors, type Tx } from "../platform/index.ts";
import { mustManage, numberTaken } from "./refusals.ts";
import { holdMember, isNumberTaken, neutralisePerson, readMember } from "./store.ts";

/** A person whom the actor manages, with the row locked until the transaction ends. Throws `not-found`, `other-depot`. */
export async function holdStaffMember(db: Pick<Database, "rowsIn">, tx: Tx, actor: Actor, id: string): Promise<StaffMember> {
  const member = await holdMember(db, tx, id);
  if (!member) throw platformErrors.problem("not-found", "There is nobody with this id.");
  mustManage(actor, member);
  return member;
}

/** Removes the name, staff number, licence class, secret and sessions of a person whose row is locked. Throws `staff-number-taken` if somebody has the neutral number, which does not happen by chance. */
export async function makeNeutral(tx: Tx, id: string, secretHash: string): Promise<StaffMember> {
  // The last part of the id is its random one.
  const short = id.slice(-12);
  const staffNumber = `FORMER-${short.toUpperCase()}`;
  if (await isNumberTaken(tx, staffNumber)) throw numberTaken(staffNumber);
  await neutralisePerson(tx, id, { name: word("person.former", "en", { short: short.slice(-6) }), staffNumber, secretHash });
  const member = await readMember(tx, id);
  if (!member) throw new Error("a person is never removed");
  return member;
}
