import type { Depot } from "../../shared/contracts/fleet.ts";
import type { AppContext } from "../acts/index.ts";
import { type Actor, cursorFrom, pageFrom } from "../platform/index.ts";
import { depotsAfter } from "./store.ts";

/** The actor's depots by name. */
export async function listDepots(context: AppContext, actor: Actor, { limit, cursor }: { limit: number; cursor?: string | undefined }) {
  const rows = await depotsAfter(context.db, actor.depotIds, cursorFrom(cursor)?.[0] ?? null, limit + 1);
  return pageFrom(
    rows,
    limit,
    (depot) => [depot.name],
    (depot): Depot => depot,
  );
}
