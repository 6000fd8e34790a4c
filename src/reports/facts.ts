// What the compose functions take: plain facts, collected elsewhere. Instants are Dates, days are `YYYY-MM-DD` in the depot's zone.
// Items, observations, models and reasons arrive as text in the report's language; closed lists (contracts/) and sources as codes.
import type { Standing } from "../../shared/contracts/common.ts";
import type { ReadingVerdict } from "../../shared/rules/verdict.ts";
import type { Language } from "../../shared/words/index.ts";

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

export interface StandingNow {
  readonly standing: Standing;
  /** Every reason, ready to print. */
  readonly reasons: readonly string[];
}
