// What is wrong with a line of an allocation, and what about it may change by the time it is ridden. Pure.

import type { Role, Standing } from "../../shared/contracts/common.ts";
import type { LineFlag } from "../../shared/contracts/planning.ts";
import { holds } from "../../shared/rules/roles.ts";
import { isFreeFor, mayRide } from "./allocation.ts";

export interface LinePerson {
  readonly role: Role;
  readonly roles: readonly Role[];
  /** as written on the licence; null if none is on file */
  readonly licenceClass: string | null;
  readonly hasLeft: boolean;
  readonly isHere: boolean;
}

/** A machine of the depot. */
export interface LineMachine {
  readonly engineCc: number | null;
  readonly standing: Standing;
  /** who holds a clearance for it */
  readonly riddenBy: readonly string[];
}

/** Whoever makes daily checks may ride: nobody else is ever cleared. */
const ridingRoles: readonly Role[] = ["rider", "mechanic"];
const readyStandings: readonly Standing[] = ["fit", "unchecked"];

export const isReady = (standing: Standing): boolean => readyStandings.includes(standing);

/** Why this person rides nothing here; null: they may. */
export function whyNotHere(
  person: LinePerson | undefined,
): Extract<LineFlag, "unknown" | "left" | "no-rider" | "not-at-this-depot"> | null {
  if (!person) return "unknown";
  if (person.hasLeft) return "left";
  if (!holds(person, ...ridingRoles)) return "no-rider";
  return person.isHere ? null : "not-at-this-depot";
}

/** What is not as it should be with this person on this machine; `machine` undefined where it is not of the depot. */
export function lineFlags(staffId: string, person: LinePerson | undefined, machine: LineMachine | undefined): LineFlag[] {
  const flags: (LineFlag | null)[] = [whyNotHere(person)];
  if (!machine) return [...flags, "machine-not-here" as const].filter((flag) => flag !== null);
  if (person?.licenceClass === null) flags.push("licence-unknown");
  else if (person && !mayRide(person, machine)) flags.push("licence");
  if (!isFreeFor({ staffId }, machine)) flags.push("ridden");
  if (machine.standing === "withdrawn") flags.push("withdrawn");
  else if (!isReady(machine.standing)) flags.push("not-ready");
  return flags.filter((flag) => flag !== null);
}

/** Whether it may change by the time they ride: a machine is put right overnight, a licence is entered later. */
export const mayChange = (flag: LineFlag): flag is "licence-unknown" | "not-ready" => flag === "licence-unknown" || flag === "not-ready";
