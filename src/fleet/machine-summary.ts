// A machine as an answer: the one mapping for the list, the single machine, and the answers to adding and amending one.
import type { Machine } from "../../shared/contracts/fleet.ts";
import { checkVin, type VinWarning } from "../../shared/rules/identity.ts";
import type { Policy } from "../../shared/rules/policy.ts";
import { aboutDefect, obstacles, standingAt, toleratedDefects } from "../../shared/rules/standing.ts";
import { word } from "../../shared/words/index.ts";
import { sayReason } from "../../shared/words/say-reason.ts";
import { type InWords, putRightOften } from "../readiness/index.ts";
import type { MachineRow } from "./store.ts";

/** The machine with its standing at a moment and every reason for it, and what that means for whoever asks. */
export function machineSummary(machine: MachineRow, policy: Policy, at: Date, staffId: string, inWords: InWords): Machine {
  const { state, timeZone, ruleSet: _, ...particulars } = machine;
  const depotRules = { timeZone, policy };
  const { standing, reasons } = standingAt(state, at, depotRules);
  const held = state.clearances.find(({ riderId, validUntil }) => riderId === staffId && new Date(validUntil) > at);
  return {
    ...particulars,
    odometerKm: state.odometerKm,
    odometerAt: state.odometerAt,
    standing,
    reasons: inWords(reasons).map((reason) => sayReason(reason)),
    putRightOften: putRightOften(state, at, timeZone),
    lastInspectionAt: state.lastInspectionAt,
    yourClearance:
      held && obstacles(state, at, depotRules).length === 0
        ? { decision: toleratedDefects(state, at, depotRules).length > 0 ? "ride-with-defects" : "ride", validUntil: held.validUntil }
        : null,
    warnings: vinWarnings(machine.vin),
  };
}

/** What a reason about one of the machine's open defects is about. */
export const openIn = ({ state }: Pick<MachineRow, "state">): ReturnType<typeof aboutDefect>[] => state.defects.map(aboutDefect);

const warningOf: Readonly<Record<VinWarning, Machine["warnings"][number]>> = {
  "made-up": { code: "vin-made-up", message: word("vin-warning.made-up") },
  "check-digit-mismatch": { code: "vin-check-digit", message: word("vin-warning.check-digit") },
};

/** What is odd about an identification number that was kept. */
export function vinWarnings(vin: string | null): Machine["warnings"] {
  const check = vin === null ? null : checkVin(vin);
  return check?.ok ? check.warnings.map((warning) => warningOf[warning]) : [];
}
