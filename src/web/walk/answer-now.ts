// What an answer is worth at this moment: combines the answer given with what this phone knows now. Pure: the page and the tests call it.
import type { Clearance } from "../../../shared/rules/clearance.ts";
import type { MachineState } from "../../../shared/rules/machine-state.ts";
import { type DepotRules, obstacles, toleratedDefects } from "../../../shared/rules/standing.ts";
import type { WhyNot } from "../frame/say-why.ts";

export interface Said {
  readonly checkId: string;
  readonly riderId: string;
  readonly performedAt: string;
  readonly clearance: Pick<Clearance, "decision" | "validUntil"> & { readonly reasons: readonly WhyNot[] };
}

export interface AnswerNow {
  readonly decision: Clearance["decision"] | "run-out";
  readonly validUntil: string | null;
  readonly reasons: readonly WhyNot[];
  /** a clearance that was given and has ended since; `groundedAt`: when, if a grounding after the check ended it */
  readonly ended: { readonly groundedAt: string | null } | null;
}

/** A clearance is valid as long as it is in the machine's state, its time is not over and nothing grounds the machine. */
export function answerNow(
  { checkId, riderId, performedAt, clearance }: Said,
  state: MachineState,
  now: Date,
  depotRules: DepotRules,
): AnswerNow {
  const { decision, validUntil, reasons } = clearance;
  if (validUntil !== null && new Date(validUntil) <= now) return { decision: "run-out", validUntil, reasons: [], ended: null };
  const against = obstacles(state, now, depotRules);
  const tolerated = toleratedDefects(state, now, depotRules);
  const held = state.clearances.find((one) => one.riderId === riderId && (one.checkId === checkId || one.performedAt > performedAt));
  if (held && against.length === 0 && new Date(held.validUntil) > now) {
    return {
      decision: tolerated.length > 0 ? "ride-with-defects" : "ride",
      validUntil: held.validUntil,
      reasons: tolerated,
      ended: null,
    };
  }
  const gave = decision !== "do-not-ride";
  const since = gave && state.groundedAt !== null && state.groundedAt >= performedAt ? state.groundedAt : null;
  return {
    decision: "do-not-ride",
    validUntil: null,
    reasons: !gave && against.length === 0 ? reasons : [...against, ...tolerated, ...(gave ? [] : ownReasons(reasons, against))],
    ended: gave ? { groundedAt: since } : null,
  };
}

/** Reasons that the check's own answer gave about the machine: they are left out, since the machine's present reasons are shown. */
const ofTheMachine = new Set([
  ...["sold", "scrapped", "withdrawn", "grounding-defect", "minor-defect-overdue", "papers-expired", "inspection-overdue"],
  ...["first-use-inspection", "return-inspection", "fall-inspection", "minor-defect"],
  ...["away", "away-late", "outside-inspection"],
]);
const ownReasons = (reasons: readonly WhyNot[], against: readonly WhyNot[]): readonly WhyNot[] =>
  reasons.filter(({ code }) => !ofTheMachine.has(code) && !against.some((one) => one.code === code));
