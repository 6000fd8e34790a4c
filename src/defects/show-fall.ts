import type { Fall } from "../../shared/contracts/falls.ts";
import { readAs } from "../../shared/records/index.ts";
import type { AppContext } from "../acts/index.ts";
import { photosOf } from "../photos/index.ts";
import { objectOf, seesDepot } from "../platform/index.ts";
import { type FallRow, findFall } from "./fall-store.ts";

/** The fall at an address: for whoever sees the depot where the machine is now, or the one where it was when the fall was reported. */
export const fall = objectOf({
  name: "fall",
  missing: "There is no fall with this id.",
  find: ({ db }: AppContext, id) => findFall(db, id),
  depotOf: ({ depotId, depotIdNow }, actor) => (seesDepot(actor, depotIdNow) ? null : depotId),
});

/** A fall in the words in which it was told, with its photos and the inspection after it. */
export async function showFall(context: AppContext, row: FallRow): Promise<Fall> {
  const { id, machineId, registrationMark, depotId, staffId, inspection } = row;
  const said = readAs(["machine-fell"], row)?.data ?? null;
  const { hit = "", bent = [], note = null, odometerKm = null } = said?.submitted ?? {};
  return {
    ...{ id, machineId, registrationMark, depotId, reportedBy: staffId },
    ...{ happenedAt: row.performedAt.toISOString(), recordedAt: row.recordedAt.toISOString() },
    told: said === null ? null : { hit, bent: [...bent], note, odometerKm },
    flags: [...(said?.outcome.flags ?? [])],
    inspectedBetween: said?.outcome.inspectedBetween ?? null,
    inspection: inspection === null ? null : { ...inspection, performedAt: new Date(inspection.performedAt).toISOString() },
    ...(await photosOf(context.db, id)),
  };
}
