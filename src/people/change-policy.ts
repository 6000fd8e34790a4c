import type { Policy } from "../../shared/rules/policy.ts";
import { appendToFirm, recording } from "../ledger/index.ts";
import type { Actor, House } from "../platform/index.ts";
import { holdPolicy, updatePolicy } from "./store.ts";

/** Puts the firm's policy in place of the one before, and both into the record. */
export async function changePolicy(house: House, actor: Actor, policy: Policy): Promise<Policy> {
  return recording(house, async (tx) => {
    const before = await holdPolicy(tx);
    const fields = Object.keys(policy) as (keyof Policy)[];
    const changed = fields.filter((field) => JSON.stringify(before[field]) !== JSON.stringify(policy[field]));
    if (changed.length === 0) return policy;
    const now = house.clock.now();
    await updatePolicy(tx, policy);
    await appendToFirm(house, tx, { staffId: actor.staffId, depotId: null, recordedAt: now }, [
      { id: house.newId(), kind: "policy-changed", performedAt: now, data: { before, after: policy, changed } },
    ]);
    return policy;
  });
}
