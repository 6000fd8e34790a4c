// What waits on a phone, piece by piece.
import type { DailyCheckBody, DailyCheckReceipt } from "../../../shared/contracts/checks.ts";
import type { ReportDefectBody } from "../../../shared/contracts/defects.ts";
import type { ReportFallBody } from "../../../shared/contracts/falls.ts";

export type Decision = "ride" | "ride-with-defects" | "do-not-ride";

/** Why the service did not accept a piece; with the JSON Pointers that it named if it was not valid. */
export interface NotTaken {
  readonly code: string;
  readonly detail: string;
  readonly pointers?: readonly string[];
}

interface OfAll {
  readonly id: string;
  readonly staffId: string;
  readonly staffName: string;
  readonly madeAt: string;
  readonly registrationMark: string;
  /** why the service refused it, if it did: somebody has to see to it */
  readonly refused?: NotTaken;
  /** somebody else has reported its findings in their own name, since it could not be sent without its maker */
  readonly passedOn?: { readonly name: string; readonly at: string };
}

export interface WaitingCheck extends OfAll {
  readonly kind: "check";
  readonly body: DailyCheckBody;
  /** what this phone said of it */
  readonly decision: Decision;
  /** what the service says instead: it has the check, and the rider has to hear of this */
  readonly overruled?: DailyCheckReceipt["clearance"];
}

export type OverruledCheck = WaitingCheck & { readonly overruled: DailyCheckReceipt["clearance"] };

export interface WaitingPhoto extends OfAll {
  readonly kind: "photo";
  readonly picture: Blob;
}

export interface WaitingDefect extends OfAll {
  readonly kind: "defect";
  readonly body: ReportDefectBody;
}

/** The machine fell; the service takes it under the machine's address, not in the body. */
export interface WaitingFall extends OfAll {
  readonly kind: "fall";
  readonly body: ReportFallBody & { readonly machineId: string };
}

export type Waiting = WaitingCheck | WaitingPhoto | WaitingDefect | WaitingFall;
