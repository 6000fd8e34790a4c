// Who is calling, and the checks that limit everybody to their own depots.
import type { Competence, Role } from "../../shared/contracts/common.ts";
import { platformErrors } from "./errors.ts";

export interface Actor {
  readonly staffId: string;
  readonly sessionId: string;
  readonly staffNumber: string;
  readonly name: string;
  /** the first of their roles */
  readonly role: Role;
  readonly roles: readonly Role[];
  /** null: all depots */
  readonly depotIds: readonly string[] | null;
  readonly competences: readonly Competence[];
  /** their secret is a one-time code that somebody else knows: they may choose one of their own, and nothing else */
  readonly mustChangeSecret: boolean;
  /** as written on the licence; null if none is on file */
  readonly licenceClass: string | null;
}

/** Who acts, and at which depots they may. */
export type ActingPerson = Pick<Actor, "staffId" | "depotIds">;

export function seesDepot(actor: ActingPerson, depotId: string): boolean {
  return actor.depotIds === null || actor.depotIds.includes(depotId);
}

/** Throws `other-depot` where the record belongs to a depot that is not the actor's. */
export function mustSeeDepot(actor: ActingPerson, depotId: string): void {
  if (!seesDepot(actor, depotId)) {
    throw platformErrors.problem(
      "other-depot",
      "Your depots do not include the one that this belongs to. Ask the manager if that is wrong.",
    );
  }
}

/** The refusal of an unknown depot id. */
export const noDepot = () => platformErrors.problem("not-found", "There is no depot with this id.");

/** The depots that an answer may be about; null for all. */
export type DepotIds = readonly string[] | null;

/** What somebody looks at: the depot that they asked for, else all of their depots. */
export interface View {
  readonly depotIds: DepotIds;
  /** the depot that was asked for; it need not exist */
  readonly asked: string | undefined;
}

/** The depot asked for, else the actor's own. Throws `other-depot`. */
export function viewOf(actor: ActingPerson, asked?: string): View {
  if (asked === undefined) return { depotIds: actor.depotIds, asked };
  mustSeeDepot(actor, asked);
  return { depotIds: [asked], asked };
}
