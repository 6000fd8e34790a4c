import type { AuditPack, AuditPackBody } from "../../shared/contracts/audit.ts";
import type { AppContext } from "../acts/index.ts";
import { recording } from "../ledger/index.ts";
import { type Actor, type Asking, afterwards, platformErrors, type View, viewOf } from "../platform/index.ts";
import { monthAsked, recordTakenIn } from "../reports/index.ts";
import { auditErrors } from "./errors.ts";
import { orderPack } from "./store.ts";
import { tellPack } from "./work-off.ts";

/**
 * How many packs of a firm may be ordered and not yet made. An auditor who wants everything orders the months of two years at most; the limit
 * keeps a page or a script that orders without end from filling the disk and delaying everybody else for days.
 */
export const mostPacksOrdered = 24;

/** The depot that the body names, or the whole firm for somebody who has all of it. */
export const packAsked: Asking<AppContext, View> = {
  name: "depot or firm in body",
  ask: (_context, actor, { inBody: { depotId } = {} }) => {
    if (depotId === undefined && actor.depotIds !== null) {
      throw platformErrors.problem("other-depot", "The whole firm's pack is for somebody of all depots. Name one of yours.");
    }
    return viewOf(actor, depotId);
  },
};

/**
 * Orders the audit pack of a month. If the same pack is ordered already and not finished, that one is returned; after that a new one is made,
 * since there may be new records. Throws `not-found`, `period-not-valid` for a month that is still to come, `too-many-packs`.
 */
export async function requestPack(
  context: AppContext,
  actor: Actor,
  view: View,
  { month, depotId, photos = false }: AuditPackBody,
): Promise<AuditPack> {
  await monthAsked(context, view, { month, pointer: "/month" });
  const order = {
    id: context.newId(),
    month,
    depotId: depotId ?? null,
    photos,
    requestedBy: actor.staffId,
    requestedAt: context.clock.now(),
  };
  const pack = await recording(context, async (tx) => {
    const ordered = await orderPack({ rows: context.db.rowsIn(tx) }, order, mostPacksOrdered);
    if (!ordered) {
      throw auditErrors.problem(
        "too-many-packs",
        `${mostPacksOrdered} packs are ordered and not yet made. Nothing was ordered. Order it again when one of them is ready.`,
        { headers: { "retry-after": "60" } },
      );
    }
    // Somebody who asks for a pack that is already being made gets it too, so that is recorded as well.
    const taken = { depotId: order.depotId, month, packId: ordered.id, ...(photos && { withPhotos: true }) };
    await recordTakenIn(context, tx, actor, { paper: "audit-pack", ...taken });
    return ordered;
  });
  await afterwards(context, "nobody was told of the pack, which is found at the next look", () => tellPack(context, pack.id));
  return pack;
}
