// The rows that an act on a machine may write beside its record, and the piece of SQL for each table.
// They hang on the gate: where it lets nobody through, nothing is written.
import type { Category } from "../../shared/contracts/common.ts";
import type { DefectStatus, OpenDefect } from "../../shared/rules/machine-state.ts";
import type { EndingReason } from "../../shared/rules/papers.ts";

export interface DailyCheckRow {
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

export type WeeklyInspectionRow = Omit<DailyCheckRow, "durationSeconds" | "decision" | "validUntil">;

export interface PaperRow {
  readonly id: string;
  readonly machineId: string;
  readonly kind: string;
  readonly number: string;
  readonly validFrom: string;
  readonly validTo: string;
  readonly recordedAt: Date;
}

export interface PaperEndingRow {
  readonly id: string;
  readonly paperId: string;
  readonly machineId: string;
  readonly day: string;
  readonly reason: EndingReason;
  readonly grounds: boolean;
  readonly staffId: string;
  readonly recordedAt: Date;
}

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
  readonly origin: "daily-check" | "weekly-inspection" | "report";
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
  /** an inspection put it right on the spot, and it waits for a sign-off */
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
  repairedBy: defect.repair?.staffId ?? null,
  closedBy: null,
  closedAt: null,
  closingReading: null,
});

export interface DefectEventRow {
  readonly id: string;
  /** of the defect; no column of its own */
  readonly machineId: string;
  readonly defectId: string;
  readonly kind: "sighting" | "re-grade" | "deferral" | "repair" | "sign-off" | "not-found";
  readonly staffId: string;
  readonly performedAt: Date;
  readonly recordedAt: Date;
}

/** An entry that names a photo, whether or not the photo is there yet. */
export interface PhotoUseRow {
  readonly photoId: string;
  readonly entryId: string;
  readonly machineId: string;
  readonly defectId: string | null;
  readonly staffId: string;
}

export interface ActRows {
  readonly dailyChecks?: readonly DailyCheckRow[];
  readonly weeklyInspections?: readonly WeeklyInspectionRow[];
  /** drafts that this act finishes: they go with it */
  readonly draftsDone?: readonly { readonly id: string; readonly machineId: string }[];
  readonly papers?: readonly PaperRow[];
  readonly paperEndings?: readonly PaperEndingRow[];
  readonly defects?: readonly DefectRow[];
  readonly defectChanges?: readonly DefectChangeRow[];
  readonly defectEvents?: readonly DefectEventRow[];
  readonly photoUses?: readonly PhotoUseRow[];
}

/** Particulars of the machine's own row that an act changes. They go into the gate: PostgreSQL changes a row once in one statement. */
export interface MachineParticulars {
  readonly registrationMark?: string;
  readonly vin?: string | null;
  readonly modelId?: string;
  readonly inServiceFrom?: string;
}
