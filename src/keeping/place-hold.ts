import type { HoldBody, LegalHold } from "../../shared/contracts/keeping.ts";
import { type AppContext, recordOnce, wasRecorded } from "../acts/index.ts";
import { hasDepot } from "../fleet/index.ts";
import { holdFirm } from "../keys/index.ts";
import { appendToFirm, recording } from "../ledger/index.ts";
import { type Actor, noDepot, platformErrors } from "../platform/index.ts";
import { findHeldMachine, insertHold, readHold } from "./store.ts";

/**
 * Places a legal hold on a machine, a depot or the whole firm: from then on nothing of it is forgotten. Throws `not-found`, `id-reused`. The
 * same body again returns the hold as it is now.
 */
export function placeHold(context: AppContext, actor: Actor, body: HoldBody): Promise<{ receipt: LegalHold; repeated: boolean }> {
  return recordOnce(() => place(context, actor, body));
}

function place(context: AppContext, actor: Actor, body: HoldBody): Promise<{ receipt: LegalHold; repeated: boolean }> {
  return recording(context, async (tx) => {
    const ask = context.db.rowsIn(tx);
    // A lock, so that placing and forgetting wait for each other, and so do two calls with one id.
    await holdFirm(ask);
    if (await wasRecorded(ask, actor, { id: body.id, kind: "hold-placed", submitted: body })) {
      const hold = await readHold(ask, body.id);
      if (!hold) throw new Error("a hold is never deleted");
      return { receipt: hold, repeated: true };
    }
    const machine = body.machineId === undefined ? null : await findHeldMachine(ask, body.machineId);
    if (body.machineId !== undefined && !machine) throw platformErrors.problem("not-found", "There is no machine with this id.");
    if (body.depotId !== undefined && !(await hasDepot(ask, body.depotId))) throw noDepot();
    const at = context.clock.now();
    const data = { submitted: body, depotId: body.depotId ?? null, registrationMark: machine?.registrationMark ?? null };
    const depotId = body.depotId ?? machine?.depotId ?? null;
    await appendToFirm(context, tx, { staffId: actor.staffId, depotId, recordedAt: at }, [
      { id: body.id, kind: "hold-placed", performedAt: at, data },
    ]);
    await insertHold(ask, { id: body.id, machineId: body.machineId ?? null, depotId: body.depotId ?? null, by: actor.staffId, at });
    const receipt = await readHold(ask, body.id);
    if (!receipt) throw new Error("the hold was just placed");
    return { receipt, repeated: false };
  });
}
