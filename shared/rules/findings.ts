// From what somebody saw to an open defect: raised, or seen again. Pure: a machine's state in, the state after out.
import { samePart } from "../catalogue/parts.ts";
import type { Category, Competence } from "../contracts/common.ts";
import type { Quantity } from "../contracts/quantities.ts";
import { addDays, daysBetween, localDay } from "./calendar.ts";
import { grounds, hasLastDay, type MachineState, type OpenDefect, partExpected, worse } from "./machine-state.ts";
import { ofItemOf, secondPersonOf } from "./second-person.ts";
import { type DepotRules, inspectionDueDay } from "./standing.ts";

/** What somebody saw at an item, already weighed by the catalogue. */
export interface Finding {
  readonly itemId: string | null;
  readonly observationIds: readonly string[];
  readonly category: Category;
  readonly competence: Competence;
  /** what the catalogue says; category and policy decide whether it counts */
  readonly secondPerson: boolean;
  readonly quantity: Quantity | null;
  readonly onlyNewPart: boolean;
}

export interface Moment {
  readonly seenAt: Date;
  readonly recordedAt: Date;
}

interface ReportedDefect {
  readonly state: MachineState;
  readonly defect: OpenDefect;
  /** from its arrival on the machine may not be ridden, so every clearance ended */
  readonly grounded: boolean;
}

export type Reported =
  | (ReportedDefect & {
      readonly kind: "raised";
      /** the closed defect of the same item that this one repeats, within the policy's days */
      readonly recurringOf: string | null;
      /** the sign-off or not-found record that was made after this was seen and before it arrived: shown beside it */
      readonly signedOffBetween: string | null;
    })
  | (ReportedDefect & { readonly kind: "sighted" });

/** The last day for a minor defect: the policy's days after it was seen, never past the next weekly inspection, never before it was seen. */
export function minorDueDay(state: MachineState, seenAt: Date, depotRules: DepotRules): string {
  const seen = localDay(seenAt, depotRules.timeZone);
  const byAge = addDays(seen, depotRules.policy.minorDefectDays);
  const inspection = inspectionDueDay(state, depotRules);
  const earliest = inspection !== null && inspection < byAge ? inspection : byAge;
  return earliest < seen ? seen : earliest;
}

/**
 * The last day of a minor defect that waits for a part: no earlier than the day on which the part is expected. That is the one exception to
 * its own days and to 'never past the next weekly inspection', and a mechanic with the competence has signed for it.
 */
export function untilPartComes(day: string, defect: Pick<OpenDefect, "waiting">): string {
  const expected = partExpected(defect);
  return expected !== null && expected > day ? expected : day;
}

/**
 * Takes a finding into the state: a sighting of the open defect of the same item, or of the same part on the other sheet, where there is
 * one; else a new defect under `newId`.
 */
export function recordFinding(state: MachineState, finding: Finding, newId: string, moment: Moment, depotRules: DepotRules): Reported {
  const open = openAt(state, finding);
  return open ? sightAgain(state, open, finding, moment, depotRules) : raise(state, finding, newId, moment, depotRules);
}

const openAt = ({ defects }: MachineState, finding: Pick<Finding, "itemId" | "observationIds">): OpenDefect | undefined =>
  finding.itemId === null
    ? undefined
    : (defects.find(({ itemId }) => itemId === finding.itemId) ?? defects.find((defect) => samePart(defect, finding)));

function raise(state: MachineState, finding: Finding, id: string, { seenAt, recordedAt }: Moment, depotRules: DepotRules): Reported {
  const defect: OpenDefect = {
    id,
    itemId: finding.itemId,
    observationIds: finding.observationIds,
    category: finding.category,
    status: "open",
    seenAt: seenAt.toISOString(),
    lastSeenAt: seenAt.toISOString(),
    sightings: 1,
    dueDay: hasLastDay(finding.category) ? minorDueDay(state, seenAt, depotRules) : null,
    competence: finding.competence,
    ...secondPersonOf(finding.secondPerson, finding.category, depotRules),
    quantity: finding.quantity,
    onlyNewPart: finding.onlyNewPart,
    repair: null,
  };
  const earlier =
    finding.itemId === null
      ? []
      : state.closed.filter(
          ({ itemId, observationIds = [] }) => itemId === finding.itemId || samePart({ itemId, observationIds }, finding),
        );
  const before = earlier.find((closed) => closed.closedAt <= defect.seenAt);
  const recurring = before && daysBetween(localDay(new Date(before.closedAt), depotRules.timeZone), localDay(seenAt, depotRules.timeZone));
  const between = earlier.find((closed) => closed.closedAt > defect.seenAt);
  return {
    kind: "raised",
    ...taken({ ...state, defects: [...state.defects, defect] }, defect, recordedAt, depotRules),
    recurringOf: before && recurring !== undefined && recurring <= depotRules.policy.recurringWithinDays ? before.id : null,
    signedOffBetween: between?.recordId ?? null,
  };
}

function sightAgain(
  state: MachineState,
  open: OpenDefect,
  finding: Finding,
  { seenAt, recordedAt }: Moment,
  depotRules: DepotRules,
): Reported {
  const seen = seenAt.toISOString();
  // Seen after the repair: the repair did not hold, and a sign-off needs another one.
  const repair = open.repair && seen > open.repair.performedAt ? null : open.repair;
  const category = worse(open.category, finding.category);
  const escalated = category !== open.category;
  const { firstLook: _, secondPersonItem: __, ...known } = open;
  const defect: OpenDefect = {
    ...known,
    observationIds: [...new Set([...open.observationIds, ...finding.observationIds])],
    category,
    status: repair === null && (open.status === "repaired" || escalated) ? "open" : open.status,
    lastSeenAt: seen > open.lastSeenAt ? seen : open.lastSeenAt,
    sightings: open.sightings + 1,
    dueDay: hasLastDay(category) ? (open.dueDay ?? minorDueDay(state, seenAt, depotRules)) : null,
    ...secondPersonOf(ofItemOf(open) || finding.secondPerson, category, depotRules),
    // Seen again at another item of the same part, where it is measured: closing it then needs that reading.
    quantity: open.quantity ?? finding.quantity,
    onlyNewPart: open.onlyNewPart || finding.onlyNewPart,
    repair,
  };
  return { kind: "sighted", ...taken(replaceDefect(state, defect), defect, recordedAt, depotRules) };
}

/** The state with the defect in it. Every clearance ends where the defect grounds: by its category, or as a minor one past its last day. */
export function taken(state: MachineState, defect: OpenDefect, recordedAt: Date, depotRules: DepotRules): ReportedDefect {
  const grounded = grounds(defect.category) || isOverdue(defect, recordedAt, depotRules);
  return { state: grounded ? groundedNow(state, recordedAt) : state, defect, grounded };
}

const isOverdue = ({ dueDay }: OpenDefect, at: Date, { timeZone }: DepotRules): boolean =>
  dueDay !== null && dueDay < localDay(at, timeZone);

/** A grounding ends every clearance of the machine at that moment. */
export const groundedNow = (state: MachineState, recordedAt: Date): MachineState => ({
  ...state,
  clearances: [],
  groundedAt: recordedAt.toISOString(),
});

/** The state with this defect in place of the one with the same id. */
export const replaceDefect = (state: MachineState, defect: OpenDefect): MachineState => ({
  ...state,
  defects: state.defects.map((held) => (held.id === defect.id ? defect : held)),
});

/** Whether any minor defect is past its last day, so that the machine may not be ridden. */
export const anyOverdue = (state: MachineState, at: Date, depotRules: DepotRules): boolean =>
  state.defects.some((defect) => isOverdue(defect, at, depotRules));
