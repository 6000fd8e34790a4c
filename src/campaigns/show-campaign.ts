// Campaigns as they stand: the list, and one with its progress by machine. Everybody sees the machines of their own depots.
import type { z } from "zod";
import type { CampaignWithProgress, campaignListQuerySchema } from "../../shared/contracts/campaigns.ts";
import type { AppContext } from "../acts/index.ts";
import { cursorFrom, type DepotIds, momentAndIdSchema, objectOf, pageFrom, seesDepot, type View } from "../platform/index.ts";
import { type CampaignPlace, findCampaigns, readCampaign, readPlace, readProgress } from "./campaign-store.ts";

/** Campaigns of a view, newest first. */
export async function listCampaigns(context: AppContext, { depotIds }: View, query: z.infer<typeof campaignListQuerySchema>) {
  const seen = { now: context.clock.now(), depotIds };
  const rows = await findCampaigns(context.db, seen, query.state, cursorFrom(query.cursor, momentAndIdSchema), query.limit);
  return pageFrom(
    rows,
    query.limit,
    ({ addedAt, id }) => [addedAt, id],
    (row) => row,
  );
}

/** The campaign at an address, for everybody at whose depots its machines are, or who is of a depot that it was confined to. */
export const campaign = objectOf({
  name: "campaign",
  missing: "There is no campaign with this id.",
  find: async ({ db }: AppContext, id) => {
    const place = await readPlace(db, id);
    return place && { id, ...place };
  },
  depotOf: ({ depotIds, whereItIs }: CampaignPlace, actor) => {
    const its = [...(depotIds ?? []), ...whereItIs];
    return its.some((depotId) => seesDepot(actor, depotId)) ? null : (its[0] ?? null);
  },
});

/** A campaign with its progress on the machines of these depots. */
export async function campaignWithProgress({ db, clock }: AppContext, id: string, depotIds: DepotIds): Promise<CampaignWithProgress> {
  const seen = { now: clock.now(), depotIds };
  const [found, progress] = await Promise.all([readCampaign(db.rows, id, seen), readProgress(db.rows, id, seen)]);
  if (!found) throw new Error("a campaign is never deleted");
  return { ...found, progress };
}
