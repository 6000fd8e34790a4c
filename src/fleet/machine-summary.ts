// How a machine is answered: the one mapping behind the list, the single machine and what add and amend answer.
import type { Machine } from "../../shared/contracts/fleet.ts";
import { checkVin } from "../../shared/rules/identity.ts";
import type { Policy } from "../../shared/rules/policy.ts";
import { standingAt } from "../../shared/rules/standing.ts";
import { sayReason } from "../../shared/words/say-reason.ts";
import type { MachineRow } from "./store.ts";

/** The machine with its standing at a moment and every reason for it. */
export function machineSummary(machine: MachineRow, policy: Policy, at: Date): Machine {
  const { state, timeZone, ruleSet: _, ...particulars } = machine;
  const { standing, reasons } = standingAt(state, at, { timeZone, policy });
  const check = machine.vin === null ? null : checkVin(machine.vin);
  return {
    ...particulars,
    odometerKm: state.odometerKm,
    odometerAt: state.odometerAt,
    standing,
    reasons: reasons.map((reason) => sayReason(reason)),
    lastInspectionAt: state.lastInspectionAt,
    warnings:
      check?.ok && check.warnings.length > 0
        ? [{ code: "vin-check-digit", message: "The check digit in the ninth place does not fit. Compare it with the plate on the frame." }]
        : [],
  };
}
