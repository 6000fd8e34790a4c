import type { Depot } from "../../shared/contracts/fleet.ts";
import type { AppContext } from "../acts/index.ts";
import { noDepot } from "../platform/index.ts";
import { findDepot } from "./store.ts";

/** One depot. Throws `not-found`. */
export async function showDepot(context: AppContext, id: string): Promise<Depot> {
  const depot = await findDepot(context.db, id);
  if (!depot) throw noDepot();
  return depot;
}
