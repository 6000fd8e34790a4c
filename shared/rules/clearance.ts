// The answer that a rider gets to a check, and how long it holds.
import { endOfDay, localDay } from "./calendar.ts";
import { isBefore } from "./field-record.ts";
import type { HeldClearance, MachineState } from "./machine-state.ts";
import { type DepotRules, obstacles, type Reason, toleratedDefects } from "./standing.ts";

export type ClearanceDecision = "ride" | "ride-with-defects" | "do-not-ride";

export interface Clearance {
  readonly decision: ClearanceDecision;
  /** null unless it may be ridden */
  readonly validUntil: string | null;
  readonly reasons: readonly Reason[];
}

/**
 * A clearance holds until the end of the depot's day or the policy's hours after the check, whichever is first. Where the policy lets it run
 * over midnight, it ends there all the same if by what is known now something stands against the machine on the new day: a minor defect, a
 * paper or an inspection whose last day is over.
 */
export function validUntil(state: MachineState, performedAt: Date, depotRules: DepotRules): Date {
  const { timeZone, policy } = depotRules;
  const dayEnds = endOfDay(localDay(performedAt, timeZone), timeZone);
  const hoursEnd = new Date(performedAt.getTime() + policy.clearanceHours * 3_600_000);
  if (hoursEnd <= dayEnds) return hoursEnd;
  return policy.clearanceOverMidnight && obstacles(state, dayEnds, depotRules).length === 0 ? hoursEnd : dayEnds;
}

/**
 * Judges a check that was made at `performedAt` and is decided at `now`, on the state after its own defects were raised.
 * `checkReasons` are what stands against the check itself (it is incomplete). A check made before the last grounding clears nothing, and
 * neither does one made before the machine came to its depot.
 */
export function clear(
  state: MachineState,
  performedAt: Date,
  now: Date,
  depotRules: DepotRules,
  checkReasons: readonly Reason[] = [],
): Clearance {
  const against = [...obstacles(state, now, depotRules), ...checkReasons];
  if (isBefore(performedAt, state.groundedAt) && against.length === 0) {
    against.push({ code: "grounded-since-check" });
  }
  if (isBefore(performedAt, state.movedAt ?? null) && against.length === 0) against.push({ code: "moved-since-check" });
  const until = validUntil(state, performedAt, depotRules);
  const tolerated = toleratedDefects(state, now, depotRules);
  if (against.length === 0 && until <= now) against.push({ code: "check-too-old" });
  if (against.length > 0)
    return {
      decision: "do-not-ride",
      validUntil: null,
      reasons: [...against, ...tolerated],
    };
  return {
    decision: tolerated.length > 0 ? "ride-with-defects" : "ride",
    validUntil: until.toISOString(),
    reasons: tolerated,
  };
}

/**
 * Adds a clearance to those held and drops those that have run out. Of a rider's checks the one made last counts, whichever arrives last.
 */
export function hold(state: MachineState, clearance: HeldClearance, now: Date): MachineState {
  const running = state.clearances.filter((held) => held.validUntil > now.toISOString());
  const newer = running.some((held) => held.riderId === clearance.riderId && held.performedAt > clearance.performedAt);
  if (newer) return { ...state, clearances: running };
  return { ...state, clearances: [...running.filter((held) => held.riderId !== clearance.riderId), clearance] };
}
