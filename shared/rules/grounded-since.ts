// Since when a machine stands still: from what stands against it now, so that a defect which is closed again says nothing.
import type { Category } from "../contracts/common.ts";
import { endOfDay, localDay, startOfDay } from "./calendar.ts";
import { grounds, type MachineState } from "./machine-state.ts";
import type { Reason } from "./standing.ts";

/** How grave a defect is from a moment on. */
export interface Weight {
  readonly at: Date;
  readonly category: Category;
}

/**
 * Since when an open defect keeps its machine off the road: since its category grounds without a break, or from the end of a minor one's last
 * day (in the depot's zone). `weights`: oldest first. Null: it does not.
 */
export function groundsSince(weights: readonly Weight[], dueDay: string | null, timeZone: string, now: Date): Date | null {
  const lastMinor = weights.findLastIndex(({ category }) => !grounds(category));
  const grave = weights[lastMinor + 1];
  if (grave) return grave.at;
  return dueDay !== null && dueDay < localDay(now, timeZone) ? endOfDay(dueDay, timeZone) : null;
}

/**
 * Since when a machine is withdrawn or, by the first of `reasons` that grounds it, grounded; null where it is neither. `weightsOf`: the
 * weights of an open defect, oldest first.
 */
export function groundedSince(
  { disposed, withdrawn, away, groundedAt, falls = [] }: Pick<MachineState, "disposed" | "withdrawn" | "away" | "groundedAt" | "falls">,
  reasons: readonly Reason[],
  weightsOf: (defectId: string) => readonly Weight[],
  { at, timeZone }: { readonly at: Date; readonly timeZone: string },
): Date | null {
  // That it was withdrawn is what its standing says, whatever else is wrong with it.
  if (disposed) return new Date(disposed.since);
  if (withdrawn) return new Date(withdrawn.since);
  const byAct = groundedAt === null ? null : new Date(groundedAt);
  const moments = reasons.map(({ code, defectId, fallId, day }): Date | null => {
    switch (code) {
      case "grounding-defect":
      case "minor-defect-overdue":
        // A forgotten entry says no weight any more.
        return groundsSince(weightsOf(defectId ?? ""), day ?? null, timeZone, at) ?? byAct;
      case "fall-inspection": {
        const fall = falls.find(({ recordId }) => recordId === fallId);
        return fall ? new Date(fall.recordedAt) : byAct;
      }
      case "away":
      case "away-late":
        return away ? new Date(away.since) : byAct;
      case "test-failed":
        // The day is all that a test paper says; where it was told on that very day, the moment is known.
        if (day === undefined) return byAct;
        return byAct && localDay(byAct, timeZone) === day ? byAct : startOfDay(day, timeZone);
      case "cannot-be-judged":
        return byAct;
      default:
        return null;
    }
  });
  return moments.reduce((first, moment) => (moment !== null && (first === null || moment < first) ? moment : first), null);
}
