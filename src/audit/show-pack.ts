import type { AuditPack } from "../../shared/contracts/audit.ts";
import type { AppContext } from "../acts/index.ts";
import { type Actor, type Asking, idOf, mustSeeDepot, platformErrors } from "../platform/index.ts";
import { readPack } from "./store.ts";

/** The pack named in the address, with its depot. A pack of the whole firm is only for somebody who has all depots. */
export const pack: Asking<AppContext, AuditPack> = {
  name: "pack",
  ask: (context, actor, asked) => packInView(context, actor, idOf(asked)),
};

/** A pack and how far it has come. Throws `not-found`, and `other-depot` for one beyond the asker's depots. */
export async function packInView(context: AppContext, actor: Actor, id: string): Promise<AuditPack> {
  const pack = await readPack(context.db, id);
  if (!pack) throw platformErrors.problem("not-found", "There is no audit pack with this id.");
  if (pack.depotId !== null) mustSeeDepot(actor, pack.depotId);
  else if (actor.depotIds !== null) throw platformErrors.problem("other-depot", "This pack holds depots that are not yours.");
  return pack;
}
