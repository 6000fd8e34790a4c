// A daily check judged: what it raises, what is odd about it, and whether this rider may ride.
import { proofFor } from "../catalogue/sheet.ts";
import type { DailyCheckBody } from "../contracts/checks.ts";
import type { Features, Handbook } from "../contracts/machine-model.ts";
import { type AnswerFlag, type AnswerIssue, weighAnswers } from "./answers.ts";
import { localDay } from "./calendar.ts";
import { type Clearance, clear, hold } from "./clearance.ts";
import { type Reported, report } from "./course.ts";
import { type FieldFlag, readFieldRecord } from "./field-record.ts";
import type { MachineState } from "./machine-state.ts";
import type { Place, Reason } from "./standing.ts";

export interface CheckedMachine {
  readonly machineId: string;
  readonly state: MachineState;
  readonly features: Features;
  readonly handbook: Handbook;
  readonly place: Place;
  /** the sender is of another depot than the machine, and was when it was done: what they found counts, and it clears them for nothing */
  readonly ofOtherDepot?: boolean;
}

export type CheckFlag = AnswerFlag | FieldFlag | "proof-missing" | "proof-implausible";

export type Raised = Reported & { readonly note: string | null; readonly photoIds: readonly string[] };

export type JudgedDailyCheck =
  | { readonly refused: readonly AnswerIssue[] }
  | {
      readonly refused: null;
      readonly performedAt: Date;
      readonly localDay: string;
      readonly state: MachineState;
      readonly clearance: Clearance;
      readonly raised: readonly Raised[];
      readonly flags: readonly CheckFlag[];
    };

/**
 * Judges a check that arrived at `recordedAt`. `newId` gives the ids of the defects that it raises.
 * A check without any defect has to be whole: what is missing is asked for. One that reports a defect takes effect whatever else is wrong.
 */
export function judgeDailyCheck(
  machine: CheckedMachine,
  body: DailyCheckBody,
  riderId: string,
  recordedAt: Date,
  newId: () => string,
): JudgedDailyCheck {
  const { place } = machine;
  const weighed = weighAnswers("daily", machine.features, body.sheetVersion, body.answers);
  if (weighed.findings.length === 0 && weighed.issues.length > 0) return { refused: weighed.issues };

  const field = readFieldRecord(machine.state, { performedAt: new Date(body.performedAt), odometerKm: body.odometerKm }, recordedAt, place);
  const { performedAt } = field;
  let state: MachineState = { ...machine.state, ...field.odometer };
  const raised = weighed.findings.map(({ note, index, ...finding }): Raised => {
    const reported = report(state, finding, newId(), { seenAt: performedAt, recordedAt }, place);
    state = reported.state;
    return { ...reported, note, photoIds: body.answers[index]?.photoIds ?? [] };
  });
  const wanting: Reason[] = weighed.unanswered.length > 0 ? [{ code: "check-incomplete" }] : [];
  if (machine.ofOtherDepot === true) wanting.push({ code: "other-depot" });
  // A clock that is ahead does not say when the check was made: on the day of a grounding, or of a move, it may well have been before it.
  const today = localDay(recordedAt, place.timeZone);
  const wasToday = (at: string | null | undefined) => typeof at === "string" && localDay(new Date(at), place.timeZone) === today;
  if (field.flags.includes("clock-ahead")) {
    if (wasToday(state.groundedAt)) wanting.push({ code: "grounded-since-check" });
    else if (wasToday(state.movedAt)) wanting.push({ code: "moved-since-check" });
  }
  const clearance = clear(state, performedAt, recordedAt, place, wanting);
  if (clearance.decision !== "do-not-ride" && clearance.validUntil !== null) {
    const held = {
      checkId: body.id,
      riderId,
      decision: clearance.decision,
      performedAt: performedAt.toISOString(),
      validUntil: clearance.validUntil,
    };
    state = hold(state, held, recordedAt);
  }
  const day = localDay(performedAt, place.timeZone);
  return {
    refused: null,
    performedAt,
    localDay: day,
    state,
    clearance,
    raised,
    flags: [...weighed.flags, ...field.flags, ...proofFlags(machine, body, day)],
  };
}

function proofFlags({ machineId, features, handbook }: CheckedMachine, { proof }: DailyCheckBody, day: string): CheckFlag[] {
  const asked = proofFor({ machineId, day, features, handbook });
  if (asked === null) return [];
  if (proof === undefined) return ["proof-missing"];
  const unitDiffers = proof.unit !== undefined && proof.unit !== asked.unit;
  return unitDiffers || proof.value < asked.min || proof.value > asked.max ? ["proof-implausible"] : [];
}
