// A machine's state is derived: here it follows from the machine's records alone, in chain order. What the rules of the day decided
// stands in the entries, so that old records give the old states although catalogue, policy and handbook have moved on.

import type { Reading } from "../../shared/contracts/quantities.ts";
import { hold } from "../../shared/rules/clearance.ts";
import { afterRepair, closeDefect, inspectedOn, openDefect } from "../../shared/rules/course.ts";
import { groundedNow, replaceDefect } from "../../shared/rules/findings.ts";
import type { FirstLook, HeldClearance, HeldPapers, MachineState, OpenDefect } from "../../shared/rules/machine-state.ts";
import {
  movedAway,
  newMachineState,
  notAfterNow,
  returnedAt,
  withdrawnFrom,
  withOdometer,
  withOilChange,
} from "../../shared/rules/machine-state.ts";
import { withHeld, withPaper } from "../../shared/rules/papers.ts";
import { withoutClearanceOf } from "../../shared/rules/rider.ts";
import type { Kind } from "../ledger/index.ts";

/** An entry of a machine's chain, as far as a fold reads it. */
export interface FoldableEntry {
  readonly id: string;
  readonly position: number;
  readonly kind: Kind;
  readonly staffId: string | null;
  readonly performedAt: Date;
  readonly recordedAt: Date;
  /** null: what it said was forgotten */
  readonly data: Readonly<Record<string, unknown>> | null;
}

/** An entry that still says what it said. */
type Told = FoldableEntry & { readonly data: Readonly<Record<string, unknown>> };

/** Where a defect stands by the records; of a closed one how and by whom. */
export interface FoldedDefect {
  readonly id: string;
  readonly itemId: string | null;
  readonly observationIds: readonly string[];
  readonly category: string;
  readonly status: string;
  readonly dueDay: string | null;
  readonly sightings: number;
  readonly repairedBy: string | null;
  readonly closedBy: string | null;
  readonly closedAt: string | null;
}

export interface Folded {
  /** the state after each entry from `from` on, by its position in the chain */
  readonly states: ReadonlyMap<number, MachineState>;
  /** the first position whose state is known; everything before it led to what was forgotten */
  readonly from: number;
  readonly defects: ReadonlyMap<string, FoldedDefect>;
}

/** A state that was kept after the entry at `position`. */
export interface KeptState {
  readonly position: number;
  readonly state: MachineState;
}

/**
 * The state from which a chain can be folded although some of it was forgotten: the first one kept after the last forgotten entry.
 * Null where nothing was forgotten, or nothing but what came after every state kept.
 */
export function firstRemembered(entries: readonly FoldableEntry[], kept: readonly KeptState[]): KeptState | null {
  const forgotten = entries.findLast(({ data }) => data === null)?.position;
  return forgotten === undefined ? null : (kept.find(({ position }) => position >= forgotten) ?? null);
}

/** Folds the chain of one machine: the whole, or what follows on `start`. Throws where an entry cannot follow on those before it. */
export function foldMachine(entries: readonly FoldableEntry[], start: KeptState | null = null): Folded {
  const states = new Map<number, MachineState>();
  const defects = new Map<string, FoldedDefect>();
  let state: MachineState | null = null;
  if (start) {
    state = start.state;
    states.set(start.position, state);
    for (const defect of state.defects) defects.set(defect.id, stillOpen(defect));
  }
  for (const entry of entries) {
    if (start && entry.position <= start.position) continue;
    if (!isTold(entry)) throw new Error(`what ${entry.id} said was forgotten, and no state is kept after it`);
    const next: MachineState = { ...foldInTime(state, entry), recordedAt: entry.recordedAt.toISOString() };
    for (const defect of next.defects) defects.set(defect.id, stillOpen(defect));
    for (const { id } of state?.defects ?? []) {
      const closed = next.closed.find((one) => one.id === id);
      const before = defects.get(id);
      if (openDefect(next, id) === undefined && closed && before)
        defects.set(id, { ...before, status: closed.how, closedBy: entry.staffId, closedAt: closed.closedAt });
    }
    state = next;
    states.set(entry.position, next);
  }
  return { states, defects, from: start?.position ?? 1 };
}

/** An entry that stands behind one from the future says itself when it arrived, and was decided by that. */
function foldInTime(state: MachineState | null, entry: Told): MachineState {
  const { arrivedAt } = entry.data as { arrivedAt?: string };
  if (arrivedAt === undefined || state === null) return foldEntry(state, entry);
  return foldEntry(notAfterNow(state, arrivedAt), { ...entry, recordedAt: new Date(arrivedAt) });
}

const isTold = (entry: FoldableEntry): entry is Told => entry.data !== null;

const stillOpen = ({ id, itemId, observationIds, category, status, dueDay, sightings, repair }: OpenDefect): FoldedDefect => ({
  ...{ id, itemId, observationIds, category, status, dueDay, sightings },
  repairedBy: repair?.staffId ?? null,
  closedBy: null,
  closedAt: null,
});

interface FindingData {
  readonly defect: Pick<OpenDefect, "id" | "itemId" | "observationIds" | "category" | "status" | "dueDay">;
  readonly weighed: Pick<OpenDefect, "competence" | "secondPerson" | "secondPersonItem" | "quantity" | "onlyNewPart">;
  readonly grounded: boolean;
}

interface CourseData {
  readonly defectId: string;
  readonly submitted: { readonly reading?: Reading };
  readonly outcome: {
    readonly defect: Pick<OpenDefect, "category" | "status" | "dueDay"> & { readonly firstLook?: FirstLook["finding"] };
  };
  readonly grounded?: boolean;
  readonly keptSince?: string;
  /** of a closing: what was seen of the defect; absent in older entries */
  readonly seen?: readonly string[];
  /** of a re-grading; absent in older entries, which left it as it was */
  readonly weighed?: Pick<OpenDefect, "secondPerson" | "secondPersonItem">;
  /** of a repair that an inspection told: who did it, and what was measured afterwards */
  readonly inspection?: { readonly staffId: string; readonly reading: Reading | null };
}

function foldEntry(before: MachineState | null, entry: Told): MachineState {
  const recordedAt = entry.recordedAt.toISOString();
  if (entry.kind === "machine-added") return newMachineState((entry.data as { odometerKm?: number }).odometerKm ?? 0, recordedAt);
  if (before === null) throw new Error(`the chain does not begin with the machine's entry into the fleet but with ${entry.kind}`);
  switch (entry.kind) {
    case "machine-amended": {
      const { after, clearancesEnded } = entry.data as unknown as { after: { odometerKm?: number }; clearancesEnded?: true };
      // Before 2026-11-29 a machine kept its clearances when it came to another depot, and its record says nothing of them.
      const moved = clearancesEnded ? movedAway(before, recordedAt) : before;
      return after.odometerKm === undefined ? moved : withOdometer(moved, after.odometerKm, recordedAt);
    }
    case "machine-withdrawn":
      return withdrawnFrom(before, recordedAt, (entry.data as { reason?: string }).reason ?? "");
    case "machine-returned":
      return returnedAt(before, recordedAt);
    case "paper-added":
      return withPaper(before, entry.data as unknown as { kind: string; validTo: string });
    case "paper-ended": {
      const { paper, outcome, grounded } = entry.data as unknown as {
        paper: { kind: string };
        outcome: { held: HeldPapers | null };
        grounded?: boolean;
      };
      const ended = withHeld(before, paper.kind, outcome.held);
      return grounded ? groundedNow(ended, entry.recordedAt) : ended;
    }
    case "daily-check":
      return foldDailyCheck(before, entry);
    case "weekly-inspection": {
      const {
        localDay,
        grounded,
        oilChangedAtKm = null,
      } = entry.data as unknown as {
        localDay: string;
        grounded: boolean;
        oilChangedAtKm?: number | null;
      };
      const read = inspectedOn(withOdometerRead(before, entry), entry.performedAt, localDay);
      const inspected = oilChangedAtKm === null ? read : withOilChange(read, oilChangedAtKm, entry.performedAt.toISOString());
      return grounded ? groundedNow(inspected, entry.recordedAt) : inspected;
    }
    case "defect-raised":
    case "defect-sighted":
      return foldFinding(before, entry);
    case "defect-regraded":
    case "defect-deferred":
    case "defect-repaired":
    case "defect-signed-off":
    case "defect-not-found":
      return foldCourse(before, entry);
    case "photo-added":
    case "record-corrected":
    case "report-taken":
      return before;
    default:
      throw new Error(`${entry.kind} is not an entry of a machine's chain`);
  }
}

interface CheckData {
  readonly outcome: {
    readonly clearance: { readonly decision: string; readonly validUntil: string | null };
    readonly rider?: { readonly stopped: boolean };
  };
}

function foldDailyCheck(before: MachineState, entry: Told): MachineState {
  const { clearance, rider } = (entry.data as unknown as CheckData).outcome;
  const read = withOdometerRead(before, entry);
  const state = rider?.stopped === true ? withoutClearanceOf(read, entry.staffId ?? "", entry.performedAt) : read;
  if (clearance.validUntil === null) return state;
  return hold(
    state,
    {
      checkId: entry.id,
      riderId: entry.staffId ?? "",
      decision: clearance.decision as HeldClearance["decision"],
      performedAt: entry.performedAt.toISOString(),
      validUntil: clearance.validUntil,
    },
    entry.recordedAt,
  );
}

/** The odometer of a check or inspection counts unless an odometer was read later or it was flagged as hardly right. */
function withOdometerRead(state: MachineState, entry: Told): MachineState {
  const { submitted, outcome } = entry.data as unknown as { submitted: { odometerKm: number }; outcome: { flags: readonly string[] } };
  const at = entry.performedAt.toISOString();
  const doubted =
    outcome.flags.includes("odometer-backwards") ||
    outcome.flags.includes("odometer-jump") ||
    outcome.flags.includes("odometer-unreadable");
  return at < state.odometerAt || doubted ? state : { ...state, odometerKm: submitted.odometerKm, odometerAt: at };
}

function foldFinding(state: MachineState, entry: Told): MachineState {
  const { defect, weighed, grounded } = entry.data as unknown as FindingData;
  const { id, itemId, observationIds, category, status, dueDay } = defect;
  const facts = { id, itemId, observationIds, category, status, dueDay, ...weighed };
  const seenAt = entry.performedAt.toISOString();
  const open = openDefect(state, id);
  let next: MachineState;
  if (entry.kind === "defect-raised") {
    next = { ...state, defects: [...state.defects, { ...facts, seenAt, lastSeenAt: seenAt, sightings: 1, repair: null }] };
  } else if (open) {
    next = replaceDefect(state, {
      ...facts,
      seenAt: open.seenAt,
      lastSeenAt: seenAt > open.lastSeenAt ? seenAt : open.lastSeenAt,
      sightings: open.sightings + 1,
      repair: open.repair && seenAt > open.repair.performedAt ? null : open.repair,
    });
  } else throw new Error(`${entry.id} is a sighting of a defect that is not open`);
  return grounded ? groundedNow(next, entry.recordedAt) : next;
}

function foldCourse(state: MachineState, entry: Told): MachineState {
  const { defectId, submitted, outcome, grounded, keptSince, seen, weighed, inspection } = entry.data as unknown as CourseData;
  const open = openDefect(state, defectId);
  if (!open) throw new Error(`${entry.id} is about a defect that is not open`);
  const { category, status, dueDay, firstLook } = outcome.defect;
  if (firstLook !== undefined) {
    return replaceDefect(state, { ...open, firstLook: { finding: firstLook, recordId: entry.id, staffId: entry.staffId ?? "" } });
  }
  if (entry.kind === "defect-signed-off" || entry.kind === "defect-not-found") {
    const how = entry.kind === "defect-signed-off" ? "signed-off" : "not-found";
    const about = { id: defectId, itemId: open.itemId, ...(seen ? { observationIds: seen } : {}) };
    return closeDefect(state, { ...about, how, closedAt: entry.recordedAt.toISOString(), recordId: entry.id }, keptSince ?? "");
  }
  const done = {
    id: entry.id,
    staffId: inspection?.staffId ?? entry.staffId ?? "",
    performedAt: entry.performedAt.toISOString(),
    reading: submitted.reading ?? inspection?.reading ?? null,
  };
  const held =
    entry.kind === "defect-repaired" ? afterRepair(open, done) : entry.kind === "defect-regraded" ? regraded(open, weighed) : open;
  const next = replaceDefect(state, { ...held, category, status, dueDay });
  return grounded ? groundedNow(next, entry.recordedAt) : next;
}

function regraded(open: OpenDefect, weighed: CourseData["weighed"]): OpenDefect {
  if (weighed === undefined) return open;
  const { firstLook: _, secondPersonItem: __, ...held } = open;
  return { ...held, ...weighed };
}
