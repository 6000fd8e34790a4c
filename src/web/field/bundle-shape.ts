// What a phone has taken along, and a machine of it as the rules judge it. Pure.
import type { FieldKit } from "../../../shared/contracts/fleet.ts";
import type { CheckedMachine } from "../../../shared/rules/daily-check.ts";
import { type DepotRules, depotRulesAt } from "../../../shared/rules/standing.ts";

type InBundle = FieldKit["items"][number];
/** A bundle kept by an earlier version tells nothing of what was `lately`. */
export type BundleMachine = Omit<InBundle, "lately"> & { readonly lately?: InBundle["lately"] | undefined };
export type BundleModel = FieldKit["models"][number];

export interface OfflineBundle {
  readonly staffId: string;
  /** when it was fetched, by the clock of the service */
  readonly at: string;
  /** when all of it was fetched, not only what had changed; one kept by an earlier version does not say */
  readonly wholeAt?: string;
  /** of which depot; empty: of all that are theirs */
  readonly depotId?: string;
  /** how far the clock of the service is ahead of this phone's */
  readonly aheadMs: number;
  readonly policy: FieldKit["policy"];
  readonly models: readonly BundleModel[];
  readonly machines: readonly BundleMachine[];
  /** there are more, at other depots: this is not the place to look for a machine that is missing here */
  readonly cut: boolean;
}

export const depotRulesOf = ({ policy }: OfflineBundle, { timeZone, secondPerson }: BundleMachine): DepotRules =>
  depotRulesAt(timeZone, policy, secondPerson);

/** The machine as the rules judge it; null where its model is not in the bundle. */
export function checkedMachine(of: OfflineBundle, machine: BundleMachine): CheckedMachine | null {
  const model = of.models.find(({ id }) => id === machine.modelId);
  if (!model) return null;
  return {
    machineId: machine.id,
    state: machine.state,
    features: model.features,
    handbook: model.handbook,
    engineCc: model.engineCc,
    ruleSet: machine.ruleSet,
    depotRules: depotRulesOf(of, machine),
  };
}
