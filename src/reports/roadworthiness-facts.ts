// The facts of the reports about roadworthiness, of one machine and of the fleet, as facts.ts has those that every report takes.

import type { Standing } from "../../shared/contracts/common.ts";
import type { Quantity, Unit } from "../../shared/contracts/quantities.ts";
import type { DayVerdict } from "../../shared/contracts/reports.ts";
import type { EndingReason, HeldOn } from "../../shared/rules/papers.ts";
import type { Stay } from "../defects/index.ts";
import type { PeriodFigures } from "../figures/index.ts";
import type { DefectCourse } from "./defect-facts.ts";
import type { Frame, MachineIdentity, Person, ReadingTaken, RecordOnReport, SecretSetBefore, StandingNow } from "./facts.ts";

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

/** Something that a rider put right on the spot: no defect. */
export interface PutRightOnSpot {
  readonly at: Date;
  readonly by: Person;
  readonly itemName: string;
  readonly seen: readonly string[];
  readonly note: string | null;
  /** after it; null: nothing is read there */
  readonly reading: ReadingTaken | null;
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

/** A stay at another workshop. */
export interface StayOnReport extends Stay {
  /** who took it back; null as long as it is there */
  readonly takenBy: Person | null;
}

/** A fall or collision. */
export interface FallOnReport {
  readonly at: Date;
  readonly by: Person;
  /** in the report's language; null once it was forgotten */
  readonly told: { readonly hit: string; readonly bent: readonly string[]; readonly note: string | null } | null;
  /** the first made after it; null as long as there was none */
  readonly inspection: { readonly at: Date; readonly by: Person } | null;
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
  /** in the period, or before it and not inspected when it began */
  readonly falls: readonly FallOnReport[];
  /** at other workshops on some day of the period */
  readonly stays: readonly StayOnReport[];
  /** What riders put right on the spot in the period, in the order of time. */
  readonly putRight: readonly PutRightOnSpot[];
  readonly inspections: readonly WeeklyInspection[];
  readonly wear: readonly WearSeries[];
  readonly papers: readonly Paper[];
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
