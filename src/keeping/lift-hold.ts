import type { LegalHold, LiftBody } from "../../shared/contracts/keeping.ts";
import type { AppContext } from "../acts/index.ts";
import { holdFirm } from "../keys/index.ts";
import { appendToFirm, recording } from "../ledger/index.ts";
import { type Actor, platformErrors } from "../platform/index.ts";
import { keepingErrors } from "./errors.ts";
import { findHeldMachine, markLifted, readHold } from "./store.ts";

/** Lifts a hold; what it covered and is due is forgotten by the next run. Throws `not-found`, `already-lifted`. */
export async function liftHold(context: AppContext, actor: Actor, id: string, { reason }: LiftBody): Promise<LegalHold> {
  return recording(context, async (tx) => {
    const ask = context.db.rowsIn(tx);
    await holdFirm(ask);
    const hold = await readHold(ask, id);
    if (!hold) throw platformErrors.problem("not-found", "There is no hold with this id.");
    if (hold.lifted) throw keepingErrors.problem("already-lifted", "To hold it again, place a new hold.");
    const at = context.clock.now();
    const entryId = context.newId();
    const machine = hold.machineId === null ? null : await findHeldMachine(ask, hold.machineId);
    const depotId = hold.depotId ?? machine?.depotId ?? null;
    await appendToFirm(context, tx, { staffId: actor.staffId, depotId, recordedAt: at }, [
      { id: entryId, kind: "hold-lifted", performedAt: at, data: { holdId: id, reason } },
    ]);
    await markLifted(ask, id, entryId, actor.staffId, at);
    return { ...hold, lifted: { by: actor.staffId, at: at.toISOString(), reason } };
  });
}
