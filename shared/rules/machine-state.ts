// What is known of one machine: enough to decide everything about it, small enough to be written with every act.
// Readiness now and at any past moment follows from it by pure computation; a phone may hold it too. It is stored as JSON, and types, which
// nobody can add to elsewhere, are JSON for the compiler where interfaces are not.
import type { Category, Competence } from "../contracts/common.ts";
import type { Quantity, Reading } from "../contracts/quantities.ts";

export type DefectStatus = "open" | "deferred" | "repaired" | "signed-off" | "not-found";

/** A defect that is not closed yet. Times are ISO instants in UTC, days are the depot's. */
export type OpenDefect = {
  readonly id: string;
  readonly itemId: string | null;
  readonly observationIds: readonly string[];
  readonly category: Category;
  readonly status: "open" | "deferred" | "repaired";
  readonly seenAt: string;
  readonly lastSeenAt: string;
  readonly sightings: number;
  /** the last day on which a minor defect may be ridden; null for one that grounds */
  readonly dueDay: string | null;
  readonly competence: Competence;
  /** whoever repaired it may not release it, by its category and the policy */
  readonly secondPerson: boolean;
  /** what the item itself asks, before category and policy; absent where it is the same */
  readonly secondPersonItem?: boolean;
  /** the quantity that has to be measured after the repair */
  readonly quantity: Quantity | null;
  /** only a new part counts as a repair */
  readonly onlyNewPart: boolean;
  /** the last repair, unless it was seen again afterwards */
  readonly repair: RepairDone | null;
  /** somebody looked and says that it need not ground, where a second person has to say the same; gone once it is seen again or repaired */
  readonly firstLook?: FirstLook;
  /** a mechanic let it wait for a part; that happens once in its course, so it stays here when the wait is over */
  readonly waiting?: Waiting;
  /** it is a campaign's job, with the category and the last day that the campaign gives it; absent where somebody found it */
  readonly campaign?: OfCampaign;
};

/** The campaign that a defect is the job of. */
export type OfCampaign = {
  readonly id: string;
  readonly name: string;
};

/** A wait for a part. The part and the reason are in its record alone, where they can be forgotten. */
export type Waiting = {
  readonly recordId: string;
  /** the day on which the part is expected: a minor defect may be ridden until then */
  readonly expectedDay: string;
  /** it was repaired since */
  readonly over?: true;
};

/** What the first of two people found: no fault, or one that may be ridden with. */
export type FirstLook = {
  readonly finding: "not-found" | "minor";
  readonly recordId: string;
  readonly staffId: string;
};

export type RepairDone = {
  readonly id: string;
  readonly staffId: string;
  readonly performedAt: string;
  /** taken after the work */
  readonly reading: Reading | null;
  /** another workshop did it, and `staffId` only wrote it down */
  readonly workshop?: string;
  /** who else repaired it since it was last seen, where somebody did: none of them is a second person either */
  readonly alsoBy?: readonly string[];
};

export type ClosedDefect = {
  readonly id: string;
  readonly itemId: string | null;
  /** what was seen; absent in older states */
  readonly observationIds?: readonly string[];
  readonly how: "signed-off" | "not-found";
  readonly closedAt: string;
  /** the sign-off or not-found record that closed it */
  readonly recordId: string;
  /** the name of the campaign that it was the job of */
  readonly campaign?: string;
};

export type HeldClearance = {
  readonly checkId: string;
  readonly riderId: string;
  readonly decision: "ride" | "ride-with-defects";
  readonly performedAt: string;
  readonly validUntil: string;
};

/** A fall or a collision after which nobody has inspected the machine yet. What was hit and bent is in its record alone. */
export type OpenFall = {
  readonly recordId: string;
  /** an inspection made before this moment does not count as the one after it */
  readonly happenedAt: string;
  /** when its report arrived: since then the machine stands still */
  readonly recordedAt: string;
};

/** Papers of one kind, in days of the depot: the first and last day on which any of them is valid, and the gaps between. */
export type HeldPapers = {
  readonly kind: string;
  readonly validFrom?: string;
  readonly validTo: string;
  readonly gaps?: readonly PaperGap[];
  /** a test failed on day `since` and grounds, until the first day of a test paper that begins then or later */
  readonly failed?: { readonly since: string; readonly liftedFrom?: string };
};

export type PaperGap = {
  /** the last valid day before it */
  readonly after: string;
  /** the first valid day behind it */
  readonly before: string;
};

/** It is at another workshop. What for is in its record alone. */
export type Away = {
  readonly recordId: string;
  readonly workshop: string;
  readonly since: string;
  /** the day on which it is expected back */
  readonly expectedDay: string;
};

/** How a machine left the fleet for good. */
export type Disposal = "sold" | "scrapped";

/** Something that a rider put right on the spot, so that it was no defect. */
export type PutRightOnce = {
  readonly itemId: string;
  readonly observationId: string;
  readonly at: string;
};

export type MachineState = {
  /** it was sold or scrapped and is on no board any more; absent as long as it is of the fleet */
  readonly disposed?: { readonly since: string; readonly how: Disposal };
  readonly withdrawn: {
    readonly since: string;
    readonly reason: string;
  } | null;
  /** at another workshop; absent where it is not */
  readonly away?: Away;
  /** a weekly inspection is due before the first ride: the machine is new here, was withdrawn, or another workshop worked on it */
  readonly firstUseDue: "new" | "returned" | "worked-on" | null;
  /** an inspection made before this moment does not count as that one; null: any does */
  readonly firstUseSince: string | null;
  /** it fell or was in a collision, and no inspection has followed; absent where it never did */
  readonly falls?: readonly OpenFall[];
  /** what riders put right on the spot in the last four weeks, in the order of time; absent where they did nothing */
  readonly putRight?: readonly PutRightOnce[];
  readonly lastInspectionAt: string | null;
  /** the papers of each kind taken together */
  readonly papers: readonly HeldPapers[];
  readonly defects: readonly OpenDefect[];
  /** closed within the policy's days for recurrence, newest first */
  readonly closed: readonly ClosedDefect[];
  readonly clearances: readonly HeldClearance[];
  /** when something last grounded it: no check made before that moment clears it */
  readonly groundedAt: string | null;
  /** when it last came to another depot: no check made before that moment clears it there */
  readonly movedAt?: string;
  readonly odometerKm: number;
  readonly odometerAt: string;
  /** since when the oil has been in: from a change (`changed`), or from the entry into the fleet while no change is on record */
  readonly oil: { readonly km: number; readonly at: string; readonly changed: boolean };
  /** by item of the weekly sheet: when what the handbook has renewed or set by distance or days was last done; absent where nothing was */
  readonly services?: Readonly<Record<string, { readonly km: number; readonly at: string }>>;
  /** its entry into the fleet, kept once an oil change has taken its place above */
  readonly entered?: { readonly km: number; readonly at: string };
  /** when the last act arrived; records of one machine never go back in time */
  readonly recordedAt: string;
  /** what is stored of it could not be read: nothing else here can be relied on */
  readonly cannotBeJudged?: true;
};

/** What a machine is when it enters the fleet. */
export function newMachineState(odometerKm: number, recordedAt: string): MachineState {
  return {
    withdrawn: null,
    firstUseDue: "new",
    firstUseSince: null,
    lastInspectionAt: null,
    papers: [],
    defects: [],
    closed: [],
    clearances: [],
    groundedAt: null,
    odometerKm,
    odometerAt: recordedAt,
    oil: { km: odometerKm, at: recordedAt, changed: false },
    recordedAt,
  };
}

/** Withdrawn from service at that instant: every clearance ends, and no check made before it clears the machine later. */
export function withdrawnFrom(state: MachineState, since: string, reason: string): MachineState {
  return { ...state, withdrawn: { since, reason }, clearances: [], groundedAt: since };
}

/** Back in service: an inspection made after that instant comes first. */
export function returnedAt(state: MachineState, at: string): MachineState {
  return { ...state, withdrawn: null, firstUseDue: "returned", firstUseSince: at, clearances: [], groundedAt: at };
}

/** Sold or scrapped at that instant: every clearance ends; its defects and papers stay as they stand. */
export const disposedOf = (state: MachineState, since: string, how: Disposal): MachineState => ({
  ...state,
  ...{ disposed: { since, how }, clearances: [], groundedAt: since },
});

/** Of the fleet again at that instant: nobody here has seen it meanwhile, so an inspection made after it comes first. */
export function reinstatedAt(state: MachineState, at: string): MachineState {
  const { disposed: _, ...kept } = state;
  return { ...kept, firstUseDue: "returned", firstUseSince: at, clearances: [], groundedAt: at };
}

/** Moved to another depot at that instant. Every clearance ends: it belongs to the depot that it was given at, and to that depot's day. */
export const movedAway = (state: MachineState, at: string): MachineState => ({ ...state, clearances: [], movedAt: at });

/** The odometer set by hand: a new meter, or the right figure. The distance since each thing was done stays as it was. */
export function withOdometer(state: MachineState, odometerKm: number, at: string): MachineState {
  const moved = <Done extends { readonly km: number }>(done: Done): Done => ({ ...done, km: done.km + odometerKm - state.odometerKm });
  const { oil, entered, services } = state;
  return {
    ...state,
    odometerKm,
    odometerAt: at,
    oil: moved(oil),
    ...(entered && { entered: moved(entered) }),
    ...(services && { services: Object.fromEntries(Object.entries(services).map(([itemId, done]) => [itemId, moved(done)])) }),
  };
}

/** The oil was changed at that instant; one that arrives late does not undo a later one. */
export function withOilChange(state: MachineState, km: number, at: string): MachineState {
  const { oil, entered = { km: oil.km, at: oil.at } } = state;
  return oil.changed && oil.at > at ? state : { ...state, entered, oil: { km, at, changed: true } };
}

/** The intervals at these items begin anew at that instant; work that arrives late does not undo a later one. */
export function withServices(state: MachineState, itemIds: readonly string[], km: number, at: string): MachineState {
  const newer = itemIds.filter((itemId) => !((state.services?.[itemId]?.at ?? "") > at));
  if (newer.length === 0) return state;
  return { ...state, services: { ...state.services, ...Object.fromEntries(newer.map((itemId) => [itemId, { km, at }])) } };
}

/** Why a weekly inspection comes before the next ride, whenever the last one was made; null: for no such reason. */
export const inspectionForcedBy = ({
  falls,
  firstUseDue,
}: Pick<MachineState, "falls" | "firstUseDue">): "fell" | NonNullable<MachineState["firstUseDue"]> | null =>
  falls !== undefined && falls.length > 0 ? "fell" : firstUseDue;

/** Whether a defect of this category grounds the machine at once. */
export const grounds = (category: Category): boolean => category === "major" || category === "dangerous";

/** Whether a defect of this category may be ridden with until a day. An advisory has none: it is looked at again in the next inspection. */
export const hasLastDay = (category: Category): boolean => category === "minor";

/** The day on which the part is expected for which a defect waits now; null where it waits for none. */
export const partExpected = ({ waiting }: Pick<OpenDefect, "waiting">): string | null =>
  waiting === undefined || waiting.over ? null : waiting.expectedDay;

/** How many open defects ground it whatever the day is; the database keeps the same count. */
export const groundingCount = (state: MachineState): number => state.defects.filter((defect) => grounds(defect.category)).length;

/** The worse of two categories (Directive 2014/45/EU Art. 7(3): several findings on one item take the worst). */
export function worse(one: Category, other: Category): Category {
  const order: readonly Category[] = ["advisory", "minor", "major", "dangerous"];
  return order.indexOf(one) >= order.indexOf(other) ? one : other;
}

/** The clocks of hosts differ by a little; a state that is further ahead than this was written by a wrong clock. */
const mostAheadMs = 5000;

export const isFromTheFuture = ({ recordedAt }: MachineState, now: Date): boolean => Date.parse(recordedAt) - now.getTime() > mostAheadMs;

/**
 * The state with every time that a clock ahead of now has put into it set to now. Nobody can know any longer what really came first, so
 * where the machine was grounded then, a check made before now clears nothing, and the next one may.
 */
export function notAfterNow(state: MachineState, now: string): MachineState {
  const until = (at: string): string => (at > now ? now : at);
  const { groundedAt, movedAt, firstUseSince, falls, putRight } = state;
  return {
    ...state,
    groundedAt: groundedAt === null ? null : until(groundedAt),
    ...(movedAt === undefined ? {} : { movedAt: until(movedAt) }),
    firstUseSince: firstUseSince === null ? null : until(firstUseSince),
    ...(falls === undefined
      ? {}
      : { falls: falls.map((fall) => ({ ...fall, happenedAt: until(fall.happenedAt), recordedAt: until(fall.recordedAt) })) }),
    ...(putRight === undefined ? {} : { putRight: putRight.map((once) => ({ ...once, at: until(once.at) })) }),
    odometerAt: until(state.odometerAt),
    oil: { ...state.oil, at: until(state.oil.at) },
    closed: state.closed.map((closed) => ({ ...closed, closedAt: until(closed.closedAt) })),
  };
}
