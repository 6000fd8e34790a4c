import type { Part, StockBody } from "../../shared/contracts/parts.ts";
import { notAfter } from "../../shared/rules/field-record.ts";
import { partKey } from "../../shared/rules/part-prices.ts";
import { type AppContext, recordOnce, wasRecorded } from "../acts/index.ts";
import { hasDepot } from "../fleet/index.ts";
import { appendToFirm, recording } from "../ledger/index.ts";
import { type Actor, notValid, platformErrors } from "../platform/index.ts";
import { dayInUtc, partAnswer } from "./rules.ts";
import { stockAt } from "./stock-at.ts";
import { insertStock } from "./stock-store.ts";
import { findParts } from "./store.ts";

/**
 * Records how many of a part lie at a depot, or came there; the same again is recorded once. Answers the part with what lies there now.
 * Throws `not-found` for a part that the list has not, and `id-reused`.
 */
export async function recordStock(
  context: AppContext,
  actor: Actor,
  number: string,
  body: StockBody,
): Promise<{ receipt: Part; repeated: boolean }> {
  const repeated = await recordOnce(() => record(context, actor, number, body));
  const key = partKey(number);
  const part = (await findParts(context.db.rows, [key])).get(key);
  if (!part) throw new Error("a part is never taken off the list");
  const stock = (await stockAt(context, body.depotId, [key]))(key);
  return { receipt: { ...partAnswer(part, dayInUtc(context.clock.now())), stock }, repeated };
}

function record(context: AppContext, actor: Actor, number: string, body: StockBody): Promise<boolean> {
  const key = partKey(number);
  return recording(context, async (tx) => {
    const ask = context.db.rowsIn(tx);
    const part = (await findParts(ask, [key])).get(key);
    if (!part) throw platformErrors.problem("not-found", "The list of parts has none with this number. Put it in the list first.");
    if (!(await hasDepot(ask, body.depotId))) throw notValid([{ pointer: "/depotId", message: "is the id of no depot" }]);
    const sent = { id: body.id, kind: "stock-recorded", submitted: body, about: { number: part.number } } as const;
    if (await wasRecorded(ask, actor, sent)) return true;
    const recordedAt = context.clock.now();
    const at = notAfter(new Date(body.at), recordedAt);
    await appendToFirm(context, tx, { staffId: actor.staffId, depotId: body.depotId, recordedAt }, [
      { id: body.id, kind: "stock-recorded", performedAt: at, data: { number: part.number, name: part.name, submitted: body } },
    ]);
    const { id, depotId, how, quantity } = body;
    await insertStock(ask, { id, key, depotId, how, quantity, at, recordedAt });
    return false;
  });
}
