export { addCampaign } from "./add-campaign.ts";
export { campaignErrors } from "./errors.ts";
export { keepCampaigns } from "./open-jobs.ts";
export { campaignRoutes } from "./routes.ts";
export { campaign, campaignWithProgress } from "./show-campaign.ts";
