// A daily check judged: what it raises, what is odd about it, and whether this rider may ride.
import { isKnownSheet, itemsFor, SHEET_VERSION } from "../catalogue/sheet.ts";
import type { DailyCheckBody } from "../contracts/checks.ts";
import type { Features } from "../contracts/machine-model.ts";
import { type AnswerFlag, type AnswerIssue, weighAnswers } from "./answers.ts";
import { localDay } from "./calendar.ts";
import { type Clearance, clear, hold } from "./clearance.ts";
import { type FieldFlag, readFieldRecord } from "./field-record.ts";
import { type Reported, recordFinding } from "./findings.ts";
import type { JudgedMachine } from "./judge-reading.ts";
import type { MachineState } from "./machine-state.ts";
import type { Policy } from "./policy.ts";
import { type ProofVerdict, weighProof } from "./proof-reading.ts";
import { type CheckingRider, type RiderFinding, riderReasons, withoutClearanceOf } from "./rider.ts";
import { type PutRight, weighPutRight, withPutRight } from "./rider-put-right.ts";
import { findingsOf, worstVerdicts } from "./seen-and-measured.ts";
import type { DepotRules, Reason } from "./standing.ts";

export interface CheckedMachine extends JudgedMachine {
  readonly machineId: string;
  readonly state: MachineState;
  readonly depotRules: DepotRules;
  /** what about its arrival keeps a check from clearing anybody; what it found counts all the same */
  readonly against?: readonly Reason[];
}

export type CheckFlag =
  | AnswerFlag
  | FieldFlag
  | "proof-missing"
  | "proof-implausible"
  | "odometer-not-read"
  | "done-quickly"
  | "put-right-not-measured";

export type Raised = Reported & { readonly note: string | null; readonly photoIds: readonly string[] };

/** How long a check took beside how long it usually takes: a fact to look at, not a score. */
export interface Pace {
  readonly seconds: number;
  readonly usualSeconds: number;
  /** nobody walks round and looks at each item in less */
  readonly leastSeconds: number;
}

/** What the check says of the rider. */
export interface OfRider {
  /** by what they wear or by their licence; it stops this rider alone */
  readonly stopped: boolean;
  readonly findings: readonly RiderFinding[];
}

export type JudgedDailyCheck =
  | { readonly refused: readonly AnswerIssue[] }
  | {
      readonly refused: null;
      readonly performedAt: Date;
      readonly localDay: string;
      readonly state: MachineState;
      readonly clearance: Clearance;
      readonly raised: readonly Raised[];
      /** what the rider did on the spot: no defect where it is right */
      readonly putRight: readonly PutRight[];
      readonly flags: readonly CheckFlag[];
      readonly rider: OfRider;
      /** of the reading of the day; null where there is nothing to judge */
      readonly proof: ProofVerdict | null;
      readonly pace: Pace;
    };

/** A practised rider walks round in about a minute: common practice, no source. */
const USUAL_SECONDS = 60;

/** The limits are the policy's, the same that the figures about checks use. */
const paceOf = (seconds: number, items: number, policy: Policy): Pace => ({
  seconds,
  usualSeconds: USUAL_SECONDS,
  leastSeconds: Math.max(policy.tooFastSeconds, Math.round(policy.tooFastSecondsPerItem * items)),
});

/** Whether that was quicker than anybody can look. */
export const isQuick = ({ seconds, leastSeconds }: Pace): boolean => seconds < leastSeconds;

const sheetOf = (features: Features, version: string) => itemsFor(features, "daily", isKnownSheet(version) ? version : SHEET_VERSION);

/**
 * Judges a check that arrived at `recordedAt`. `newId` gives the ids of the defects that it raises.
 * A check without any defect has to be whole and its reading believable: what is missing or odd is asked for. One that reports a defect
 * takes effect whatever else is wrong. Checks on an older sheet are not asked about their reading: that sheet did not ask either.
 */
export function judgeDailyCheck(
  machine: CheckedMachine,
  body: DailyCheckBody,
  rider: CheckingRider,
  recordedAt: Date,
  newId: () => string,
): JudgedDailyCheck {
  const { depotRules } = machine;
  const sheet = sheetOf(machine.features, body.sheetVersion);
  const weighed = weighAnswers("daily", machine.features, body.sheetVersion, body.answers);
  const said = { performedAt: new Date(body.performedAt), odometerKm: body.odometerKm };
  const field = readFieldRecord(machine.state, said, recordedAt, depotRules);
  const { performedAt } = field;
  const day = localDay(performedAt, depotRules.timeZone);
  const proof = weighProof(machine, body.proof, day);
  const items = new Map(sheet.map((item) => [item.id, item]));
  const mended = weighPutRight(machine, weighed.putRight, body.answers, items);
  const verdicts = worstVerdicts([...(proof.verdict === null ? [] : [proof.verdict]), ...mended.verdicts]);
  const certain = findingsOf([...weighed.findings, ...mended.outside], verdicts, items);
  const asked = proof.issue !== null && body.sheetVersion === SHEET_VERSION ? [proof.issue] : [];
  const issues = [...weighed.issues, ...asked, ...mended.issues];
  if (certain.length === 0 && weighed.ofRider.length === 0 && issues.length > 0) return { refused: issues };
  const findings = findingsOf([...weighed.findings, ...mended.outside, ...mended.unproven], verdicts, items);

  let state: MachineState = withPutRight({ ...machine.state, ...field.odometer }, mended.done, { at: performedAt, recordedAt });
  const raised = findings.map(({ note, index, ...finding }): Raised => {
    const reported = recordFinding(state, finding, newId(), { seenAt: performedAt, recordedAt }, depotRules);
    state = reported.state;
    return { ...reported, note, photoIds: body.answers[index]?.photoIds ?? [] };
  });
  const wanting: Reason[] = weighed.unanswered.length > 0 ? [{ code: "check-incomplete" }] : [];
  wanting.push(...(machine.against ?? []));
  // A clock that is ahead does not say when the check was made: on the day of a grounding, or of a move, it may well have been before it.
  const today = localDay(recordedAt, depotRules.timeZone);
  const wasToday = (at: string | null | undefined) => typeof at === "string" && localDay(new Date(at), depotRules.timeZone) === today;
  if (field.flags.includes("clock-ahead")) {
    if (wasToday(state.groundedAt)) wanting.push({ code: "grounded-since-check" });
    else if (wasToday(state.movedAt)) wanting.push({ code: "moved-since-check" });
  }
  const ofMachine = clear(state, performedAt, recordedAt, depotRules, wanting);
  const ofRider = weighed.ofRider.map(({ itemId, observationIds, category, note }) => ({ itemId, observationIds, category, note }));
  const against = riderReasons(ofRider, rider.licenceClass, machine.engineCc);
  const clearance: Clearance =
    against.length === 0 ? ofMachine : { decision: "do-not-ride", validUntil: null, reasons: [...against, ...ofMachine.reasons] };
  if (against.length > 0) state = withoutClearanceOf(state, rider.staffId, performedAt);
  if (clearance.decision !== "do-not-ride" && clearance.validUntil !== null) {
    const held = {
      checkId: body.id,
      riderId: rider.staffId,
      decision: clearance.decision,
      performedAt: performedAt.toISOString(),
      validUntil: clearance.validUntil,
    };
    state = hold(state, held, recordedAt);
  }
  const pace = paceOf(body.durationSeconds, sheet.length, depotRules.policy);
  const flags: CheckFlag[] = [...weighed.flags, ...field.flags, ...proof.flags];
  if (body.odometerRead === false) flags.push("odometer-not-read");
  if (isQuick(pace)) flags.push("done-quickly");
  if (mended.unproven.length > 0) flags.push("put-right-not-measured");
  return {
    ...{ refused: null, performedAt, localDay: day, state, clearance, raised, putRight: mended.done, flags, pace },
    rider: { stopped: against.length > 0, findings: ofRider },
    proof: proof.verdict,
  };
}
