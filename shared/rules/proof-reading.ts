// The one real reading of a daily check, judged as any reading is: outside its limits it is a finding at its item.
import { type Proof, proofFor } from "../catalogue/proof.ts";
import type { DailyCheckBody } from "../contracts/checks.ts";
import type { Quantity, Unit } from "../contracts/quantities.ts";
import { looksLikeOtherUnit, unitsFor } from "../units.ts";
import type { AnswerIssue } from "./answers.ts";
import { doubtful } from "./doubtful.ts";
import { isReadOnWalk, judgeOnWalk, resultOf } from "./judge-on-walk.ts";
import type { JudgedMachine } from "./judge-reading.ts";
import type { ReadingVerdict } from "./verdict.ts";

export type ProofVerdict = ReadingVerdict & { readonly itemId: string };

export interface WeighedProof {
  readonly asked: Proof;
  readonly flags: readonly ("proof-missing" | "proof-implausible")[];
  /** what to ask while the gauge is still in hand; null where nothing is odd */
  readonly issue: AnswerIssue | null;
  /** null where there is no reading, none that can be believed, or nothing to judge it by */
  readonly verdict: ProofVerdict | null;
}

/**
 * What is asked again about a reading: a unit that was almost certainly mixed up, and what no gauge can show. A value that is only unusual
 * is taken and judged: a tyre at half its pressure grounds at once and is not asked about first.
 */
function mixedUp(quantity: Quantity, value: number, unit: Unit, readTwice: boolean): string | null {
  const isOtherUnit = !readTwice && quantity !== "odometer" && looksLikeOtherUnit(quantity, value, unit) !== null;
  return doubtful(quantity, value, unit, !isOtherUnit);
}

/** What is odd about a reading of a rider; null where nothing is. Without a unit it counts as read in the usual one. */
export function oddOnWalk(
  { quantity, unit: usual }: Proof,
  { value, unit = usual, readTwice }: NonNullable<DailyCheckBody["proof"]>,
): string | null {
  return unitsFor(quantity).includes(unit)
    ? mixedUp(quantity, value, unit, readTwice === true)
    : `this is read in ${unitsFor(quantity).join(" or ")}`;
}

/**
 * Weighs the reading that this machine is asked for on that day. Without a unit, as older phones send it, it counts as read in the unit
 * that was asked for.
 */
export function weighProof(
  machine: JudgedMachine & { readonly machineId: string },
  proof: DailyCheckBody["proof"],
  day: string,
): WeighedProof {
  const { machineId, features, handbook } = machine;
  const asked = proofFor({ machineId, day, features, handbook });
  if (proof === undefined) return { asked, flags: ["proof-missing"], issue: null, verdict: null };
  const { quantity, itemId } = asked;
  const { value, unit = asked.unit, load } = proof;
  const odd = oddOnWalk(asked, proof);
  if (odd !== null) return { asked, flags: ["proof-implausible"], issue: { index: null, field: "proof", message: odd }, verdict: null };
  if (itemId === null || !isReadOnWalk(quantity)) return { asked, flags: [], issue: null, verdict: null };
  const asFound = judgeOnWalk(quantity, value, unit, { ...machine, load });
  const verdict: ProofVerdict = {
    ...{ itemId, quantity, reading: { asFound: value, unit }, asFound, asLeft: null },
    ...resultOf(quantity, asFound, asFound),
  };
  return { asked, flags: [], issue: null, verdict };
}
