import type { OutsideWork } from "../../shared/contracts/outside-work.ts";
import { readAs } from "../../shared/records/index.ts";
import { localDay } from "../../shared/rules/calendar.ts";
import type { AppContext } from "../acts/index.ts";
import { photosOf } from "../photos/index.ts";
import { objectOf, seesDepot } from "../platform/index.ts";
import { findOutsideWork, type OutsideWorkRow } from "./outside-store.ts";
import { doneThere } from "./take-back.ts";

/** The stay at an address: for whoever sees the depot where the machine is now, or the one where it was when it left. */
export const outsideWork = objectOf({
  name: "outside-work",
  missing: "There is no stay at another workshop with this id.",
  find: ({ db }: AppContext, id) => findOutsideWork(db, id),
  depotOf: ({ depotId, depotIdNow }, actor) => (seesDepot(actor, depotIdNow) ? null : depotId),
});

/** A stay at another workshop: what for, and what was done there, with the pictures of their papers. */
export async function showOutsideWork(context: AppContext, row: OutsideWorkRow): Promise<OutsideWork> {
  const { id, machineId, registrationMark, depotId, staffId, back } = row;
  const said = readAs(["machine-sent-out"], row)?.data.submitted ?? null;
  const done = back === null ? null : (readAs(["machine-taken-back"], back)?.data ?? null);
  const today = localDay(context.clock.now(), row.timeZone);
  return {
    ...{ id, machineId, registrationMark, depotId, sentBy: staffId },
    ...{ since: row.performedAt.toISOString(), recordedAt: row.recordedAt.toISOString() },
    told: said === null ? null : { workshop: said.workshop, reason: said.reason, expectedDay: said.expectedDay },
    late: back === null && said !== null && said.expectedDay < today,
    back:
      back === null
        ? null
        : {
            ...{ id: back.id, takenBy: back.staffId },
            ...{ returnedAt: new Date(back.performedAt).toISOString(), recordedAt: new Date(back.recordedAt).toISOString() },
            told: done === null ? null : { ...doneThere(done), inspectionDue: done.outcome.inspectionDue },
            ...(await photosOf(context.db, back.id)),
          },
  };
}
