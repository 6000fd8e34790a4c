// Who may call a route. Roles that often occur together have a name, so that a row of the table fits on one line.
import type { Role } from "../../../shared/contracts/common.ts";

/** `anyone`: no sign-in. `signed-in`: every role. Else the roles that may. */
export type Who = "anyone" | "signed-in" | readonly Role[];

export const anyone = "anyone";
export const signedIn = "signed-in";
export const mechanic: readonly Role[] = ["mechanic"];
export const manager: readonly Role[] = ["manager"];
export const riderOrMechanic: readonly Role[] = ["rider", "mechanic"];
export const mechanicOrManager: readonly Role[] = ["mechanic", "manager"];
export const managerOrAuditor: readonly Role[] = ["manager", "auditor"];
export const allButRider: readonly Role[] = ["mechanic", "manager", "auditor"];
export const allButAuditor: readonly Role[] = ["rider", "mechanic", "manager"];
