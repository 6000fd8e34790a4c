// What is asked about a figure while the rider still stands at the gauge or the meter. Pure, and by the rules that the service judges by.
import type { Quantity, Unit } from "../../../shared/contracts/quantities.ts";
import type { CheckedMachine } from "../../../shared/rules/daily-check.ts";
import { readFieldRecord } from "../../../shared/rules/field-record.ts";
import { looksLikeOtherUnit, plausibleWindow, possibleWindow, type Window } from "../../../shared/units.ts";

/** `unit`: it would fit another gauge; `odd`: it is unlikely; `impossible`: no gauge shows that; `less` and `more`: the odometer showed more or less before. */
export type Doubt =
  | { readonly about: "unit"; readonly value: number; readonly unit: Unit; readonly other: Unit }
  | ({ readonly about: "odd" | "impossible"; readonly value: number; readonly unit: Unit } & Window)
  | { readonly about: "less" | "more"; readonly km: number; readonly byKm: number; readonly since: string };

const outside = (value: number, { min, max }: Window): boolean => value < min || value > max;

/** What is odd about the reading of the day; null where nothing is. The odometer is compared with what it showed before. */
export function doubtOfReading(quantity: Quantity, value: number, unit: Unit): Doubt | null {
  const possible = possibleWindow(quantity, unit);
  if (quantity === "odometer") return outside(value, possible) ? { about: "impossible", value, unit, ...possible } : null;
  const other = looksLikeOtherUnit(quantity, value, unit);
  if (other !== null) return { about: "unit", value, unit, other };
  if (outside(value, possible)) return { about: "impossible", value, unit, ...possible };
  const usual = plausibleWindow(quantity, unit);
  return outside(value, usual) ? { about: "odd", value, unit, ...usual } : null;
}

/** Whether the odometer went back, or further than the firm thinks possible since it was last read. */
export function doubtOfOdometer({ state, depotRules }: CheckedMachine, km: number, now: Date): Doubt | null {
  const { flags } = readFieldRecord(state, { performedAt: now, odometerKm: km }, now, depotRules);
  const byKm = Math.abs(km - state.odometerKm);
  if (flags.includes("odometer-backwards")) return { about: "less", km, byKm, since: state.odometerAt };
  return flags.includes("odometer-jump") ? { about: "more", km, byKm, since: state.odometerAt } : null;
}
