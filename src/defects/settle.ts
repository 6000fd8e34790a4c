// What is written of the minor defects that an inspection closes: for each a repair where work was entered, and the sign-off or not-found
// record.
import type { Settled } from "../../shared/rules/settle-minor.ts";
import { word } from "../../shared/words/index.ts";
import type { ActRows } from "../acts/index.ts";
import type { NewEntry } from "../ledger/index.ts";
import { writeInspectionRepair } from "./inspection-repair.ts";
import { changeOf, type DefectChangeRow, type DefectEventRow, defectChangeRows, defectEventRows } from "./row-store.ts";

interface SettledBy {
  readonly machineId: string;
  /** the inspection */
  readonly recordId: string;
  /** who signed it */
  readonly staffId: string;
  readonly performedAt: Date;
  readonly recordedAt: Date;
}

/** A defect that the inspection closed, as its answer names it. */
export interface SettledOutcome {
  readonly id: string;
  readonly itemId: string | null;
  readonly status: "signed-off" | "not-found";
}

export interface SettledWriting {
  readonly outcomes: readonly SettledOutcome[];
  readonly entries: readonly NewEntry[];
  readonly rows: readonly ActRows[];
}

export function writeSettled(settled: readonly Settled[], by: SettledBy): SettledWriting {
  const { machineId, recordId, staffId, performedAt, recordedAt } = by;
  const entries: NewEntry[] = [];
  const defectChanges: DefectChangeRow[] = [];
  const defectEvents: DefectEventRow[] = [];
  for (const { defect, closed, reading, keptSince, repair } of settled) {
    if (repair !== null) {
      const told = writeInspectionRepair(repair, defect, by);
      entries.push(told.entry);
      defectEvents.push(told.event);
    }
    const { id, category, dueDay, observationIds } = defect;
    const { how, recordId: closingId } = closed;
    const data = {
      defectId: id,
      inspection: { id: recordId, reading },
      outcome: { defect: { id, status: how, category, dueDay } },
      keptSince,
      seen: observationIds,
    };
    const submitted = { id: closingId, defectId: id };
    const entry = { id: closingId, performedAt };
    entries.push(
      how === "signed-off"
        ? {
            ...entry,
            kind: "defect-signed-off",
            data: { ...data, submitted: { ...submitted, statement: word("course.inspected.signed-off") } },
          }
        : {
            ...entry,
            kind: "defect-not-found",
            data: { ...data, submitted: { ...submitted, reason: word("course.inspected.not-found") } },
          },
    );
    const event = how === "signed-off" ? ("sign-off" as const) : ("not-found" as const);
    defectEvents.push({ id: closingId, machineId, defectId: id, kind: event, staffId, performedAt, recordedAt });
    defectChanges.push({ ...changeOf(defect), status: how, closedBy: staffId, closedAt: recordedAt, closingReading: reading });
  }
  const outcomes = settled.map(({ closed: { id, itemId, how } }): SettledOutcome => ({ id, itemId, status: how }));
  return { entries, rows: [defectChangeRows(defectChanges), defectEventRows(defectEvents)], outcomes };
}
