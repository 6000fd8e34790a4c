import type { Readable } from "node:stream";
import type { AuditPack } from "../../shared/contracts/audit.ts";
import type { Actor, House } from "../platform/index.ts";
import { auditErrors } from "./errors.ts";
import { openPack, packDays } from "./shelf.ts";
import { showPack } from "./show-pack.ts";

/** The finished ZIP. Throws what `showPack` throws, `pack-not-ready`, `pack-gone`. */
export async function downloadPack(house: House, actor: Actor, id: string): Promise<{ pack: AuditPack; file: Readable; bytes: number }> {
  const pack = await showPack(house, actor, id);
  if (pack.state === "failed") throw auditErrors.problem("pack-not-ready", `It failed: ${pack.failure} Order it again.`);
  if (pack.state !== "ready" || pack.bytes === null) {
    throw auditErrors.problem(
      "pack-not-ready",
      `It is ${Math.round(pack.progress * 100)} % done. Watch its events, or ask again in a moment.`,
    );
  }
  const file = await openPack(house, id, pack.bytes);
  if (!file) throw auditErrors.problem("pack-gone", `It was made on another machine, or more than ${packDays} days ago. Order it again.`);
  return { pack, file, bytes: pack.bytes };
}
