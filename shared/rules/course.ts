// The course of an open defect: deferred, waiting for a part, repaired, signed off or not found. Pure: a machine's state in, the
// state after or a refusal out. Whatever must never happen to a defect is refused here, and once more by the database.
import type { Category, Competence } from "../contracts/common.ts";
import type { Quantity, Reading } from "../contracts/quantities.ts";
import { addDays, localDay, startOfDay } from "./calendar.ts";
import { isBefore } from "./field-record.ts";
import { minorDueDay, replaceDefect, taken, untilPartComes } from "./findings.ts";
import {
  type ClosedDefect,
  type FirstLook,
  grounds,
  hasLastDay,
  type MachineState,
  type OpenDefect,
  partExpected,
  type RepairDone,
  type Waiting,
} from "./machine-state.ts";
import { needsSecondNow, ofItemOf, secondPersonOf } from "./second-person.ts";
import type { DepotRules } from "./standing.ts";

/** Why an act on a defect is refused; the codes are entries of the error catalogue. */
export type CourseRefusal =
  | "defect-closed"
  | "new-part-needed"
  | "repair-missing"
  | "competence-missing"
  | "second-person-needed"
  | "reading-missing"
  | "reading-outside"
  | "only-minor-deferred"
  | "deferral-too-long"
  | "deferral-too-early"
  | "waited-already"
  | "wait-too-long"
  | "part-day-over"
  | "already-repaired"
  | "same-category"
  | "campaign-decides"
  | "wait-past-campaign";

export type Step<After> = { readonly refused: CourseRefusal } | ({ readonly refused: null; readonly state: MachineState } & After);

const refuse = (refused: CourseRefusal) => ({ refused }) as const;

/** The open defect, or undefined where it was closed (or never was this machine's). */
export const openDefect = (state: MachineState, id: string): OpenDefect | undefined => state.defects.find((defect) => defect.id === id);

/**
 * A repair. Where only a new part counts, one has to be named. A repair made before the defect was last seen is recorded but leaves
 * the defect open, whichever of the two arrives first: it did not hold.
 */
export function repair(state: MachineState, id: string, done: RepairDone, partsNamed: number): Step<{ readonly defect: OpenDefect }> {
  const open = openDefect(state, id);
  if (!open) return refuse("defect-closed");
  if (open.onlyNewPart && partsNamed === 0) return refuse("new-part-needed");
  const defect = afterRepair(open, done);
  return { refused: null, state: replaceDefect(state, defect), defect };
}

/**
 * The defect after a repair that was not refused: of several, the one made last counts, whichever arrives last. A wait for a part is over.
 */
export function afterRepair(open: OpenDefect, done: RepairDone): OpenDefect {
  if (isBefore(new Date(done.performedAt), open.lastSeenAt)) return open;
  const { firstLook: _, waiting, ...held } = open;
  const { alsoBy: __, ...last } = open.repair !== null && open.repair.performedAt > done.performedAt ? open.repair : done;
  const everybody = new Set([...repairersOf(open), ...repairersOf({ repair: done })]);
  const alsoBy = [...everybody].filter((staffId) => last.workshop !== undefined || staffId !== last.staffId);
  const waited: Pick<OpenDefect, "waiting"> = waiting === undefined ? {} : { waiting: { ...waiting, over: true } };
  return { ...held, ...waited, status: "repaired", repair: alsoBy.length > 0 ? { ...last, alsoBy } : last };
}

/** Everybody of the firm who repaired it since it was last seen. Whoever wrote down what another workshop did was none of them. */
const repairersOf = ({ repair: last }: Pick<OpenDefect, "repair">): string[] =>
  last === null ? [] : [...(last.workshop === undefined ? [last.staffId] : []), ...(last.alsoBy ?? [])];

/** By whom it is repaired, as its row says: a person, or where another workshop did it the record that says so. */
export const repairedByOf = ({ id, staffId, workshop }: Pick<RepairDone, "id" | "staffId" | "workshop">): string =>
  workshop === undefined ? staffId : id;

export interface Closer {
  readonly staffId: string;
  readonly competences: readonly Competence[];
}

/** Whether a reading lies within the limits of its item on this machine. */
export type Within = (quantity: Quantity, reading: Reading) => boolean;

interface Closing {
  readonly recordId: string;
  readonly closer: Closer;
  readonly reading: Reading | null;
  readonly recordedAt: Date;
}

export type Closed = Step<{
  readonly defect: OpenDefect;
  readonly closed: ClosedDefect;
  readonly reading: Reading | null;
  /** what was closed before this instant is too old to make a new defect recurring, and is let go */
  readonly keptSince: string;
}>;

/** A sign-off: after a repair, by the competence, by a second person where that is asked, with a reading after the work where one decides. */
export function signOff(state: MachineState, id: string, closing: Closing, within: Within, depotRules: DepotRules): Closed {
  const open = openDefect(state, id);
  if (!open) return refuse("defect-closed");
  if (!closing.closer.competences.includes(open.competence)) return refuse("competence-missing");
  if (open.repair === null) return refuse("repair-missing");
  const second = needsSecondNow(open, depotRules);
  if (second && repairersOf(open).includes(closing.closer.staffId)) return refuse("second-person-needed");
  return close(
    state,
    { ...open, secondPerson: second },
    closing,
    "signed-off",
    closing.reading ?? readingOf(open.repair, open),
    within,
    depotRules,
  );
}

/** The reading of a repair, where it measures what the defect is judged by: two items may look at one part. */
const readingOf = ({ reading }: RepairDone, { quantity }: OpenDefect): Reading | null =>
  reading !== null && (reading.quantity === undefined || reading.quantity === quantity) ? reading : null;

/** The first of two people has looked; the defect stays as it is until the second says the same. */
export interface Looked {
  readonly refused: null;
  readonly state: MachineState;
  readonly defect: OpenDefect;
  readonly firstLook: FirstLook;
}

/** Whether the step was a first look, after which the defect stays as it was. */
export const isFirstLook = (step: { readonly refused: null } | Looked): step is Looked => "firstLook" in step;

/**
 * A competent person looked and found no fault: closes the defect without a repair. Not after one: that takes a sign-off. Where the
 * defect takes a second person, the first who looks leaves it open, and a second one who finds nothing either closes it.
 */
export function notFound(state: MachineState, id: string, closing: Closing, within: Within, depotRules: DepotRules): Closed | Looked {
  const open = openDefect(state, id);
  if (!open) return refuse("defect-closed");
  if (!closing.closer.competences.includes(open.competence)) return refuse("competence-missing");
  if (open.status === "repaired") return refuse("already-repaired");
  const second = needsSecondNow(open, depotRules);
  const looked = second ? lookFirst(state, open, "not-found", closing.closer.staffId, closing.recordId) : null;
  if (looked?.refused) return looked;
  const closed = close(state, { ...open, secondPerson: second }, closing, "not-found", closing.reading, within, depotRules);
  return closed.refused === null && looked !== null ? looked : closed;
}

/** What a look comes to where two have to say the same: a first look, a refusal for one who looked already, or null for the second. */
function lookFirst(
  state: MachineState,
  open: OpenDefect,
  finding: FirstLook["finding"],
  staffId: string,
  recordId: string,
): Looked | { readonly refused: CourseRefusal } | null {
  if (repairersOf(open).includes(staffId)) return refuse("second-person-needed");
  if (open.firstLook?.finding === finding) return open.firstLook.staffId === staffId ? refuse("second-person-needed") : null;
  const firstLook: FirstLook = { finding, recordId, staffId };
  const defect: OpenDefect = { ...open, firstLook };
  return { refused: null, state: replaceDefect(state, defect), defect, firstLook };
}

function close(
  state: MachineState,
  defect: OpenDefect,
  { recordId, recordedAt }: Closing,
  how: ClosedDefect["how"],
  reading: Reading | null,
  within: Within,
  depotRules: DepotRules,
): Closed {
  if (defect.quantity !== null) {
    if (reading === null) return refuse("reading-missing");
    if (!within(defect.quantity, reading)) return refuse("reading-outside");
  }
  const { id, itemId, observationIds } = defect;
  const job = defect.campaign === undefined ? {} : { campaign: defect.campaign.name };
  const closed: ClosedDefect = { id, itemId, observationIds, how, closedAt: recordedAt.toISOString(), recordId, ...job };
  const oldestDay = addDays(localDay(recordedAt, depotRules.timeZone), -depotRules.policy.recurringWithinDays);
  const keptSince = startOfDay(oldestDay, depotRules.timeZone).toISOString();
  return { refused: null, state: closeDefect(state, closed, keptSince), defect, closed, reading, keptSince };
}

/** The state without the closed defect, which is remembered with the others closed since `keptSince`. */
export const closeDefect = (state: MachineState, closed: ClosedDefect, keptSince: string): MachineState => ({
  ...state,
  defects: state.defects.filter((held) => held.id !== closed.id),
  closed: [closed, ...state.closed.filter((held) => held.closedAt >= keptSince)],
});

/** Defers the repair of a minor defect to a day that is not past its limit. One that waits for a part has its day from that. */
export function defer(
  state: MachineState,
  id: string,
  untilDay: string,
  now: Date,
  depotRules: DepotRules,
): Step<{ readonly defect: OpenDefect }> {
  const open = openDefect(state, id);
  if (!open) return refuse("defect-closed");
  if (open.campaign) return refuse("campaign-decides");
  if (!hasLastDay(open.category)) return refuse("only-minor-deferred");
  if (open.status === "repaired") return refuse("already-repaired");
  if (partExpected(open) !== null) return refuse("waited-already");
  if (untilDay < localDay(now, depotRules.timeZone)) return refuse("deferral-too-early");
  if (untilDay > lastDeferralDay(state, open, depotRules)) return refuse("deferral-too-long");
  const defect: OpenDefect = { ...open, status: "deferred", dueDay: untilDay };
  return { refused: null, state: replaceDefect(state, defect), defect };
}

/**
 * Where an inspection has brought its last day forward since it was seen, no deferral moves that day back: never past the next weekly
 * inspection.
 */
function lastDeferralDay(state: MachineState, open: OpenDefect, depotRules: DepotRules): string {
  const limit = minorDueDay(state, new Date(open.seenAt), depotRules);
  const inspectedSince = state.lastInspectionAt !== null && state.lastInspectionAt > open.seenAt;
  return inspectedSince && open.dueDay !== null && open.dueDay < limit ? open.dueDay : limit;
}

/** The last day on which a part may be expected for which a defect is let wait now: so many days from today. */
export const lastPartDay = (now: Date, { timeZone, policy }: DepotRules): string =>
  addDays(localDay(now, timeZone), policy.waitForPartDays);

/**
 * A mechanic with the competence lets a defect wait for a part, once. A minor one may be ridden until the day on which the part is expected,
 * past its own last day and past a weekly inspection, also where that day is over already; from the day after it grounds. One that
 * grounds goes on grounding.
 */
export function waitForPart(
  state: MachineState,
  id: string,
  { recordId, expectedDay }: Pick<Waiting, "recordId" | "expectedDay">,
  by: Closer,
  now: Date,
  depotRules: DepotRules,
): Step<{ readonly defect: OpenDefect }> {
  const open = openDefect(state, id);
  if (!open) return refuse("defect-closed");
  if (!by.competences.includes(open.competence)) return refuse("competence-missing");
  if (open.status === "repaired") return refuse("already-repaired");
  if (open.waiting !== undefined) return refuse("waited-already");
  if (expectedDay < localDay(now, depotRules.timeZone)) return refuse("part-day-over");
  if (open.campaign && open.dueDay !== null && expectedDay > open.dueDay) return refuse("wait-past-campaign");
  if (expectedDay > lastPartDay(now, depotRules)) return refuse("wait-too-long");
  const waiting: Waiting = { recordId, expectedDay };
  const dueDay = open.dueDay === null ? null : untilPartComes(open.dueDay, { waiting });
  const defect: OpenDefect = { ...open, waiting, dueDay };
  return { refused: null, state: replaceDefect(state, defect), defect };
}

/**
 * A mechanic weighs the defect anew. To a grounding category: grounds now. To minor: may be ridden until its day. That releases the
 * machine as a sign-off does: where the defect takes a second person, the first leaves it as it is, and another who says the same lowers
 * it.
 */
export function regrade(
  state: MachineState,
  id: string,
  category: Category,
  by: Closer & { readonly recordId: string },
  now: Date,
  depotRules: DepotRules,
): Step<{ readonly defect: OpenDefect; readonly grounded: boolean }> | Looked {
  const open = openDefect(state, id);
  if (!open) return refuse("defect-closed");
  if (open.campaign) return refuse("campaign-decides");
  if (!by.competences.includes(open.competence)) return refuse("competence-missing");
  if (open.category === category) return refuse("same-category");
  const releases = grounds(open.category) && !grounds(category);
  const looked = releases && needsSecondNow(open, depotRules) ? lookFirst(state, open, "minor", by.staffId, by.recordId) : null;
  if (looked !== null) return looked;
  const status = open.status === "deferred" ? "open" : open.status;
  // What was only worth watching has its days from now on.
  const from = open.category === "advisory" ? now : new Date(open.seenAt);
  const dueDay = hasLastDay(category) ? untilPartComes(minorDueDay(state, from, depotRules), open) : null;
  const { firstLook: _, secondPersonItem: __, ...held } = open;
  const defect: OpenDefect = { ...held, category, status, dueDay, ...secondPersonOf(ofItemOf(open), category, depotRules) };
  return { refused: null, ...taken(replaceDefect(state, defect), defect, now, depotRules) };
}

/**
 * A weekly inspection was made on that local day: the minor defects seen before it have reached their last day unless they wait for a part
 * or are a campaign's job, and a first-use inspection is done unless this one was made before the machine came back, or before it fell. One that arrives late does not undo a later one.
 */
export function inspectedOn(state: MachineState, performedAt: Date, day: string): MachineState {
  const at = performedAt.toISOString();
  const last = state.lastInspectionAt;
  const firstUse = isBefore(performedAt, state.firstUseSince) ? {} : { firstUseDue: null, firstUseSince: null };
  return {
    ...state,
    ...firstUse,
    ...(state.falls === undefined ? {} : { falls: state.falls.filter(({ happenedAt }) => isBefore(performedAt, happenedAt)) }),
    lastInspectionAt: last !== null && last > at ? last : at,
    defects: state.defects.map((defect) => {
      if (defect.campaign) return defect;
      const last = untilPartComes(day, defect);
      return defect.dueDay !== null && defect.dueDay > last && defect.seenAt < at ? { ...defect, dueDay: last } : defect;
    }),
  };
}
