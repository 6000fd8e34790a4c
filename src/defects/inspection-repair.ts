// Work of an inspection, written as the repair of the defect that it put right or closed: worded like a repair that was recorded by hand,
// with the name of whoever did it.
import type { OpenDefect } from "../../shared/rules/machine-state.ts";
import type { RecordedRepair } from "../../shared/rules/put-right.ts";
import { word, wordByKey } from "../../shared/words/index.ts";
import type { NewEntry } from "../ledger/index.ts";
import type { DefectEventRow } from "./row-store.ts";

interface InspectionRecord {
  readonly machineId: string;
  /** the inspection */
  readonly recordId: string;
  readonly recordedAt: Date;
}

/**
 * The entry and the event of a repair; the defect is given as it stands afterwards. The reading stays with the inspection's answer, where
 * it was taken.
 */
export function writeInspectionRepair(
  { done, actions }: RecordedRepair,
  { id, status, category, dueDay }: OpenDefect,
  { machineId, recordId, recordedAt }: InspectionRecord,
): { readonly entry: NewEntry; readonly event: DefectEventRow } {
  const { staffId } = done;
  const performedAt = new Date(done.performedAt);
  const what = actions.map((action) => wordByKey(`bench.action.${action}`).toLowerCase()).join(", ");
  const workDone = actions.length === 0 ? word("course.put-right") : word("course.put-right.by", "en", { what });
  return {
    entry: {
      id: done.id,
      kind: "defect-repaired",
      performedAt,
      data: {
        defectId: id,
        submitted: { id: done.id, defectId: id, performedAt: done.performedAt, workDone },
        inspection: { id: recordId, staffId, actions, reading: done.reading },
        outcome: { defect: { id, status, category, dueDay } },
      },
    },
    event: { id: done.id, machineId, defectId: id, kind: "repair", staffId, performedAt, recordedAt },
  };
}
