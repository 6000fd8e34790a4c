// A machine fell or was in a collision. It is grounded from the moment at which that is known until a weekly inspection that was made after
// the fall. Pure: a machine's state in, the state after out.
import { clockFlags, type FieldFlag, isBefore, notAfter, readFieldRecord } from "./field-record.ts";
import { groundedNow } from "./findings.ts";
import type { MachineState, OpenFall } from "./machine-state.ts";
import type { DepotRules } from "./standing.ts";

export interface FallTaken {
  readonly state: MachineState;
  /** when it counts as happened: what was said, or the arrival for a clock that is ahead */
  readonly happenedAt: Date;
  readonly flags: readonly FieldFlag[];
  /** the last inspection on record was made after the fall and before anybody here knew of it; null where it was not */
  readonly inspectedBetween: string | null;
}

/**
 * Takes a fall into the state under the id of its record. Every clearance ends. An inspection that was on record before the report does
 * not count, though it was made after the fall: nobody told the mechanic what to look for. It is told beside it, as a sign-off is beside a defect
 * that arrives late.
 */
export function takeFall(
  state: MachineState,
  recordId: string,
  said: { readonly happenedAt: Date; readonly odometerKm?: number | undefined },
  recordedAt: Date,
  depotRules: DepotRules,
): FallTaken {
  const { happenedAt: at, odometerKm } = said;
  const { performedAt, odometer, flags } =
    odometerKm === undefined
      ? { performedAt: notAfter(at, recordedAt), odometer: {}, flags: clockFlags(at, recordedAt, depotRules) }
      : readFieldRecord(state, { performedAt: at, odometerKm }, recordedAt, depotRules);
  const { lastInspectionAt } = state;
  return {
    state: fallen({ ...state, ...odometer }, { recordId, happenedAt: performedAt.toISOString() }, recordedAt),
    happenedAt: performedAt,
    flags,
    inspectedBetween:
      lastInspectionAt === null || isBefore(new Date(lastInspectionAt), performedAt.toISOString()) ? null : lastInspectionAt,
  };
}

/** The state with a fall that no inspection has followed yet. */
export const fallen = (state: MachineState, fall: Pick<OpenFall, "recordId" | "happenedAt">, recordedAt: Date): MachineState =>
  groundedNow({ ...state, falls: [...(state.falls ?? []), { ...fall, recordedAt: recordedAt.toISOString() }] }, recordedAt);
