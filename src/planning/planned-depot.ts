// The depot in the address, for calls about who rides what there.
import type { AppContext } from "../acts/index.ts";
import { type Asking, mustSeeDepot, noDepot } from "../platform/index.ts";
import { findDepots, type PlanDepot } from "./store.ts";

/** The depot that `:depotId` stands for. */
export const depotInAddress: Asking<AppContext, PlanDepot> = {
  name: "depot",
  ask: async ({ db }, actor, { depotId = "" }) => {
    mustSeeDepot(actor, depotId);
    const [depot] = await findDepots(db, [depotId], 1);
    if (!depot) throw noDepot();
    return depot;
  },
};
