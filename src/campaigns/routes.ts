import { z } from "zod";
import {
  addCampaignBodySchema,
  campaignListQuerySchema,
  campaignListSchema,
  campaignWithProgressSchema,
  endCampaignBodySchema,
} from "../../shared/contracts/campaigns.ts";
import { idSchema } from "../../shared/contracts/common.ts";
import { route, routes } from "../acts/index.ts";
import { act, allButRider, answerReceipt, inView, manager, tableOf } from "../platform/index.ts";
import { addCampaign } from "./add-campaign.ts";
import { endCampaign } from "./end-campaign.ts";
import { campaign, campaignWithProgress, listCampaigns } from "./show-campaign.ts";

const params = z.strictObject({ id: idSchema });
const receipts = { 200: campaignWithProgressSchema, 201: campaignWithProgressSchema };

// biome-ignore format: a table of operations, each with its address, who may call it, and whose depot it is about
const table = tableOf({
  addCampaign:   ["POST /v1/campaigns",            manager,     act],
  listCampaigns: ["GET /v1/campaigns",             allButRider, inView],
  showCampaign:  ["GET /v1/campaigns/:id",         allButRider, campaign],
  endCampaign:   ["POST /v1/campaigns/:id/ending", manager,     campaign],
});

export const campaignRoutes = routes("campaigns", table, {
  addCampaign: route({
    summary: "A maker's recall, or a fault found in one machine of a model: opens a job on every machine of your depots that it covers",
    location: ({ id }) => `/v1/campaigns/${id}`,
    body: addCampaignBodySchema,
    answers: receipts,
    handler: async (call) => answerReceipt(call, await addCampaign(call.context, call.actor, call.body)),
  }),
  listCampaigns: route({
    summary: "Campaigns, newest first, each with how far it is",
    query: campaignListQuerySchema,
    answers: { 200: campaignListSchema },
    handler: ({ context, found, query }) => listCampaigns(context, found, query),
  }),
  showCampaign: route({
    summary: "A campaign with its progress by machine",
    params,
    answers: { 200: campaignWithProgressSchema },
    handler: ({ context, actor, params: { id } }) => campaignWithProgress(context, id, actor.depotIds),
  }),
  endCampaign: route({
    summary: "End a campaign: it covers no further machine; what is open on machines stays, for a mechanic to close one by one",
    params,
    body: endCampaignBodySchema,
    answers: receipts,
    handler: async (call) => answerReceipt(call, await endCampaign(call.context, call.actor, call.params.id, call.body)),
  }),
});
