// Everything that a decision about one machine takes, read in one statement.
import type { Features, Handbook, RuleSet } from "../../shared/contracts/machine-model.ts";
import type { MachineState } from "../../shared/rules/machine-state.ts";
import type { Policy } from "../../shared/rules/policy.ts";
import type { Place } from "../../shared/rules/standing.ts";
import type { Kind } from "../ledger/index.ts";

export interface MachineFacts {
  readonly machine: {
    readonly id: string;
    readonly registrationMark: string;
    readonly vin: string | null;
    readonly inServiceFrom: string;
    readonly depotId: string;
    readonly recordCount: number;
    /** hash of the last entry of its chain, hex */
    readonly headSha256: string | null;
  };
  readonly state: MachineState;
  readonly model: {
    readonly id: string;
    readonly name: string;
    readonly engineCc: number | null;
    readonly revision: number;
    readonly features: Features;
    readonly handbook: Handbook;
  };
  readonly depot: {
    readonly name: string;
    readonly timeZone: string;
    readonly ruleSet: RuleSet;
  };
  readonly policy: Policy;
  /** what time the database had when it read them */
  readonly databaseMs?: number;
  /** the entry that the submission's id stands for already */
  readonly known: EntryAsKept | null;
}

export interface KnownEntry {
  readonly id: string;
  readonly kind: Kind;
  readonly machineId: string | null;
  readonly staffId: string | null;
  readonly performedAt: Date;
  readonly recordedAt: Date;
  readonly data: Readonly<Record<string, unknown>>;
}

/** An entry whose words may have been forgotten. */
export type EntryAsKept = Omit<KnownEntry, "data"> & { readonly data: KnownEntry["data"] | null };

/** The zone and the policy that days and clearances are counted by. */
export const placeOf = (facts: MachineFacts): Place => ({ timeZone: facts.depot.timeZone, policy: facts.policy });
