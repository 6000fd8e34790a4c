import type { AuditPack, AuditPackBody } from "../../shared/contracts/audit.ts";
import type { AppContext } from "../acts/index.ts";
import { recording } from "../ledger/index.ts";
import { type Actor, afterwards, platformErrors, viewOf } from "../platform/index.ts";
import { monthAsked, recordTakenIn } from "../reports/index.ts";
import { auditErrors } from "./errors.ts";
import { orderPack } from "./store.ts";
import { tellPack } from "./work-off.ts";

/**
 * Packs of a firm that may be ordered and not yet made. An auditor who takes away all that is kept orders the months of two years at most, one
 * after the other; a page or a script that orders without end fills neither the disk nor the days of whoever waits behind it.
 */
export const mostPacksOrdered = 24;

/**
 * Orders the audit pack of a month. Asked for again while it is being made, it is the same one; after that a new one, since records may
 * have come. Throws `other-depot`, `not-found`, `period-not-valid` for a month that is still to come, `too-many-packs`.
 */
export async function requestPack(
  context: AppContext,
  actor: Actor,
  { month, depotId, photos = false }: AuditPackBody,
): Promise<AuditPack> {
  if (depotId === undefined && actor.depotIds !== null) {
    throw platformErrors.problem("other-depot", "The whole firm's pack is for somebody of all depots. Name one of yours.");
  }
  await monthAsked(context, viewOf(actor, depotId), { month, pointer: "/month" });
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
    // Who asks for what is already being made takes a report as well.
    const taken = { depotId: order.depotId, month, packId: ordered.id, ...(photos && { withPhotos: true }) };
    await recordTakenIn(context, tx, actor, { paper: "audit-pack", ...taken });
    return ordered;
  });
  await afterwards(context, "nobody was told of the pack, which is found at the next look", () => tellPack(context, pack.id));
  return pack;
}
