// What lies at a depot of some parts: counts and arrivals, less what the repairs there name.
import type { Stock } from "../../shared/contracts/parts.ts";
import { groupBy } from "../../shared/group-by.ts";
import { partKey } from "../../shared/rules/part-prices.ts";
import { stockOf } from "../../shared/rules/stock.ts";
import type { AppContext } from "../acts/index.ts";
import { readStock } from "./stock-store.ts";
import { toldOf } from "./told-work.ts";
import { workAtDepots } from "./work-store.ts";

/** By key. What another workshop fitted came from its own shelf. */
export async function stockAt({ db, clock }: AppContext, depotId: string, keys: readonly string[]): Promise<(key: string) => Stock | null> {
  const records = keys.length === 0 ? [] : await readStock(db, depotId, keys);
  if (records.length === 0) return () => null;
  const first = records.reduce((least, { at }) => (at < least ? at : least), records[0]?.at ?? "");
  const work = await workAtDepots(db, [depotId], new Date(first), new Date(clock.now().getTime() + 1));
  const fitted = work
    .map(toldOf)
    .flatMap(({ kind, at, told }) =>
      kind === "repair" && told !== null && told.outsideId === null
        ? told.parts.flatMap(({ number, quantity }) =>
            number === null || quantity === null ? [] : [{ key: partKey(number), quantity, at: at.toISOString() }],
          )
        : [],
    );
  const [recorded, used] = [groupBy(records, ({ key }) => key), groupBy(fitted, ({ key }) => key)];
  return (key) => stockOf(depotId, recorded.get(key) ?? [], used.get(key) ?? []);
}
