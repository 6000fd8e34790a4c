import type { CampaignWithProgress, EndCampaignBody } from "../../shared/contracts/campaigns.ts";
import { type AppContext, recordOnce, wasRecorded } from "../acts/index.ts";
import { appendToFirm, recording } from "../ledger/index.ts";
import { type ActingPerson, mustSeeDepot, platformErrors } from "../platform/index.ts";
import { holdCampaign, markEnded, readCampaign, readPlace } from "./campaign-store.ts";
import { campaignErrors } from "./errors.ts";
import { campaignWithProgress } from "./show-campaign.ts";

/**
 * Ends a campaign: it covers no further machine. What is open on machines stays, since a manager does not say that a machine is safe. It takes
 * somebody who sees every depot that it is over. Throws `other-depot`, `campaign-ended`, `id-reused`.
 */
export async function endCampaign(
  context: AppContext,
  actor: ActingPerson,
  campaignId: string,
  body: EndCampaignBody,
): Promise<{ receipt: CampaignWithProgress; repeated: boolean }> {
  const repeated = await recordOnce(() => end(context, actor, campaignId, body));
  return { receipt: await campaignWithProgress(context, campaignId, actor.depotIds), repeated };
}

async function end(context: AppContext, actor: ActingPerson, campaignId: string, body: EndCampaignBody): Promise<boolean> {
  const place = await readPlace(context.db, campaignId);
  return recording(context, async (tx) => {
    const ask = context.db.rowsIn(tx);
    const { name, hasEnded } = await holdCampaign(ask, campaignId);
    const sent = { id: body.id, kind: "campaign-ended", submitted: body, about: { campaignId } } as const;
    if (await wasRecorded(ask, actor, sent)) return true;
    if (place?.depotIds === null && actor.depotIds !== null)
      throw platformErrors.problem("other-depot", "This campaign is over all depots: it is ended by somebody who has all of them.");
    for (const depotId of place?.depotIds ?? []) mustSeeDepot(actor, depotId);
    if (hasEnded) throw campaignErrors.problem("campaign-ended", "Nothing was stored.");
    const at = context.clock.now();
    const found = await readCampaign(ask, campaignId, { now: at, depotIds: null });
    const { open = 0, waiting = 0, repaired = 0 } = found?.totals ?? {};
    const data = { campaignId, name, submitted: body, left: open + waiting + repaired };
    await appendToFirm(context, tx, { staffId: actor.staffId, depotId: null, recordedAt: at }, [
      { id: body.id, kind: "campaign-ended", performedAt: at, data },
    ]);
    await markEnded(ask, campaignId, { entryId: body.id, by: actor.staffId, at, reason: body.reason });
    return false;
  });
}
