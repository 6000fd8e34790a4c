import type { CampaignJob, CampaignWithProgress } from "../../../shared/contracts/campaigns.ts";
import type { Frame, MachineIdentity, Person } from "../facts.ts";

/** What the report of a campaign takes. */
export interface CampaignReportFacts extends Pick<CampaignWithProgress, "name" | "job" | "grounds" | "dueDay" | "totals"> {
  readonly frame: Frame;
  /** its models by name and its single machines by mark */
  readonly covers: readonly string[];
  /** the depots to which it is confined, by name; null: all */
  readonly depots: readonly string[] | null;
  readonly added: { readonly at: Date; readonly by: Person };
  readonly ended: { readonly at: Date; readonly by: Person; readonly reason: string } | null;
  readonly jobs: readonly (Pick<CampaignJob, "state" | "expectedDay" | "doneDay" | "doneBy" | "late" | "grounded"> & {
    readonly machine: MachineIdentity;
  })[];
}
