import { catalogue } from "../platform/index.ts";

export const campaignErrors = catalogue({
  "campaign-covers-nothing": {
    status: 422,
    title: "The campaign covers no machine",
    help: "No machine of your depots is of these models. Choose other models, or name machines one by one.",
  },
  "campaign-ended": {
    status: 409,
    title: "The campaign is ended already",
    help: "Somebody ended it before you. What is open on machines is closed there by a mechanic.",
  },
});
