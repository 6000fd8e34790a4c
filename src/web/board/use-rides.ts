// Who rides what on a depot's day: what is kept, the plan that is being made, and how one becomes the other.
import { useEffect, useState } from "preact/hooks";
import type { Depot } from "../../../shared/contracts/fleet.ts";
import type { Allocation, AllocationBody } from "../../../shared/contracts/planning.ts";
import { call, Problem } from "../frame/call.ts";
import { type Loaded, useLoaded } from "../frame/parts.tsx";
import { keep, linesOf, type Plan, planOf, type Read, readKept, refusedIn } from "./kept.ts";

/** A plan that is not kept yet. */
export interface Draft {
  readonly plan: Plan;
  /** the proposal that it began with; null where it began with what is kept */
  readonly proposed: Allocation | null;
  /** of what was kept when it was begun, or when its maker was told of another */
  readonly tag: string;
  readonly refused: ReadonlySet<string>;
}

export interface Rides {
  readonly kept: Loaded<Read>;
  readonly draft: Draft | null;
  readonly busy: boolean;
  readonly error: unknown;
  readonly drop: () => void;
  /** a new plan: the service gives these riders machines */
  readonly allot: (riders: AllocationBody["riders"]) => Promise<void>;
  /** what is kept, to be changed; riders beside it begin without a machine */
  readonly change: (riderIds: readonly string[]) => void;
  readonly setPlan: (plan: Plan) => void;
  readonly keepDraft: () => Promise<void>;
}

/** `news` changes when something happened at the depot. */
export function useRides(depot: Depot, day: string, news: unknown): Rides {
  const kept = useLoaded((signal) => readKept(depot.id, day, signal), [depot.id, day]);
  const [draft, setDraft] = useState<Draft | null>(null);
  const [busy, setBusy] = useState(false);
  const [error, setError] = useState<unknown>(null);
  useEffect(kept.reload, [news]);
  const drop = () => {
    setDraft(null);
    setError(null);
  };
  useEffect(drop, [depot.id, day]);
  const doing = async (work: () => Promise<void>) => {
    setBusy(true);
    setError(null);
    await work().catch(setError);
    setBusy(false);
  };
  const begin = (plan: Plan, proposed: Allocation | null) => setDraft({ plan, proposed, tag: kept.value?.tag ?? "", refused: new Set() });
  const keepDraft = async () => {
    if (!draft) return;
    try {
      await keep(depot.id, day, { allocations: linesOf(draft.plan) }, draft.tag);
      setDraft(null);
    } catch (trouble) {
      if (trouble instanceof Problem && trouble.code === "changed-meanwhile") {
        // Their maker is told, sees above who kept what, and may still keep this one.
        const { tag } = await readKept(depot.id, day, new AbortController().signal);
        setDraft({ ...draft, tag });
      } else if (trouble instanceof Problem) {
        setDraft({
          ...draft,
          refused: refusedIn(
            draft.plan,
            trouble.issues.map(({ pointer }) => pointer),
          ),
        });
      }
      throw trouble;
    } finally {
      kept.reload();
    }
  };
  return {
    ...{ kept, draft, busy, error, drop },
    allot: (riders) =>
      doing(async () => {
        const body: AllocationBody = { depotId: depot.id, day, riders };
        const proposed = await call<Allocation>("/v1/readiness/allocation", { method: "POST", body });
        begin(
          planOf(
            riders.map(({ staffId }) => staffId),
            proposed.allocations,
          ),
          proposed,
        );
      }),
    change: (riderIds) => {
      setError(null);
      begin(planOf(riderIds, kept.value?.allocation.allocations ?? []), null);
    },
    setPlan: (plan) => draft && setDraft({ ...draft, plan, refused: new Set() }),
    keepDraft: () => doing(keepDraft),
  };
}
