// How defects are counted and rates computed, the same for every report, page and answer. Pure.
import type { Category } from "../../shared/contracts/common.ts";
import type { Rate } from "../../shared/contracts/insight.ts";
import { poissonRate } from "../statistics/index.ts";

/**
 * A defect found: counted once, on the day on which it was first seen, at the depot where its machine was when it was recorded, whatever
 * became of it. One that turned out to be no fault stays counted, and how many those are is given beside it: otherwise a closing would change
 * the figures of a past month, and an inspection that finds a part in order would take back what a rider rightly saw.
 */
export interface FoundDefect {
  readonly id: string;
  /** which of the periods asked for */
  readonly n: number;
  readonly depotId: string;
  readonly modelId: string;
  readonly itemId: string | null;
  readonly category: Category;
  readonly seenAt: Date;
  /** how and when it was closed; both null while it is open */
  readonly how: "sign-off" | "not-found" | null;
  readonly closedAt: Date | null;
}

export interface FoundCounts {
  readonly found: number;
  /** of these still open */
  readonly open: number;
  /** of these closed since no fault was found */
  readonly noFault: number;
}

export const countFound = (defects: readonly FoundDefect[]): FoundCounts => ({
  found: defects.length,
  open: defects.filter(({ how }) => how === null).length,
  noFault: defects.filter(({ how }) => how === "not-found").length,
});

/** A repair or a closing, on the day on which it was made, whenever the defect was found. */
export interface DoneAct {
  readonly defectId: string;
  readonly kind: "repair" | "sign-off" | "not-found";
  readonly at: Date;
  readonly seenAt: Date;
}

export interface DoneCounts {
  readonly repaired: number;
  readonly signedOff: number;
  readonly noFault: number;
}

export const countDone = (acts: readonly DoneAct[]): DoneCounts => {
  const of = (kind: DoneAct["kind"]): number => acts.filter((act) => act.kind === kind).length;
  return { repaired: of("repair"), signedOff: of("sign-off"), noFault: of("not-found") };
};

/** How long a defect was open in milliseconds, from when it was first seen to the act that closed it, or until now. */
export const clearMs = (seenAt: Date, closedAt: Date): number => Math.max(0, closedAt.getTime() - seenAt.getTime());

/**
 * The least for a rate: one machine for four weeks, the usual period of a figure. With fewer machine-days one defect more or less changes the
 * rate by over 35 in 1,000, and in the first minutes of a depot by millions. Common practice, no source.
 */
export const leastMachineDays = 28;

/** The same for a week on a chart: one machine for a whole week. Common practice, no source. */
export const leastWeekMachineDays = 7;

/** Defects in 1,000 machine-days with the exact Poisson interval; no rate for fewer machine-days than `leastMachineDays`. */
export function rateOf(defects: number, machineDays: number): Rate {
  if (machineDays < leastMachineDays) return { defects, machineDays: Math.max(0, machineDays), per1000: null, low: null, high: null };
  const { rate, low, high } = poissonRate(defects, machineDays / 1000);
  return { defects, machineDays, per1000: rate, low, high };
}
