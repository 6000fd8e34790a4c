// What the papers about one daily check and one weekly inspection take.
import type { DailyAnswer } from "../../../shared/contracts/checks.ts";
import type { Category, Standing } from "../../../shared/contracts/common.ts";
import type { Unit } from "../../../shared/contracts/quantities.ts";
import type { ClearanceDecision } from "../../../shared/rules/clearance.ts";
import type { Frame, MachineIdentity, Person, ReadingTaken, RecordOnReport, SecretSetBefore } from "../facts.ts";

/** An item of the sheet with its answer. */
export interface AnswerOnReport {
  /** as the sheet of that version asks it */
  readonly prompt: string;
  /** none: it is on the sheet of this machine, and nobody answered it */
  readonly result: DailyAnswer["result"] | "none";
  readonly seen: readonly string[];
  readonly note: string | null;
  readonly photoCount: number;
  /** a value that was sent with it and that no limit judged */
  readonly unjudged: { readonly value: number; readonly unit: Unit | null } | null;
  readonly actions: readonly string[];
}

/** A reading with all that was said of how it was taken. */
export interface ReadingOnReport {
  readonly reading: ReadingTaken;
  /** how it is taken; null where the paper does not say it */
  readonly method: string | null;
  readonly places: readonly number[];
  readonly celsius: number | null;
  readonly load: "solo" | "laden" | null;
  readonly readTwice: boolean;
}

export interface CameOfIt {
  readonly itemName: string;
  readonly seen: readonly string[];
  /** null for one that was closed */
  readonly category: Category | null;
  readonly what:
    | "opened"
    | "opened-repaired"
    | "seen-again"
    | "seen-again-repaired"
    | "rider"
    | "signed-off"
    | "not-found"
    | "stays"
    | "gone"
    | "worse";
  readonly dueDay: string | null;
  readonly isRecurring: boolean;
  /** an earlier defect of the same item was closed after this was seen and before it arrived */
  readonly closedBetween: boolean;
  /** the record of the defect; null for what is about the rider */
  readonly defectId: string | null;
}

export interface CorrectionOnReport {
  /** null: the record as a whole */
  readonly pointer: string | null;
  readonly was: string;
  readonly right: string;
  readonly reason: string;
  readonly by: Person;
  readonly at: Date;
}

export interface NamedPhotos {
  readonly photos: readonly { readonly sha256: string; readonly itemName: string | null; readonly by: Person; readonly at: Date }[];
  readonly awaitedCount: number;
}

/** What a check and an inspection have in common, words that are kept aside: those are null once they were forgotten. */
export interface CheckBase {
  readonly frame: Frame;
  readonly record: RecordOnReport;
  readonly machine: MachineIdentity;
  readonly performedAt: Date;
  readonly arrivedAt: Date;
  readonly by: Person;
  readonly odometerKm: number;
  /** what was odd about it, ready to print */
  readonly flags: readonly string[];
  readonly defectCount: number;
  readonly corrections: readonly CorrectionOnReport[];
  readonly photos: NamedPhotos;
}

interface ToldOnSheet {
  readonly sheet: { readonly version: string; readonly sha256: string | null };
  /** where the body was changed so that it could be taken */
  readonly asSent: { readonly sha256: string; readonly parts: readonly { readonly pointer: string; readonly was: string }[] } | null;
  readonly answers: readonly AnswerOnReport[];
  readonly readings: readonly ReadingOnReport[];
  readonly cameOfIt: readonly CameOfIt[];
  /** every reason, ready to print */
  readonly reasons: readonly string[];
}

export interface DailyCheckFacts extends CheckBase {
  readonly durationSeconds: number;
  readonly decision: ClearanceDecision;
  readonly validUntil: Date | null;
  readonly told:
    | (ToldOnSheet & {
        readonly usualSeconds: number | null;
        /** the reading of the day where no limit judged it */
        readonly unjudgedProof: { readonly value: number; readonly unit: Unit | null } | null;
      })
    | null;
}

export interface WeeklyInspectionFacts extends CheckBase {
  readonly secretSet?: SecretSetBefore;
  /** last day on which the machine may be ridden without the next, counted from this one */
  readonly nextBy: string;
  readonly told:
    | (ToldOnSheet & {
        readonly standing: Standing;
        /** others than whoever signed; `itemNames` null where one of them answered every item */
        readonly measuredBy: readonly { readonly by: Person; readonly itemNames: readonly string[] | null }[];
        readonly oilChangedAtKm: number | null;
        readonly serviced: { readonly atKm: number; readonly itemNames: readonly string[] } | null;
        readonly guidance: readonly { readonly itemName: string; readonly text: string }[];
      })
    | null;
}
