// Parts by number: when two numbers are the same, and which price held on a day.

/** A part number as it is compared: without spaces and invisible characters, in capitals. A hyphen or a dot may tell two parts apart, so it stays. */
export const partKey = (number: string): string =>
  number
    .normalize("NFKC")
    .replace(/[\s\p{Cf}]/gu, "")
    .toUpperCase()
    .normalize("NFKC");

/** A price for one, from a day on until the next begins. */
export interface PartPrice {
  readonly fromDay: string;
  readonly priceMinor: number;
}

/** The price that held on a day. Before the first one that is known the first stands in, and `isLater` says so; null: no price is known. */
export function priceOn<Price extends PartPrice>(
  prices: readonly Price[],
  day: string,
): { readonly price: Price; readonly isLater: boolean } | null {
  const inOrder = prices.toSorted((one, other) => (one.fromDay < other.fromDay ? -1 : 1));
  const held = inOrder.findLast(({ fromDay }) => fromDay <= day);
  if (held) return { price: held, isLater: false };
  const [first] = inOrder;
  return first ? { price: first, isLater: true } : null;
}
