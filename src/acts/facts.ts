// Everything that a decision about one machine takes, read in one statement.
import type { Features, Handbook, RuleSet } from "../../shared/contracts/machine-model.ts";
import type { KeptRecord, RecordContent } from "../../shared/records/index.ts";
import type { MachineState } from "../../shared/rules/machine-state.ts";
import type { Policy, SecondPerson } from "../../shared/rules/policy.ts";
import { type DepotRules, depotRulesAt } from "../../shared/rules/standing.ts";
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
    /** null: as the firm's policy says */
    readonly secondPerson: SecondPerson | null;
    readonly clearanceOverMidnight: boolean | null;
  };
  /** the firm's; `depotRulesOf` gives it with what its depot chose for itself */
  readonly policy: Policy;
  /** the database's time when it read them */
  readonly databaseMs?: number;
  /** the entry that the submission's id stands for already */
  readonly known: EntryAsKept | null;
}

interface EntryHead {
  readonly id: string;
  readonly machineId: string | null;
  readonly staffId: string | null;
  readonly performedAt: Date;
  readonly recordedAt: Date;
}

/** An entry of one of these kinds with what it says: of several kinds a switch over `kind` tells which. */
export type KnownEntry<K extends Kind = Kind> = EntryHead & RecordContent<K>;

/** An entry that was not read yet, and whose words may have been forgotten. */
export type EntryAsKept = EntryHead & KeptRecord;

/** The zone and the policy by which days and clearances are counted. */
export const depotRulesOf = ({ depot, policy }: MachineFacts): DepotRules => depotRulesAt(depot, policy);
