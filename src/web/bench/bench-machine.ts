// One machine with everything that its readings are judged by, and the rules as the bench asks them.
import type { FieldKit } from "../../../shared/contracts/fleet.ts";
import type { Quantity, Unit } from "../../../shared/contracts/quantities.ts";
import { type JudgedMachine, judgeReading, readingWithinLimits } from "../../../shared/rules/judge-reading.ts";
import { type DepotRules, depotRulesAt } from "../../../shared/rules/standing.ts";
import type { ValueVerdict } from "../../../shared/rules/verdict.ts";
import type { InspectedMachine } from "../../../shared/rules/weekly-inspection.ts";
import { unitsFor } from "../../../shared/units.ts";
import { call } from "../frame/call.ts";

export interface BenchMachine extends InspectedMachine {
  readonly registrationMark: string;
  readonly depotRules: DepotRules;
}

/** Throws `Problem` and `NoSignal`. */
export async function fetchBenchMachine(machineId: string, signal?: AbortSignal): Promise<BenchMachine> {
  const { items, models, policy } = await call<FieldKit>(`/v1/field-kit?machineId=${machineId}`, signal ? { signal } : {});
  const machine = items[0];
  const model = models[0];
  if (!machine || !model) throw new Error("the bundle of one machine holds it and its model");
  const { registrationMark, state, ruleSet } = machine;
  const { features, handbook, engineCc } = model;
  return {
    ...{ machineId, registrationMark, state, features, handbook, engineCc, ruleSet },
    depotRules: depotRulesAt(machine, policy),
  };
}

/** The verdict on one value; null for one that no gauge can show. */
export function verdictOn(machine: JudgedMachine, quantity: Quantity, value: number, unit: Unit): ValueVerdict | null {
  if (!unitsFor(quantity).includes(unit)) return null;
  return judgeReading({ ...machine, quantity, reading: { asFound: value, unit } }).asFound;
}

/** Whether a reading after the work lies within its limits. */
export const isWithin = (machine: JudgedMachine, quantity: Quantity, value: number, unit: Unit): boolean =>
  unitsFor(quantity).includes(unit) && readingWithinLimits({ ...machine, quantity, value, unit }).ok;
