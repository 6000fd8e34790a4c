import type { AuditPack, AuditPackBody } from "../../shared/contracts/audit.ts";
import { type Actor, type House, platformErrors } from "../platform/index.ts";
import { monthAsked, recordTaken } from "../reports/index.ts";
import { orderPack } from "./store.ts";
import { tellPack } from "./work-off.ts";

/**
 * Orders the audit pack of a month. Asked for again while it is being made, it is the same one; after that a new one, since records may
 * have come. Throws `other-depot`, `not-found`, `period-not-valid` for a month that is still to come.
 */
export async function requestPack(house: House, actor: Actor, { month, depotId, photos = false }: AuditPackBody): Promise<AuditPack> {
  if (depotId === undefined && actor.depotIds !== null) {
    throw platformErrors.problem("other-depot", "The whole firm's pack is for somebody of all depots. Name one of yours.");
  }
  await monthAsked(house, actor, { month, depotId, pointer: "/month" });
  const order = { id: house.newId(), month, depotId: depotId ?? null, photos, requestedBy: actor.staffId, requestedAt: house.clock.now() };
  const pack = await orderPack(house.db, order);
  // Who asks for what is already being made takes a paper as well.
  await recordTaken(house, actor, {
    paper: "audit-pack",
    depotId: order.depotId,
    month,
    packId: pack.id,
    ...(photos && { withPhotos: true }),
  });
  await tellPack(house, pack.id);
  return pack;
}
