// What the compose functions take: plain facts, collected elsewhere. Instants are Dates, days are `YYYY-MM-DD` in the depot's zone.
// Items, observations, models and reasons arrive as text in the report's language; closed lists (contracts/) and sources as codes.
import type { Category, Competence, Standing } from "../../shared/contracts/common.ts";
import type { ComponentLife, ControlCharts, DefectRates, Honesty, MachineRisk } from "../../shared/contracts/insight.ts";
import type { Quantity, Unit } from "../../shared/contracts/quantities.ts";
import type { DayVerdict } from "../../shared/contracts/reports.ts";
import type { EndingReason, HeldOn } from "../../shared/rules/papers.ts";
import type { ReadingVerdict } from "../../shared/rules/verdict.ts";
import type { Language } from "../../shared/words/index.ts";
import type { PeriodFigures } from "../figures/index.ts";
import type { Jpeg } from "../pdf/index.ts";

/** What every report knows about itself. */
export interface Frame {
  readonly firmName: string;
  readonly depotName: string;
  /** IANA name; all times of the report are in it. */
  readonly timeZone: string;
  readonly language: Language;
  readonly printedAt: Date;
  /** The past moment that the report is about: it says what it would have said then. */
  readonly asAt?: Date;
  /** The report covers depots in several time zones: a machine's times are in the zone of its own depot. */
  readonly clocks?: "each-depot";
  /** The newest checkpoint at the moment of the report; null before the first. */
  readonly checkpoint?: CheckpointOnReport | null;
}

/** A checkpoint as it stands on a report. */
export interface CheckpointOnReport {
  readonly number: number;
  readonly takenAt: Date;
  /** how many records it covers */
  readonly records: number;
  readonly sha256: string;
}

/** A record that a report is about, with the hash that it can be compared with. */
export interface RecordOnReport {
  readonly id: string;
  /** what it is, in words */
  readonly kind: string;
  /** its place in the chain of its machine */
  readonly position: number;
  readonly recordedAt: Date;
  readonly sha256: string;
}

export interface Person {
  readonly name: string;
  readonly staffNumber: string;
}

export interface MachineIdentity {
  readonly registrationMark: string;
  readonly modelName: string;
  readonly vin: string | null;
  readonly odometerKm: number | null;
  readonly inServiceFrom: string | null;
  /** Named where the report covers several. */
  readonly depot?: { readonly name: string; readonly timeZone: string };
}

/** Within the day before the signature somebody else had set the signer's secret, or the signer had first chosen their own. */
export interface SecretSetBefore {
  readonly at: Date;
  /** null: at the founding of the firm */
  readonly by: Person | null;
  readonly chosenAt: Date | null;
}

/** A measured value as it was judged. */
export interface ReadingTaken {
  readonly at: Date;
  readonly by: Person;
  readonly verdict: ReadingVerdict;
  /** It was taken after the work: it says how the part was left, not how it was found. */
  readonly isAfterWork?: true;
}

export type DefectStatus = "open" | "deferred" | "repaired" | "signed-off" | "not-found";
export type FoundBy = "daily-check" | "weekly-inspection" | "noticed";

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
  readonly workDone: string;
  readonly minutes: number | null;
  readonly parts: readonly { readonly name: string; readonly quantity: number; readonly number: string | null }[];
  readonly reading: ReadingTaken | null;
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
  readonly regradings: readonly {
    readonly at: Date;
    readonly by: Person;
    readonly secretSet?: SecretSetBefore;
    readonly from: Category;
    readonly to: Category;
    readonly reason: string;
  }[];
  readonly deferrals: readonly {
    readonly at: Date;
    readonly by: Person;
    readonly secretSet?: SecretSetBefore;
    readonly untilDay: string;
    readonly reason: string;
  }[];
  /** Re-grades and deferrals whose words were forgotten: only when, by whom and which is left. */
  readonly forgotten?: readonly { readonly at: Date; readonly by: Person; readonly kind: "re-grade" | "deferral" }[];
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

export interface StandingNow {
  readonly standing: Standing;
  /** Every reason, ready to print. */
  readonly reasons: readonly string[];
}

/** What the records show of a day, as completeness.ts judges it. */
export interface DayJudged {
  readonly day: string;
  readonly verdict: DayVerdict;
}

export interface WeeklyInspection {
  readonly at: Date;
  /** who signed it */
  readonly by: Person;
  readonly secretSet?: SecretSetBefore;
  /** others who looked and measured */
  readonly measuredBy: readonly Person[];
  readonly odometerKm: number;
  readonly isFirstUse: boolean;
  /** defects that it found */
  readonly defectCount: number;
  /** open after it, whoever found them */
  readonly stillOpen: number;
  readonly readings: readonly ReadingTaken[];
}

/** The same reading over time: a wear reading against its limit. */
export interface WearSeries {
  readonly quantity: Quantity;
  readonly unit: Unit;
  readonly points: readonly {
    readonly at: Date;
    readonly odometerKm: number;
    readonly value: number;
    /** this reading is of a new part, not of the one before */
    readonly isRenewed?: true;
  }[];
  readonly limits: readonly { readonly value: number; readonly name: string }[];
}

export interface Paper {
  readonly kindName: string;
  readonly number: string | null;
  readonly validFrom: string;
  readonly validTo: string | null;
  /** how it was ended before that; left out: it was not */
  readonly ending?: {
    /** the first day on which it is no longer valid */
    readonly day: string;
    readonly reason: EndingReason;
    readonly note: string | null;
    readonly by: Person;
    readonly at: Date;
  };
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

export interface MachineRoadworthinessFacts {
  readonly frame: Frame;
  /** The last of its chain. */
  readonly lastRecord: RecordOnReport;
  readonly machine: MachineIdentity;
  readonly from: string;
  readonly to: string;
  readonly standingNow: StandingNow;
  readonly figures: PeriodFigures;
  /** One for each day of the period, in order. */
  readonly days: readonly DayJudged[];
  /** Open now, whenever they were found. */
  readonly openDefects: readonly DefectCourse[];
  /** Found or seen again in the period, open or closed. */
  readonly periodDefects: readonly DefectCourse[];
  /** What was done in the period, whenever its defect was found. */
  readonly work: readonly {
    readonly done: "repaired" | "signed-off" | "not-found";
    readonly at: Date;
    readonly by: Person;
    readonly said: string | null;
    readonly defect: DefectCourse;
  }[];
  readonly inspections: readonly WeeklyInspection[];
  readonly wear: readonly WearSeries[];
  readonly papers: readonly Paper[];
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

export interface FleetReviewFacts {
  readonly frame: Frame;
  /** `YYYY-MM` */
  readonly month: string;
  readonly from: string;
  /** The month's last day, or today in a month that still runs. */
  readonly to: string;
  readonly isOver: boolean;
  readonly honesty: Honesty;
  readonly rates: DefectRates;
  readonly charts: ControlCharts;
  readonly life: ComponentLife;
  readonly risk: MachineRisk;
}

export interface MachineOnDay {
  readonly machine: MachineIdentity;
  readonly standing: Standing;
  readonly reasons: readonly string[];
  /** The check that counts for the day, where one was made. */
  readonly check: {
    readonly at: Date;
    readonly by: Person;
    readonly foundDefects: boolean;
  } | null;
  /** How its papers stand at that moment, kind by kind. */
  readonly papers: readonly (HeldOn & { readonly kindName: string })[];
  /** Papers whose ending was recorded in the month before that moment. */
  readonly endings: readonly (Paper & Required<Pick<Paper, "ending">>)[];
}

export interface FleetRoadworthinessFacts {
  readonly frame: Frame;
  readonly on: string;
  /** The moment that the standings are of; null: the end of the day in each depot. */
  readonly at: Date | null;
  /** The day is over: a machine counts as fit if a check of that day cleared it, although the clearance ended with the day. */
  readonly isOver: boolean;
  readonly machines: readonly MachineOnDay[];
}
