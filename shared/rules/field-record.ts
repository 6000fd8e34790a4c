// What is odd about a record from the field though it is kept: its clock, its odometer, how late it came.
import { daysBetween, localDay } from "./calendar.ts";
import type { MachineState } from "./machine-state.ts";
import type { DepotRules } from "./standing.ts";

export type FieldFlag = "clock-ahead" | "arrived-late" | "odometer-backwards" | "odometer-jump";

export interface FieldRecord {
  /** when it counts as done: what was said, or the arrival for a clock that is ahead */
  readonly performedAt: Date;
  readonly odometer: Pick<MachineState, "odometerKm" | "odometerAt">;
  readonly flags: readonly FieldFlag[];
}

/** When an act counts as done: what was said, but never after it arrived. */
export const notAfter = (said: Date, recordedAt: Date): Date => (said > recordedAt ? recordedAt : said);

/**
 * Whether an act was certainly made before an instant. Many clocks and clients give whole seconds only, so the same second is not before.
 */
export const isBefore = (performedAt: Date, instant: string | null): boolean =>
  instant !== null && wholeSecond(performedAt) < wholeSecond(new Date(instant));

const wholeSecond = (instant: Date): number => Math.floor(instant.getTime() / 1000);

/** What is odd about when an act is said to have been done: after it arrived, or long before. */
export function clockFlags(said: Date, recordedAt: Date, { policy }: DepotRules): ("clock-ahead" | "arrived-late")[] {
  const aheadMinutes = (said.getTime() - recordedAt.getTime()) / 60_000;
  if (aheadMinutes > policy.clockAheadMinutes) return ["clock-ahead"];
  return -aheadMinutes > policy.lateAfterMinutes ? ["arrived-late"] : [];
}

/** Judges the clock and the odometer of a record. The odometer moves only forward in time and distance; what does not fit is flagged. */
export function readFieldRecord(
  state: MachineState,
  said: { readonly performedAt: Date; readonly odometerKm: number },
  recordedAt: Date,
  depotRules: DepotRules,
): FieldRecord {
  const flags: FieldFlag[] = clockFlags(said.performedAt, recordedAt, depotRules);
  const performedAt = notAfter(said.performedAt, recordedAt);

  const newer = performedAt.toISOString() >= state.odometerAt;
  const ridden = said.odometerKm - state.odometerKm;
  const days =
    1 + Math.max(0, daysBetween(localDay(new Date(state.odometerAt), depotRules.timeZone), localDay(performedAt, depotRules.timeZone)));
  const jumped = newer && ridden > days * depotRules.policy.plausibleKmPerDay;
  if (newer && ridden < 0) flags.push("odometer-backwards");
  if (jumped) flags.push("odometer-jump");
  const taken = newer && ridden >= 0 && !jumped;
  return {
    performedAt,
    odometer: taken
      ? { odometerKm: said.odometerKm, odometerAt: performedAt.toISOString() }
      : { odometerKm: state.odometerKm, odometerAt: state.odometerAt },
    flags,
  };
}
