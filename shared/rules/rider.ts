// What stops the rider and not the machine: what they wear, and the class on their licence.
import type { Category } from "../contracts/common.ts";
import { classNeeded, covers, readLicenceClass } from "./licence.ts";
import { grounds, type MachineState } from "./machine-state.ts";
import type { Reason } from "./standing.ts";

/** Who makes a check; no class on file is no obstacle. */
export interface CheckingRider {
  readonly staffId: string;
  readonly licenceClass: string | null;
}

/** What a rider's check says of the rider. */
export interface RiderFinding {
  readonly itemId: string;
  readonly observationIds: readonly string[];
  readonly category: Category;
  readonly note: string | null;
}

/**
 * Why this person may not ride a machine with that engine, where the class on file does not cover it. A class that cannot be compared
 * counts as none on file.
 */
export function licenceReason(licenceClass: string | null, engineCc: number | null): Reason | null {
  const held = licenceClass === null ? null : readLicenceClass(licenceClass);
  const needed = classNeeded(engineCc);
  return held === null || covers(held, needed) ? null : { code: "licence-class", held, needed };
}

/** Everything that stops this rider and nobody else. */
export function riderReasons(findings: readonly RiderFinding[], licenceClass: string | null, engineCc: number | null): Reason[] {
  const licence = licenceReason(licenceClass, engineCc);
  const unequipped = findings
    .filter(({ category }) => grounds(category))
    .map(({ itemId, observationIds }): Reason => ({ code: "rider-not-equipped", itemId, observationIds }));
  return [...(licence ? [licence] : []), ...unequipped];
}

/** The state without the clearances from this rider's checks up to then; one from a later check stays, as does everybody else's. */
export const withoutClearanceOf = (state: MachineState, riderId: string, performedAt: Date): MachineState => ({
  ...state,
  clearances: state.clearances.filter((held) => held.riderId !== riderId || held.performedAt > performedAt.toISOString()),
});
