// The rows of daily checks and weekly inspections, which are written with the act that records one.
import { insertedInto, writtenBy } from "../acts/index.ts";

interface DailyCheckRow {
  readonly id: string;
  readonly machineId: string;
  readonly depotId: string;
  readonly staffId: string;
  readonly localDay: string;
  readonly performedAt: Date;
  readonly recordedAt: Date;
  readonly durationSeconds: number;
  readonly odometerKm: number;
  readonly defectCount: number;
  readonly decision: string;
  readonly validUntil: string | null;
  readonly flags: readonly string[];
}

export const dailyCheckRows = insertedInto<DailyCheckRow>("daily_check");

export const weeklyInspectionRows = insertedInto<Omit<DailyCheckRow, "durationSeconds" | "decision" | "validUntil">>("weekly_inspection");

/** Drafts that an act finishes go with it. */
export const draftsDone = writtenBy<{ readonly id: string; readonly machineId: string }>(
  "drafts_done",
  (rows) => `DELETE FROM inspection_draft d USING jsonb_to_recordset(${rows}) AS r (id uuid, machine_id uuid), gate
      WHERE d.id = r.id AND gate.id = r.machine_id`,
);
