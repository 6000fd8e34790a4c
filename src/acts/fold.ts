// A machine's state is derived: here it follows from the machine's records alone, in chain order. What the rules of the day decided is in
// the entries, so that old records give the old states although catalogue, policy and handbook have changed.

import { isForgotten, type KeptRecord, type RecordContent, read } from "../../shared/records/index.ts";
import { backFrom, sentOut } from "../../shared/rules/away.ts";
import { hold } from "../../shared/rules/clearance.ts";
import { afterRepair, closeDefect, inspectedOn, openDefect, repairedByOf } from "../../shared/rules/course.ts";
import { fallen } from "../../shared/rules/fall.ts";
import { groundedNow, replaceDefect } from "../../shared/rules/findings.ts";
import {
  disposedOf,
  type MachineState,
  movedAway,
  newMachineState,
  notAfterNow,
  type OpenDefect,
  reinstatedAt,
  returnedAt,
  withdrawnFrom,
  withOdometer,
  withOilChange,
  withServices,
} from "../../shared/rules/machine-state.ts";
import { withHeld, withPaper } from "../../shared/rules/papers.ts";
import { withoutClearanceOf } from "../../shared/rules/rider.ts";
import { withPutRight } from "../../shared/rules/rider-put-right.ts";

/** An entry of a machine's chain, as far as a fold reads it. */
export interface FoldableEntry extends KeptRecord {
  readonly position: number;
  readonly staffId: string | null;
  readonly performedAt: Date;
  readonly recordedAt: Date;
}

type Head = Pick<FoldableEntry, "id" | "staffId" | "performedAt" | "recordedAt">;
type ContentAs<K extends RecordContent["kind"]> = RecordContent<K>["data"];

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
    const told = read(entry);
    if (isForgotten(told)) throw new Error(`what ${entry.id} said was forgotten, and no state is kept after it`);
    const next: MachineState = { ...foldInTime(state, entry, told), recordedAt: entry.recordedAt.toISOString() };
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

/** An entry that follows one from the future says itself when it arrived, and was decided by that time. */
function foldInTime(state: MachineState | null, head: Head, told: RecordContent): MachineState {
  const { data } = told;
  const arrivedAt = "arrivedAt" in data ? data.arrivedAt : undefined;
  if (arrivedAt === undefined || state === null) return foldEntry(state, head, told);
  return foldEntry(notAfterNow(state, arrivedAt), { ...head, recordedAt: new Date(arrivedAt) }, told);
}

const stillOpen = ({ id, itemId, observationIds, category, status, dueDay, sightings, repair }: OpenDefect): FoldedDefect => ({
  ...{ id, itemId, observationIds, category, status, dueDay, sightings },
  repairedBy: repair === null ? null : repairedByOf(repair),
  closedBy: null,
  closedAt: null,
});

function foldEntry(before: MachineState | null, head: Head, told: RecordContent): MachineState {
  const recordedAt = head.recordedAt.toISOString();
  if (told.kind === "machine-added") return newMachineState(told.data.odometerKm, recordedAt);
  if (before === null) throw new Error(`the chain does not begin with the machine's entry into the fleet but with ${told.kind}`);
  switch (told.kind) {
    case "machine-amended":
      return foldAmended(before, recordedAt, told.data);
    case "machine-withdrawn":
      return withdrawnFrom(before, recordedAt, told.data.reason);
    case "machine-returned":
      return returnedAt(before, recordedAt);
    case "machine-disposed":
      return disposedOf(before, recordedAt, told.data.how);
    case "machine-reinstated":
      return reinstatedAt(before, recordedAt);
    case "paper-added":
      return withPaper(before, told.data);
    case "paper-ended":
      return foldPaperEnded(before, head, told.data);
    case "daily-check":
      return foldDailyCheck(before, head, told.data);
    case "weekly-inspection": {
      const { localDay, grounded, oilChangedAtKm, serviced } = told.data;
      const looked = inspectedOn(withOdometerRead(before, head, told.data), head.performedAt, localDay);
      const oiled = oilChangedAtKm === null ? looked : withOilChange(looked, oilChangedAtKm, head.performedAt.toISOString());
      const inspected = serviced ? withServices(oiled, serviced.itemIds, serviced.atKm, head.performedAt.toISOString()) : oiled;
      return grounded ? groundedNow(inspected, head.recordedAt) : inspected;
    }
    case "defect-raised":
    case "defect-sighted":
      return foldFinding(before, head, told);
    case "machine-fell": {
      const { submitted, outcome } = told.data;
      const { odometerKm } = submitted;
      const read = odometerKm === undefined ? before : withOdometerRead(before, head, { submitted: { odometerKm }, outcome });
      return fallen(read, { recordId: head.id, happenedAt: head.performedAt.toISOString() }, head.recordedAt);
    }
    case "machine-sent-out":
    case "machine-taken-back":
      return foldAway(before, head, told);
    case "defect-regraded":
    case "defect-deferred":
    case "defect-waiting":
    case "defect-repaired":
    case "defect-signed-off":
    case "defect-not-found":
      return foldCourse(before, head, told);
    case "defect-noted":
    case "photo-added":
    case "record-corrected":
    case "report-taken":
      return before;
    case "firm-founded":
    case "policy-changed":
    case "depot-added":
    case "depot-amended":
    case "model-added":
    case "model-revised":
    case "person-added":
    case "person-amended":
    case "person-left":
    case "secret-reset":
    case "secret-changed":
    case "machines-imported":
    case "allocation-kept":
    case "part-kept":
    case "stock-recorded":
    case "parts-imported":
    case "campaign-added":
    case "campaign-ended":
    case "hold-placed":
    case "hold-lifted":
    case "records-forgotten":
    case "person-forgotten":
      throw new Error(`${told.kind} is not an entry of a machine's chain`);
  }
}

function foldAmended(before: MachineState, recordedAt: string, { after, clearancesEnded }: ContentAs<"machine-amended">): MachineState {
  // Before 2026-11-29 a machine kept its clearances when it came to another depot, and its record says nothing of them.
  const moved = clearancesEnded ? movedAway(before, recordedAt) : before;
  return after.odometerKm === undefined ? moved : withOdometer(moved, after.odometerKm, recordedAt);
}

function foldPaperEnded(before: MachineState, { recordedAt }: Head, { paper, outcome, grounded }: ContentAs<"paper-ended">): MachineState {
  const ended = withHeld(before, paper.kind, outcome.held);
  return grounded ? groundedNow(ended, recordedAt) : ended;
}

function foldDailyCheck(before: MachineState, head: Head, data: ContentAs<"daily-check">): MachineState {
  const { clearance, rider } = data.outcome;
  const done = data.outcome.putRight ?? [];
  const checked = withPutRight(withOdometerRead(before, head, data), done, { at: head.performedAt, recordedAt: head.recordedAt });
  const state = rider?.stopped === true ? withoutClearanceOf(checked, head.staffId ?? "", head.performedAt) : checked;
  const { decision, validUntil } = clearance;
  if (validUntil === null || decision === "do-not-ride") return state;
  return hold(
    state,
    {
      checkId: head.id,
      riderId: head.staffId ?? "",
      decision,
      performedAt: head.performedAt.toISOString(),
      validUntil,
    },
    head.recordedAt,
  );
}

/** The odometer of a check, an inspection or a fall counts unless an odometer was read later or this one was flagged as doubtful. */
function withOdometerRead(
  state: MachineState,
  head: Head,
  { submitted, outcome }: { readonly submitted: { readonly odometerKm: number }; readonly outcome: { readonly flags: readonly string[] } },
): MachineState {
  const at = head.performedAt.toISOString();
  const doubted =
    outcome.flags.includes("odometer-backwards") ||
    outcome.flags.includes("odometer-jump") ||
    outcome.flags.includes("odometer-unreadable");
  return at < state.odometerAt || doubted ? state : { ...state, odometerKm: submitted.odometerKm, odometerAt: at };
}

function foldFinding(state: MachineState, head: Head, { kind, data }: RecordContent<"defect-raised" | "defect-sighted">): MachineState {
  const { defect, weighed, grounded, campaign, originId } = data;
  const { id, itemId, observationIds, category, status, dueDay } = defect;
  const facts = { id, itemId, observationIds, category, status, dueDay, ...weighed };
  const seenAt = head.performedAt.toISOString();
  const open = openDefect(state, id);
  let next: MachineState;
  if (kind === "defect-raised") {
    const job = campaign ? { campaign: { id: originId, name: campaign.name } } : {};
    next = { ...state, defects: [...state.defects, { ...facts, seenAt, lastSeenAt: seenAt, sightings: 1, repair: null, ...job }] };
  } else if (open) {
    next = replaceDefect(state, {
      ...facts,
      seenAt: open.seenAt,
      lastSeenAt: seenAt > open.lastSeenAt ? seenAt : open.lastSeenAt,
      sightings: open.sightings + 1,
      repair: open.repair && seenAt > open.repair.performedAt ? null : open.repair,
      ...(open.waiting === undefined ? {} : { waiting: open.waiting }),
    });
  } else throw new Error(`${head.id} is a sighting of a defect that is not open`);
  return grounded ? groundedNow(next, head.recordedAt) : next;
}

function foldAway(state: MachineState, head: Head, told: RecordContent<"machine-sent-out" | "machine-taken-back">): MachineState {
  if (told.kind === "machine-taken-back") return backFrom(state, head.performedAt, told.data.outcome.inspectionDue);
  const { workshop, expectedDay } = told.data.submitted;
  return sentOut(state, { recordId: head.id, workshop, since: head.performedAt.toISOString(), expectedDay }, head.recordedAt);
}

type StepKind = "defect-regraded" | "defect-deferred" | "defect-waiting" | "defect-repaired";
type CourseKind = StepKind | "defect-signed-off" | "defect-not-found";

function foldCourse(state: MachineState, head: Head, told: RecordContent<CourseKind>): MachineState {
  const { defectId, outcome, grounded } = told.data;
  const open = openDefect(state, defectId);
  if (!open) throw new Error(`${head.id} is about a defect that is not open`);
  const { category, status, dueDay, firstLook } = outcome.defect;
  if (firstLook !== undefined) {
    return replaceDefect(state, { ...open, firstLook: { finding: firstLook, recordId: head.id, staffId: head.staffId ?? "" } });
  }
  if (told.kind === "defect-signed-off" || told.kind === "defect-not-found") {
    const { keptSince = "", seen } = told.data;
    const how = told.kind === "defect-signed-off" ? "signed-off" : "not-found";
    const job = open.campaign === undefined ? {} : { campaign: open.campaign.name };
    const about = { id: defectId, itemId: open.itemId, ...job, ...(seen ? { observationIds: seen } : {}) };
    return closeDefect(state, { ...about, how, closedAt: head.recordedAt.toISOString(), recordId: head.id }, keptSince);
  }
  if (status === "signed-off" || status === "not-found") throw new Error(`${head.id} leaves a defect closed and closes none`);
  const next = replaceDefect(state, { ...afterStep(open, head, told), category, status, dueDay });
  return grounded ? groundedNow(next, head.recordedAt) : next;
}

function afterStep(open: OpenDefect, head: Head, told: RecordContent<StepKind>): OpenDefect {
  switch (told.kind) {
    case "defect-repaired": {
      const { submitted, inspection, outside } = told.data;
      return afterRepair(open, {
        id: head.id,
        staffId: inspection?.staffId ?? head.staffId ?? "",
        performedAt: head.performedAt.toISOString(),
        reading: submitted.reading ?? inspection?.reading ?? null,
        ...(outside === undefined ? {} : { workshop: outside.workshop }),
      });
    }
    case "defect-regraded": {
      const { weighed } = told.data;
      if (weighed === undefined) return open;
      const { firstLook: _, secondPersonItem: __, ...held } = open;
      return { ...held, ...weighed };
    }
    case "defect-waiting":
      return { ...open, waiting: { recordId: head.id, expectedDay: told.data.submitted.expectedDay } };
    case "defect-deferred":
      return open;
  }
}
