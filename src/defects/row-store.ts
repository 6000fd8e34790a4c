// The rows of defects and of what happened to them, which are written with the act that raises or changes one.
import type { Category } from "../../shared/contracts/common.ts";
import { repairedByOf } from "../../shared/rules/course.ts";
import type { DefectStatus, MachineState, OpenDefect } from "../../shared/rules/machine-state.ts";
import { type ActRows, type DepotMove, insertedInto, writtenBy } from "../acts/index.ts";

/** A defect as it is raised. */
export interface DefectRow {
  readonly id: string;
  readonly machineId: string;
  readonly depotId: string;
  readonly itemId: string | null;
  readonly observationIds: readonly string[];
  readonly note: string | null;
  readonly category: Category;
  readonly status: "open" | "repaired";
  readonly origin: "daily-check" | "weekly-inspection" | "report" | "campaign";
  readonly originId: string;
  readonly reportedBy: string;
  readonly seenAt: string;
  readonly recordedAt: Date;
  readonly competence: string;
  readonly secondPerson: boolean;
  readonly quantity: string | null;
  readonly dueDay: string | null;
  readonly recurringOf: string | null;
  readonly signedOffBetween: string | null;
  readonly sightings: number;
  /** who put it right on the spot at an inspection, and it waits for a sign-off */
  readonly repairedBy: string | null;
}

/** Where a known defect stands after the act. */
export interface DefectChangeRow {
  readonly id: string;
  readonly category: Category;
  readonly status: DefectStatus;
  readonly observationIds: readonly string[];
  readonly dueDay: string | null;
  readonly secondPerson: boolean;
  readonly quantity: string | null;
  readonly sightings: number;
  /** a person; where another workshop repaired it the record that says so */
  readonly repairedBy: string | null;
  readonly closedBy: string | null;
  readonly closedAt: Date | null;
  readonly closingReading: unknown;
}

/** The row of a defect that stays open. */
export const changeOf = (defect: OpenDefect): DefectChangeRow => ({
  id: defect.id,
  category: defect.category,
  status: defect.status,
  observationIds: defect.observationIds,
  dueDay: defect.dueDay,
  secondPerson: defect.secondPerson,
  quantity: defect.quantity,
  sightings: defect.sightings,
  repairedBy: defect.repair === null ? null : repairedByOf(defect.repair),
  closedBy: null,
  closedAt: null,
  closingReading: null,
});

export interface DefectEventRow {
  readonly id: string;
  /** of the defect; no column of its own */
  readonly machineId: string;
  readonly defectId: string;
  readonly kind: "sighting" | "re-grade" | "deferral" | "waiting" | "note" | "repair" | "sign-off" | "not-found";
  readonly staffId: string;
  readonly performedAt: Date;
  readonly recordedAt: Date;
}

export const defectRows = insertedInto<DefectRow>("defect");

// One act may change a defect twice: two items of one part that both see it, or seen and closed. The last is how it stands.
export const defectChangeRows = writtenBy<DefectChangeRow>(
  "defect_changes",
  (rows) => `UPDATE defect d SET category = r.category, status = r.status, observation_ids = r.observation_ids, due_day = r.due_day,
        second_person = r.second_person, quantity = r.quantity, sightings = r.sightings, repaired_by = r.repaired_by, closed_by = r.closed_by,
        closed_at = r.closed_at, closing_reading = r.closing_reading
      FROM (SELECT DISTINCT ON (one.id) one.* FROM jsonb_array_elements(${rows}) WITH ORDINALITY o (change, place)
          CROSS JOIN LATERAL jsonb_populate_record(NULL::defect, o.change) one ORDER BY one.id, o.place DESC) r, gate
      WHERE d.id = r.id AND d.machine_id = gate.id`,
);

/** Open defects go with their machine to another depot: those who have the machine see them and put them right. */
export const openDefectsGoAlong = writtenBy<DepotMove>(
  "moved_defects",
  (rows) => `UPDATE defect d SET depot_id = r.depot_id FROM jsonb_populate_recordset(NULL::defect, ${rows}) r, gate
      WHERE gate.id = r.machine_id AND d.machine_id = gate.id AND d.closed_at IS NULL AND d.depot_id <> r.depot_id`,
);

/** The rows of open defects that an act changed without finding them again. */
export const defectsAsTheyStand = ({ defects }: MachineState, which: (defect: OpenDefect) => boolean): ActRows =>
  defectChangeRows(defects.filter(which).map(changeOf));

// The defect may begin in this very statement, which cannot see it yet: so the row names its machine.
export const defectEventRows = writtenBy<DefectEventRow>(
  "defect_event_rows",
  (rows) => `INSERT INTO defect_event SELECT r.* FROM jsonb_array_elements(${rows}) e
      CROSS JOIN LATERAL jsonb_populate_record(NULL::defect_event, e) r JOIN gate ON gate.id = (e->>'machine_id')::uuid`,
);
