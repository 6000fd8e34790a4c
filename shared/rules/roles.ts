// What somebody may do by the roles that they hold. The second person is another person, whatever hats the first one wears.
import type { Role } from "../contracts/common.ts";

/** `roles` is missing where it was kept before there were several. */
export interface HoldsRoles {
  readonly role: Role;
  readonly roles?: readonly Role[] | undefined;
}

/** All roles of a person: what is kept counts only where it begins with the one that is kept beside it. */
export const rolesOf = ({ role, roles = [] }: HoldsRoles): readonly Role[] => (roles[0] === role ? roles : [role]);

/** Whether somebody holds one of these roles. */
export const holds = (person: HoldsRoles, ...wanted: readonly Role[]): boolean => rolesOf(person).some((one) => wanted.includes(one));

/** Whether somebody rides and does nothing else: they see their own records alone. */
export const onlyRides = (person: HoldsRoles): boolean => rolesOf(person).every((one) => one === "rider");
