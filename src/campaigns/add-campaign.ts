import type { AddCampaignBody, CampaignWithProgress } from "../../shared/contracts/campaigns.ts";
import type { AppContext } from "../acts/index.ts";
import { type ActingPerson, afterwards } from "../platform/index.ts";
import { openJobs } from "./open-jobs.ts";
import { recordCampaign } from "./record-campaign.ts";
import { campaignWithProgress } from "./show-campaign.ts";

/**
 * Adds a campaign over models, machines or both, and opens its job on every machine of the author's depots that it covers. The same again is
 * recorded once, and opens what is not open yet. Throws `not-valid`, `other-depot`, `campaign-covers-nothing`, `id-reused`.
 */
export async function addCampaign(
  context: AppContext,
  actor: ActingPerson,
  body: AddCampaignBody,
): Promise<{ receipt: CampaignWithProgress; repeated: boolean }> {
  const repeated = await recordCampaign(context, actor, body);
  await afterwards(context, "its job is not open on every machine, which is made up for within a minute", () => openJobs(context, body.id));
  return { receipt: await campaignWithProgress(context, body.id, actor.depotIds), repeated };
}
