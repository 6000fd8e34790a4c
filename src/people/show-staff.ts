import type { StaffMember } from "../../shared/contracts/people.ts";
import { type Asking, idOf, platformErrors } from "../platform/index.ts";
import type { PeopleContext } from "./context.ts";
import { mustManage } from "./refusals.ts";
import { readMember } from "./store.ts";

/** The person named in the address, whom the caller has to manage. Throws `not-found`, `other-depot`. */
export const person: Asking<PeopleContext, StaffMember> = {
  name: "person",
  ask: async ({ db }, actor, asked) => {
    const member = await readMember(db.prisma, idOf(asked));
    if (!member) throw platformErrors.problem("not-found", "There is nobody with this id.");
    mustManage(actor, member);
    return member;
  },
};
