// The facts of the reports about defects, as facts.ts has those that every report takes.
import type { Category, Competence } from "../../shared/contracts/common.ts";
import type { PeriodFigures } from "../figures/index.ts";
import type { Jpeg } from "../pdf/index.ts";
import type { Frame, MachineIdentity, Person, ReadingTaken, RecordOnReport, SecretSetBefore, StandingNow } from "./facts.ts";

export type DefectStatus = "open" | "deferred" | "repaired" | "signed-off" | "not-found";

export type FoundBy = "daily-check" | "weekly-inspection" | "noticed" | "campaign";

export interface Sighting {
  readonly at: Date;
  readonly by: Person;
  readonly found: FoundBy;
  readonly observations: readonly string[];
  readonly note: string | null;
  /** The reading that was outside, where one was what found it. */
  readonly reading?: ReadingTaken;
}

export interface Repair {
  readonly at: Date;
  readonly by: Person;
  readonly secretSet?: SecretSetBefore;
  /** another workshop did it, and `by` wrote it down */
  readonly workshop?: string;
  readonly workDone: string;
  readonly minutes: number | null;
  readonly parts: readonly { readonly name: string; readonly quantity: number; readonly number: string | null }[];
  readonly reading: ReadingTaken | null;
}

/** Something that was decided about a defect. */
interface Decided {
  readonly at: Date;
  readonly by: Person;
  readonly secretSet?: SecretSetBefore;
}

/** One defect with its whole course. */
export interface DefectCourse {
  readonly id: string;
  readonly machine: MachineIdentity;
  readonly itemName: string;
  readonly category: Category;
  /** A key of shared/catalogue/sources.ts; null where there was only a free note. A later re-grading speaks for itself. */
  readonly categorySource: string | null;
  readonly status: DefectStatus;
  /** It keeps, or while it was open kept, the machine off the road. */
  readonly grounds: boolean;
  /** The same item on the same machine within the firm's window (28 days unless set otherwise). */
  readonly isRecurring: boolean;
  /** The first sighting is the one that raised it; when it reached the service stands beside it. */
  readonly sightings: readonly [Sighting, ...Sighting[]];
  readonly arrivedAt: Date;
  readonly odometerKm: number | null;
  /** Day by which a minor defect must be put right. */
  readonly dueDay: string | null;
  readonly regradings: readonly (Decided & { readonly from: Category; readonly to: Category; readonly reason: string })[];
  readonly deferrals: readonly (Decided & { readonly untilDay: string; readonly reason: string })[];
  readonly waits: readonly (Decided & { readonly part: string; readonly expectedDay: string; readonly reason: string })[];
  /** It waits for a part now; the part is null if its words were forgotten. */
  readonly waiting: { readonly part: string | null; readonly expectedDay: string } | null;
  readonly notes: readonly (Decided & { readonly note: string })[];
  /** Decisions and notes whose words were forgotten: only when, by whom and which is left. */
  readonly forgotten?: readonly (Decided & { readonly kind: "re-grade" | "deferral" | "waiting" | "note" })[];
  readonly repairs: readonly Repair[];
  /** First looks, where two people have to agree: they left the defect as it was. */
  readonly firstLooks: readonly {
    readonly at: Date;
    readonly by: Person;
    readonly finding: "not-found" | "minor";
    readonly reason: string;
    readonly reading: ReadingTaken | null;
    readonly secretSet?: SecretSetBefore;
  }[];
  readonly notFound: {
    readonly at: Date;
    readonly by: Person;
    readonly secretSet?: SecretSetBefore;
    readonly reason: string;
    readonly reading: ReadingTaken | null;
  } | null;
  readonly signOff: {
    readonly at: Date;
    readonly by: Person;
    readonly secretSet?: SecretSetBefore;
    readonly statement: string | null;
    readonly reading: ReadingTaken | null;
  } | null;
  /** The competence that a sign-off takes. */
  readonly competence: Competence;
  /** Whoever repaired it may not sign it off. */
  readonly needsSecondPerson: boolean;
  /** Late arrival, a clock that was off, and the like: text, ready to print. */
  readonly flags: readonly string[];
}

/** A photo of the defect. */
export interface PhotoShown {
  /** Who sent it, and when it arrived. */
  readonly by: Person;
  readonly at: Date;
  /** Hash of the photo as it is stored, in hex; a smaller copy is printed. */
  readonly sha256: string;
  /** null where its bytes are gone, altered or out of reach. */
  readonly jpeg: Jpeg | null;
}

export interface DefectReportFacts {
  readonly frame: Frame;
  /** The record that raised it, and that of its last step. */
  readonly records: readonly [RecordOnReport, ...RecordOnReport[]];
  readonly defect: DefectCourse;
  readonly standingNow: StandingNow;
  readonly photos: {
    /** The first ones, in the order in which they arrived. */
    readonly shown: readonly PhotoShown[];
    readonly count: number;
    /** Named by its records and not arrived. */
    readonly awaitedCount: number;
  };
}

export interface DefectSummaryFacts {
  readonly frame: Frame;
  readonly from: string;
  readonly to: string;
  /** Machines that may not be ridden at the moment of the report, with every reason. */
  readonly grounded: readonly {
    readonly machine: MachineIdentity;
    readonly reasons: readonly string[];
    readonly since: Date;
  }[];
  /** Found in the period. */
  readonly defects: readonly DefectCourse[];
  /** Signed off or not found in the period, whenever they were found. */
  readonly closed: readonly DefectCourse[];
  readonly figures: PeriodFigures;
}
