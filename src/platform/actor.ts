// Who is asking, and the one mechanism that keeps roles and depots apart.
import type { Competence, Role } from "../../shared/contracts/common.ts";
import { platformErrors } from "./errors.ts";

export interface Actor {
  readonly staffId: string;
  readonly sessionId: string;
  readonly staffNumber: string;
  readonly name: string;
  readonly role: Role;
  /** null: all depots */
  readonly depotIds: readonly string[] | null;
  readonly competences: readonly Competence[];
  /** their secret is a one-time code that somebody else knows: they may choose one of their own, and nothing else */
  readonly mustChangeSecret: boolean;
  /** as it stands on the licence; null where none is on file */
  readonly licenceClass: string | null;
}

/** Who acts, and where they may. */
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

/** The refusal of a depot that there is not. */
export const noDepot = () => platformErrors.problem("not-found", "There is no depot with this id.");

/** The depots that an answer may be about; null for all. */
export type DepotIds = readonly string[] | null;

/** What somebody looks at: the depot that they asked for, else all that they have. */
export interface View {
  readonly depotIds: DepotIds;
  /** the depot that was asked for, which need not be there */
  readonly asked: string | undefined;
}

/** The depot asked for, else the actor's own. Throws `other-depot`. */
export function viewOf(actor: ActingPerson, asked?: string): View {
  if (asked === undefined) return { depotIds: actor.depotIds, asked };
  mustSeeDepot(actor, asked);
  return { depotIds: [asked], asked };
}
