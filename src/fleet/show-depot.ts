import type { Depot } from "../../shared/contracts/fleet.ts";
import type { AppContext } from "../acts/index.ts";
import { type Actor, mustSeeDepot, noDepot } from "../platform/index.ts";
import { findDepot } from "./store.ts";

/** One depot of the actor's. Throws `not-found`, `other-depot`. */
export async function showDepot(context: AppContext, actor: Actor, id: string): Promise<Depot> {
  mustSeeDepot(actor, id);
  const depot = await findDepot(context.db, id);
  if (!depot) throw noDepot();
  return depot;
}
