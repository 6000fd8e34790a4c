import type { PartListQuery } from "../../shared/contracts/parts.ts";
import { partKey } from "../../shared/rules/part-prices.ts";
import type { AppContext } from "../acts/index.ts";
import { cursorFrom, pageFrom } from "../platform/index.ts";
import { dayInUtc, partAnswer } from "./rules.ts";
import { stockAt } from "./stock-at.ts";
import { partsAfter } from "./store.ts";

/** The list of parts by number, all of it or what is searched for. */
export async function listParts(context: AppContext, { limit, cursor, search }: PartListQuery, depotId?: string) {
  const wanted = search === undefined ? null : { key: partKey(search), text: search };
  const rows = await partsAfter(context.db, cursorFrom(cursor)?.[0] ?? null, wanted, limit + 1);
  const today = dayInUtc(context.clock.now());
  const keys = rows.map(({ key }) => key);
  const stock = depotId === undefined ? null : await stockAt(context, depotId, keys);
  return pageFrom(
    rows,
    limit,
    ({ key }) => [key],
    (row) => ({ ...partAnswer(row, today), ...(stock && { stock: stock(row.key) }) }),
  );
}
