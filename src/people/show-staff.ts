import type { StaffMember } from "../../shared/contracts/people.ts";
import { type Actor, platformErrors } from "../platform/index.ts";
import type { PeopleContext } from "./context.ts";
import { mustManage } from "./refusals.ts";
import { readMember } from "./store.ts";

/** A person whom the manager manages. Throws `not-found`, `other-depot`. */
export async function showStaff(context: PeopleContext, actor: Actor, id: string): Promise<StaffMember> {
  const member = await readMember(context.db.prisma, id);
  if (!member) throw platformErrors.problem("not-found", "There is nobody with this id.");
  mustManage(actor, member);
  return member;
}
