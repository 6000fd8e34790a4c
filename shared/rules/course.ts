// The course of a defect: raised or seen again, deferred, repaired, signed off or not found. Pure: a machine's state in, the
// state after or a refusal out. Every 'may never happen' about a defect is decided here, and the database says no a second time.
import type { Category, Competence } from "../contracts/common.ts";
import type { Quantity, Reading } from "../contracts/quantities.ts";
import { addDays, daysBetween, localDay, startOfDay } from "./calendar.ts";
import { isBefore } from "./field-record.ts";
import { type ClosedDefect, grounds, type MachineState, type OpenDefect, type RepairDone, worse } from "./machine-state.ts";
import { inspectionDueDay, type Place } from "./standing.ts";

/** What somebody saw at an item, already weighed by the catalogue. */
export interface Finding {
  readonly itemId: string | null;
  readonly observationIds: readonly string[];
  readonly category: Category;
  readonly competence: Competence;
  /** the catalogue's; the policy may switch it off */
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
  /** it stands against riding from its arrival on, so every clearance ended */
  readonly grounded: boolean;
}

export type Reported =
  | (ReportedDefect & {
      readonly kind: "raised";
      /** the closed defect of the same item that this one repeats, within the policy's days */
      readonly recurringOf: string | null;
      /** the sign-off or finding that was made after this was seen and before it arrived: shown beside it */
      readonly signedOffBetween: string | null;
    })
  | (ReportedDefect & { readonly kind: "sighted" });

/** The last day for a minor defect: the policy's days after it was seen, never past the next weekly inspection, never before it was seen. */
export function minorDueDay(state: MachineState, seenAt: Date, place: Place): string {
  const seen = localDay(seenAt, place.timeZone);
  const byAge = addDays(seen, place.policy.minorDefectDays);
  const inspection = inspectionDueDay(state, place);
  const earliest = inspection !== null && inspection < byAge ? inspection : byAge;
  return earliest < seen ? seen : earliest;
}

/** Takes a finding into the state: a sighting of the open defect of the same item where there is one, else a new defect under `newId`. */
export function report(state: MachineState, finding: Finding, newId: string, moment: Moment, place: Place): Reported {
  const open = finding.itemId === null ? undefined : state.defects.find((defect) => defect.itemId === finding.itemId);
  return open ? sightAgain(state, open, finding, moment, place) : raise(state, finding, newId, moment, place);
}

function raise(state: MachineState, finding: Finding, id: string, { seenAt, recordedAt }: Moment, place: Place): Reported {
  const defect: OpenDefect = {
    id,
    itemId: finding.itemId,
    observationIds: finding.observationIds,
    category: finding.category,
    status: "open",
    seenAt: seenAt.toISOString(),
    lastSeenAt: seenAt.toISOString(),
    sightings: 1,
    dueDay: grounds(finding.category) ? null : minorDueDay(state, seenAt, place),
    competence: finding.competence,
    secondPerson: finding.secondPerson && place.policy.secondPerson,
    quantity: finding.quantity,
    onlyNewPart: finding.onlyNewPart,
    repair: null,
  };
  const earlier = finding.itemId === null ? [] : state.closed.filter((closed) => closed.itemId === finding.itemId);
  const before = earlier.find((closed) => closed.closedAt <= defect.seenAt);
  const recurring = before && daysBetween(localDay(new Date(before.closedAt), place.timeZone), localDay(seenAt, place.timeZone));
  const between = earlier.find((closed) => closed.closedAt > defect.seenAt);
  return {
    kind: "raised",
    ...taken({ ...state, defects: [...state.defects, defect] }, defect, recordedAt, place),
    recurringOf: before && recurring !== undefined && recurring <= place.policy.recurringWithinDays ? before.id : null,
    signedOffBetween: between?.recordId ?? null,
  };
}

function sightAgain(state: MachineState, open: OpenDefect, finding: Finding, { seenAt, recordedAt }: Moment, place: Place): Reported {
  const seen = seenAt.toISOString();
  // Seen after the repair: the repair did not hold, and a sign-off needs another one.
  const repair = open.repair && seen > open.repair.performedAt ? null : open.repair;
  const category = worse(open.category, finding.category);
  const escalated = category !== open.category;
  const defect: OpenDefect = {
    ...open,
    observationIds: [...new Set([...open.observationIds, ...finding.observationIds])],
    category,
    status: repair === null && (open.status === "repaired" || escalated) ? "open" : open.status,
    lastSeenAt: seen > open.lastSeenAt ? seen : open.lastSeenAt,
    sightings: open.sightings + 1,
    dueDay: grounds(category) ? null : (open.dueDay ?? minorDueDay(state, seenAt, place)),
    onlyNewPart: open.onlyNewPart || finding.onlyNewPart,
    repair,
  };
  return { kind: "sighted", ...taken(replaceDefect(state, defect), defect, recordedAt, place) };
}

/** The state with the defect in it, which ends the clearances where it grounds: by its category, or as a minor one whose day is over. */
function taken(state: MachineState, defect: OpenDefect, recordedAt: Date, place: Place): ReportedDefect {
  const grounded = grounds(defect.category) || isOverdue(defect, recordedAt, place);
  return { state: grounded ? groundedNow(state, recordedAt) : state, defect, grounded };
}

const isOverdue = ({ dueDay }: OpenDefect, at: Date, { timeZone }: Place): boolean => dueDay !== null && dueDay < localDay(at, timeZone);

/** A grounding ends every clearance of the machine at that moment. */
export const groundedNow = (state: MachineState, recordedAt: Date): MachineState => ({
  ...state,
  clearances: [],
  groundedAt: recordedAt.toISOString(),
});

/** The state with this defect in place of what was known of it. */
export const replaceDefect = (state: MachineState, defect: OpenDefect): MachineState => ({
  ...state,
  defects: state.defects.map((held) => (held.id === defect.id ? defect : held)),
});

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
  | "already-repaired"
  | "same-category";

export type Step<After> = { readonly refused: CourseRefusal } | ({ readonly refused: null; readonly state: MachineState } & After);

const refuse = (refused: CourseRefusal) => ({ refused }) as const;

/** The open defect, or undefined where it was closed (or never was this machine's). */
export const openDefect = (state: MachineState, id: string): OpenDefect | undefined => state.defects.find((defect) => defect.id === id);

/**
 * A repair. Where only a new part counts, one has to be named. One made before the defect was last seen is a record and leaves it
 * open, whichever of the two arrives first: it did not hold.
 */
export function repair(state: MachineState, id: string, done: RepairDone, partsNamed: number): Step<{ readonly defect: OpenDefect }> {
  const open = openDefect(state, id);
  if (!open) return refuse("defect-closed");
  if (open.onlyNewPart && partsNamed === 0) return refuse("new-part-needed");
  const defect = afterRepair(open, done);
  return { refused: null, state: replaceDefect(state, defect), defect };
}

/** The defect after a repair that was not refused: of several, the one made last counts, whichever arrives last. */
export function afterRepair(open: OpenDefect, done: RepairDone): OpenDefect {
  if (isBefore(new Date(done.performedAt), open.lastSeenAt)) return open;
  const { alsoBy: _, ...last } = open.repair !== null && open.repair.performedAt > done.performedAt ? open.repair : done;
  const alsoBy = [...new Set([...repairersOf(open), done.staffId])].filter((staffId) => staffId !== last.staffId);
  return { ...open, status: "repaired", repair: alsoBy.length > 0 ? { ...last, alsoBy } : last };
}

/** Everybody who repaired it since it was last seen. */
const repairersOf = ({ repair: last }: OpenDefect): string[] => (last === null ? [] : [last.staffId, ...(last.alsoBy ?? [])]);

/** A policy that was switched off since counts as it is now; one that was switched on does not reach back. */
const needsSecondPerson = (open: OpenDefect, place: Place): boolean => open.secondPerson && place.policy.secondPerson;

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
export function signOff(state: MachineState, id: string, closing: Closing, within: Within, place: Place): Closed {
  const open = openDefect(state, id);
  if (!open) return refuse("defect-closed");
  if (!closing.closer.competences.includes(open.competence)) return refuse("competence-missing");
  if (open.repair === null) return refuse("repair-missing");
  const second = needsSecondPerson(open, place);
  if (second && repairersOf(open).includes(closing.closer.staffId)) return refuse("second-person-needed");
  return close(state, { ...open, secondPerson: second }, closing, "signed-off", closing.reading ?? open.repair.reading, within, place);
}

/** A competent person looked and found no fault: closes the defect without a repair. Not after one: that takes a sign-off. */
export function notFound(state: MachineState, id: string, closing: Closing, within: Within, place: Place): Closed {
  const open = openDefect(state, id);
  if (!open) return refuse("defect-closed");
  if (!closing.closer.competences.includes(open.competence)) return refuse("competence-missing");
  if (open.status === "repaired") return refuse("already-repaired");
  return close(state, open, closing, "not-found", closing.reading, within, place);
}

function close(
  state: MachineState,
  defect: OpenDefect,
  { recordId, recordedAt }: Closing,
  how: ClosedDefect["how"],
  reading: Reading | null,
  within: Within,
  place: Place,
): Closed {
  if (defect.quantity !== null) {
    if (reading === null) return refuse("reading-missing");
    if (!within(defect.quantity, reading)) return refuse("reading-outside");
  }
  const closed: ClosedDefect = { id: defect.id, itemId: defect.itemId, how, closedAt: recordedAt.toISOString(), recordId };
  const oldestDay = addDays(localDay(recordedAt, place.timeZone), -place.policy.recurringWithinDays);
  const keptSince = startOfDay(oldestDay, place.timeZone).toISOString();
  return { refused: null, state: closeDefect(state, closed, keptSince), defect, closed, reading, keptSince };
}

/** The state without the closed defect, which is kept in mind with those closed since an instant. */
export const closeDefect = (state: MachineState, closed: ClosedDefect, keptSince: string): MachineState => ({
  ...state,
  defects: state.defects.filter((held) => held.id !== closed.id),
  closed: [closed, ...state.closed.filter((held) => held.closedAt >= keptSince)],
});

/** Puts the repair of a minor defect off to a day that is not past its limit. */
export function defer(state: MachineState, id: string, untilDay: string, now: Date, place: Place): Step<{ readonly defect: OpenDefect }> {
  const open = openDefect(state, id);
  if (!open) return refuse("defect-closed");
  if (grounds(open.category)) return refuse("only-minor-deferred");
  if (open.status === "repaired") return refuse("already-repaired");
  if (untilDay < localDay(now, place.timeZone)) return refuse("deferral-too-early");
  if (untilDay > lastDeferralDay(state, open, place)) return refuse("deferral-too-long");
  const defect: OpenDefect = { ...open, status: "deferred", dueDay: untilDay };
  return { refused: null, state: replaceDefect(state, defect), defect };
}

/** Once an inspection was made since it was seen, the day that it set is not moved any more: never past the next weekly inspection. */
function lastDeferralDay(state: MachineState, open: OpenDefect, place: Place): string {
  const limit = minorDueDay(state, new Date(open.seenAt), place);
  const inspectedSince = state.lastInspectionAt !== null && state.lastInspectionAt > open.seenAt;
  return inspectedSince && open.dueDay !== null && open.dueDay < limit ? open.dueDay : limit;
}

/** A mechanic weighs the defect anew. To a grounding category: grounds now. To minor: may be ridden until its day. */
export function regrade(
  state: MachineState,
  id: string,
  category: Category,
  by: Closer,
  now: Date,
  place: Place,
): Step<{ readonly defect: OpenDefect; readonly grounded: boolean }> {
  const open = openDefect(state, id);
  if (!open) return refuse("defect-closed");
  // Lowering a grounding defect releases the machine as a sign-off would, so it takes the same competence and the same second person.
  if (!by.competences.includes(open.competence)) return refuse("competence-missing");
  if (open.category === category) return refuse("same-category");
  const releases = grounds(open.category) && !grounds(category);
  if (releases && needsSecondPerson(open, place) && repairersOf(open).includes(by.staffId)) return refuse("second-person-needed");
  const status = open.status === "deferred" ? "open" : open.status;
  const dueDay = grounds(category) ? null : minorDueDay(state, new Date(open.seenAt), place);
  const defect: OpenDefect = { ...open, category, status, dueDay };
  return { refused: null, ...taken(replaceDefect(state, defect), defect, now, place) };
}

/**
 * A weekly inspection was made on that local day: the minor defects seen before it have reached their last day, and a first-use
 * inspection is done unless this one was made before the machine came back. One that arrives late does not undo a later one.
 */
export function inspectedOn(state: MachineState, performedAt: Date, day: string): MachineState {
  const at = performedAt.toISOString();
  const last = state.lastInspectionAt;
  const firstUse = isBefore(performedAt, state.firstUseSince) ? {} : { firstUseDue: null, firstUseSince: null };
  return {
    ...state,
    ...firstUse,
    lastInspectionAt: last !== null && last > at ? last : at,
    defects: state.defects.map((defect) =>
      defect.dueDay !== null && defect.dueDay > day && defect.seenAt < at ? { ...defect, dueDay: day } : defect,
    ),
  };
}

/** Whether a minor defect's day is over, by which it stands against riding. */
export const anyOverdue = (state: MachineState, at: Date, place: Place): boolean =>
  state.defects.some((defect) => isOverdue(defect, at, place));
