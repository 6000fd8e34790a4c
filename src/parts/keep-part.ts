import type { Part, PartBody } from "../../shared/contracts/parts.ts";
import { partKey } from "../../shared/rules/part-prices.ts";
import type { AppContext } from "../acts/index.ts";
import { appendToFirm, recording } from "../ledger/index.ts";
import type { Actor } from "../platform/index.ts";
import { partErrors } from "./errors.ts";
import { changeOf, dayInUtc, partAnswer } from "./rules.ts";
import { findParts, holdCurrency, writeParts } from "./store.ts";

/** Puts a part in the list or changes its name or a price, with its record; the same again is recorded once. Throws `no-currency`. */
export async function keepPart(context: AppContext, actor: Actor, number: string, { name, priceMinor, fromDay }: PartBody): Promise<Part> {
  const at = context.clock.now();
  const key = partKey(number);
  return recording(context, async (tx): Promise<Part> => {
    const ask = context.db.rowsIn(tx);
    const currency = await holdCurrency(ask);
    const known = (await findParts(ask, [key])).get(key);
    const price = priceMinor === undefined ? undefined : priceFrom(priceMinor, currency, fromDay ?? dayInUtc(at));
    const change = changeOf(known, { number, name, price });
    if (change !== null) {
      const entryId = context.newId();
      await appendToFirm(context, tx, { staffId: actor.staffId, depotId: null, recordedAt: at }, [
        { id: entryId, kind: "part-kept", performedAt: at, data: change },
      ]);
      await writeParts(ask, [{ key, number: change.number, name, entryId, price: change.price }], at);
    }
    const kept = (await findParts(ask, [key])).get(key);
    if (!kept) throw new Error("the part was just kept");
    return partAnswer(kept, dayInUtc(at));
  });
}

function priceFrom(priceMinor: number | null, currency: string | null, fromDay: string) {
  if (currency === null) throw noCurrency();
  return { fromDay, priceMinor, currency };
}

/** Throws nothing itself: the problem of an amount where the firm has no currency. */
export const noCurrency = () => partErrors.problem("no-currency", "The firm's policy names no currency. Nothing was stored.");
