// From findings that were taken into a machine's state to what is written of them: entries, rows and what the answer says.
import type { Category } from "../../shared/contracts/common.ts";
import type { Said } from "../../shared/records/index.ts";
import { repairedByOf } from "../../shared/rules/course.ts";
import type { Reported } from "../../shared/rules/findings.ts";
import type { OpenDefect } from "../../shared/rules/machine-state.ts";
import type { RecordedRepair } from "../../shared/rules/put-right.ts";
import type { ActRows } from "../acts/index.ts";
import type { NewEntry } from "../ledger/index.ts";
import { type NamedPhotos, namedPhotos, usesOf } from "../photos/index.ts";
import { weightOf } from "./change-course.ts";
import { writeInspectionRepair } from "./inspection-repair.ts";
import {
  changeOf,
  type DefectChangeRow,
  type DefectEventRow,
  type DefectRow,
  defectChangeRows,
  defectEventRows,
  defectRows,
} from "./row-store.ts";

export type Raised = Reported & {
  readonly note: string | null;
  readonly photoIds: readonly string[];
  /** an inspection put it right on the spot: its repair, and the defect after it */
  readonly repair?: (RecordedRepair & { readonly defect: OpenDefect }) | null;
};

export interface Origin {
  readonly kind: DefectRow["origin"];
  /** the check, inspection or report that found it, or the campaign whose job it is */
  readonly recordId: string;
  readonly machineId: string;
  readonly depotId: string;
  readonly staffId: string;
  readonly seenAt: Date;
  readonly recordedAt: Date;
  /** those of the photos it names that had arrived */
  readonly photos: NamedPhotos;
  /** what only the first entry of a report says */
  readonly also?: Pick<Said<"defect-raised">, "submitted" | "outcome" | "depotIdThen" | "asSent">;
}

/** One finding in an answer; stored with the act, so that a repetition says the same. */
export interface DefectOutcome {
  readonly id: string;
  readonly itemId: string | null;
  readonly observationIds: readonly string[];
  readonly category: Category;
  readonly status: "open" | "deferred" | "repaired";
  readonly dueDay: string | null;
  readonly sighting: boolean;
  readonly recurringOf: string | null;
  readonly signedOffBetween: string | null;
}

type FindingEntry = NewEntry<"defect-raised" | "defect-sighted">;

export interface Writing {
  readonly entries: readonly NewEntry[];
  /** those of the entries that are findings; the others are repairs */
  readonly findings: readonly FindingEntry[];
  readonly rows: readonly ActRows[];
  /** the known defects that were seen again */
  readonly seenAgain: readonly string[];
  readonly outcomes: readonly DefectOutcome[];
}

/** What to write for the findings of one act. A defect's entry has the defect's id; `entryId` names the entry of a sighting. */
export function writeRaised(raised: readonly Raised[], origin: Origin, entryId: () => string): Writing {
  const entries: NewEntry[] = [];
  const findings: FindingEntry[] = [];
  const defects: DefectRow[] = [];
  const defectChanges: DefectChangeRow[] = [];
  const defectEvents: DefectEventRow[] = [];
  const photoUses: ActRows[] = [];
  const outcomes: DefectOutcome[] = [];
  for (const one of raised) {
    const { defect, note, photoIds, repair = null } = one;
    const links =
      one.kind === "raised"
        ? { recurringOf: one.recurringOf, signedOffBetween: one.signedOffBetween }
        : { recurringOf: null, signedOffBetween: null };
    const { id, itemId, observationIds, category, status, dueDay } = defect;
    const outcome: DefectOutcome = { id, itemId, observationIds, category, status, dueDay, sighting: one.kind === "sighted", ...links };
    outcomes.push(repair === null ? outcome : { ...outcome, status: repair.defect.status });
    const { competence, quantity, onlyNewPart } = defect;
    const data = {
      defectId: id,
      origin: origin.kind,
      originId: origin.recordId,
      ...(defect.campaign ? { campaign: { name: defect.campaign.name } } : {}),
      note,
      photoIds,
      photos: namedPhotos(photoIds, origin.photos),
      defect: outcome,
      // What the catalogue and the policy of that day made of it, so that the state can be rebuilt after both have changed.
      weighed: { competence, ...weightOf(defect), quantity, onlyNewPart },
      grounded: one.grounded,
      ...origin.also,
    };
    const entry = one.kind === "raised" ? id : entryId();
    photoUses.push(usesOf(photoIds, { entryId: entry, machineId: origin.machineId, defectId: id, staffId: origin.staffId }));
    if (one.kind === "raised") {
      findings.push({ id, kind: "defect-raised", performedAt: origin.seenAt, data });
      defects.push(rowOf(one, repair?.defect ?? defect, origin));
    } else {
      findings.push({ id: entry, kind: "defect-sighted", performedAt: origin.seenAt, data });
      defectChanges.push(changeOf(repair?.defect ?? defect));
      defectEvents.push({
        id: entry,
        machineId: origin.machineId,
        defectId: id,
        kind: "sighting",
        staffId: origin.staffId,
        performedAt: origin.seenAt,
        recordedAt: origin.recordedAt,
      });
    }
    entries.push(...findings.slice(-1));
    if (repair === null) continue;
    const told = writeInspectionRepair(repair, repair.defect, origin);
    entries.push(told.entry);
    defectEvents.push(told.event);
  }
  const rows = [defectRows(defects), defectChangeRows(defectChanges), defectEventRows(defectEvents), ...photoUses];
  return { entries, findings, rows, seenAgain: defectChanges.map(({ id }) => id), outcomes };
}

function rowOf(
  { note, recurringOf, signedOffBetween }: Raised & { kind: "raised" },
  { status, repair, ...defect }: OpenDefect,
  origin: Origin,
): DefectRow {
  return {
    id: defect.id,
    machineId: origin.machineId,
    depotId: origin.depotId,
    itemId: defect.itemId,
    observationIds: defect.observationIds,
    note,
    category: defect.category,
    status: status === "repaired" ? status : "open",
    origin: origin.kind,
    originId: origin.recordId,
    reportedBy: origin.staffId,
    seenAt: defect.seenAt,
    recordedAt: origin.recordedAt,
    competence: defect.competence,
    secondPerson: defect.secondPerson,
    quantity: defect.quantity,
    dueDay: defect.dueDay,
    recurringOf,
    signedOffBetween,
    sightings: defect.sightings,
    repairedBy: repair === null ? null : repairedByOf(repair),
  };
}
