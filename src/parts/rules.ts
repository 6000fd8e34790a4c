// What changes in the list of parts, and how a part is answered. Pure.
import type { Part } from "../../shared/contracts/parts.ts";
import type { Said } from "../../shared/records/index.ts";
import { priceOn } from "../../shared/rules/part-prices.ts";
import type { PartRow } from "./store.ts";

/** What is to stand in the list. */
export interface AskedPart {
  readonly number: string;
  readonly name: string;
  /** undefined: prices stay as they are; null takes away the one that begins on that day */
  readonly price?: { readonly fromDay: string; readonly priceMinor: number | null; readonly currency: string } | undefined;
}

/** The change as a record says it; null where the list has it so already. A number stays as it was written first. */
export function changeOf(known: PartRow | undefined, { number, name, price }: AskedPart): Said<"part-kept"> | null {
  const stood = known?.prices.find(({ fromDay }) => fromDay === price?.fromDay);
  const isSame =
    price === undefined ||
    (price.priceMinor === null ? stood === undefined : stood?.priceMinor === price.priceMinor && stood.currency === price.currency);
  if (known && known.name === name && isSame) return null;
  return {
    number: known?.number ?? number,
    name,
    before: known ? { name: known.name } : null,
    price: price === undefined || isSame ? null : price,
    priceBefore: stood && !isSame ? { priceMinor: stood.priceMinor, currency: stood.currency } : null,
  };
}

/** A part as it is answered on a day. */
export function partAnswer({ number, name, prices, keptAt }: PartRow, today: string): Part {
  const held = priceOn(prices, today);
  return { number, name, price: held === null || held.isLater ? null : held.price, prices: [...prices], keptAt };
}

/** The day in UTC: the firm has no time zone of its own, and a price no hour. */
export const dayInUtc = (at: Date): string => at.toISOString().slice(0, 10);
