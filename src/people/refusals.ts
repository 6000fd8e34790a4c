// Refusals that adding and amending share.
import { type Actor, platformErrors, type Tx } from "../platform/index.ts";
import { peopleErrors } from "./errors.ts";
import { issuesWith, mayManage, type Particulars } from "./rules.ts";
import { unknownDepots } from "./store.ts";

/** Throws `other-depot` where the person belongs, or would belong, to depots that are not the manager's. */
export function mustManage(actor: Actor, person: Pick<Particulars, "allDepots" | "depotIds">): void {
  if (!mayManage(actor, person)) {
    throw platformErrors.problem("other-depot", "You manage the people of your own depots only. A manager of all depots can do this.");
  }
}

/** Throws `not-valid` where the particulars do not fit together or name a depot that does not exist. */
export async function mustFit(tx: Tx, particulars: Particulars): Promise<void> {
  const unknown = await unknownDepots(tx, particulars.depotIds);
  const issues = [...issuesWith(particulars), ...unknown.map((id) => ({ pointer: "/depotIds", message: `there is no depot ${id}` }))];
  if (issues.length > 0) {
    throw platformErrors.problem("not-valid", "The particulars of this person do not fit together. Nothing was stored.", { issues });
  }
}

export const alreadyLeft = () => peopleErrors.problem("already-left", "Somebody who comes back is added again, under a new staff number.");

export const ownSecret = () =>
  peopleErrors.problem("own-secret", "Change your own secret with PUT /v1/me/secret, which asks for the present one. Nothing was stored.");

export const numberTaken = (staffNumber: string) =>
  peopleErrors.problem("staff-number-taken", `${staffNumber} belongs to somebody, or did. Numbers are never given twice.`);
