// Pure decisions about photos: who may see one.
import { type Actor, seesDepot } from "../platform/index.ts";

/** A record that names a photo, as far as it decides who sees it. */
export interface HangsOn {
  readonly kind: "defect" | "daily-check" | "weekly-inspection";
  readonly depotId: string;
  readonly staffId: string;
}

/**
 * Whoever may see one of the records that it hangs on: a defect by depot, a check by depot and for riders only their own, an inspection
 * by depot and not for riders. Before it hangs on any, only who sent it.
 */
export function maySee(actor: Actor, addedBy: string, records: readonly HangsOn[]): "yes" | "other-depot" | "no" {
  if (records.length === 0) return actor.staffId === addedBy ? "yes" : "no";
  const shown = records.filter(
    ({ kind, staffId }) => actor.role !== "rider" || kind === "defect" || (kind === "daily-check" && staffId === actor.staffId),
  );
  if (shown.length === 0) return "no";
  return shown.some(({ depotId }) => seesDepot(actor, depotId)) ? "yes" : "other-depot";
}
