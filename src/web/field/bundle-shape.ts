// The offline bundle of a phone, and a machine from it in the form that the rules judge. Pure.
import type { FieldKit } from "../../../shared/contracts/fleet.ts";
import type { CheckedMachine } from "../../../shared/rules/daily-check.ts";
import { type DepotRules, depotRulesAt } from "../../../shared/rules/standing.ts";

type InBundle = FieldKit["items"][number];
/** A bundle kept by an earlier version lacks `lately`. */
export type BundleMachine = Omit<InBundle, "lately"> & { readonly lately?: InBundle["lately"] | undefined };
export type BundleModel = FieldKit["models"][number];

export interface OfflineBundle {
  readonly staffId: string;
  /** when it was fetched, by the clock of the service */
  readonly at: string;
  /** when all of it was last fetched, not only what had changed; missing in one kept by an earlier version */
  readonly wholeAt?: string;
  /** the depot; empty: all depots of the rider */
  readonly depotId?: string;
  /** how far the clock of the service is ahead of this phone's */
  readonly aheadMs: number;
  readonly policy: FieldKit["policy"];
  readonly models: readonly BundleModel[];
  readonly machines: readonly BundleMachine[];
  /** what this rider was given to ride, from the day of `at` on; missing in one kept by an earlier version */
  readonly rides?: FieldKit["rides"];
  /** machines of other depots were left out, so a machine that is missing here may exist all the same */
  readonly cut: boolean;
}

export const depotRulesOf = ({ policy }: OfflineBundle, machine: BundleMachine): DepotRules => depotRulesAt(machine, policy);

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
