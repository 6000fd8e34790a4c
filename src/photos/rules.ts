// Pure decisions about photos: who may see one.
import { onlyRides } from "../../shared/rules/roles.ts";
import { type Actor, seesDepot } from "../platform/index.ts";

/** A record that names a photo, as far as it decides who sees it. */
export interface HangsOn {
  readonly kind: "defect" | "daily-check" | "weekly-inspection" | "fall" | "outside-work" | "paper";
  readonly depotId: string;
  readonly staffId: string;
}

/**
 * A photo may be seen by whoever may see one of the records that it belongs to: a defect, a fall, a paper of the machine or a check of their depots (riders:
 * only their own checks), an inspection or a stay at another workshop of their depots (not riders). Before it belongs to a record, only its sender may see it.
 */
export function maySee(actor: Actor, addedBy: string, records: readonly HangsOn[]): "yes" | "other-depot" | "no" {
  if (records.length === 0) return actor.staffId === addedBy ? "yes" : "no";
  const shown = records.filter(
    ({ kind, staffId }) =>
      !onlyRides(actor) || ["defect", "fall", "paper"].includes(kind) || (kind === "daily-check" && staffId === actor.staffId),
  );
  if (shown.length === 0) return "no";
  return shown.some(({ depotId }) => seesDepot(actor, depotId)) ? "yes" : "other-depot";
}
