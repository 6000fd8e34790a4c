import type { Policy } from "../../shared/rules/policy.ts";
import { appendToFirm, recording } from "../ledger/index.ts";
import { type Actor, mustMatch } from "../platform/index.ts";
import type { PeopleContext } from "./context.ts";
import { holdPolicy, updatePolicy } from "./store.ts";

/** Replaces the firm's policy by what `choose` makes of it, and records both. Throws `changed-meanwhile`. */
export async function changePolicy(
  context: PeopleContext,
  actor: Actor,
  choose: (before: Policy) => Policy,
  ifMatch?: string,
): Promise<Policy> {
  return recording(context, async (tx) => {
    const before = await holdPolicy(context.db.rowsIn(tx));
    mustMatch(ifMatch, before);
    const policy = choose(before);
    const fields = Object.keys(policy) as (keyof Policy)[];
    const changed = fields.filter((field) => JSON.stringify(before[field]) !== JSON.stringify(policy[field]));
    if (changed.length === 0) return policy;
    const now = context.clock.now();
    await updatePolicy(tx, policy);
    await appendToFirm(context, tx, { staffId: actor.staffId, depotId: null, recordedAt: now }, [
      { id: context.newId(), kind: "policy-changed", performedAt: now, data: { before, after: policy, changed } },
    ]);
    return policy;
  });
}
