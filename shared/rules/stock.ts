// What lies on a shelf: the last count, what came since, less what was fitted since. Pure.
import type { Stock } from "../contracts/parts.ts";

/** A count, or what came; `at` in ISO. */
export interface StockRecord {
  readonly how: "counted" | "received";
  readonly quantity: number;
  readonly at: string;
  readonly recordedAt: string;
}

/** So many were fitted at an instant in ISO. */
export interface Fitted {
  readonly quantity: number;
  readonly at: string;
}

/** Sums of decimals that people write, without the binary dust that adding leaves: more decimals than anybody writes of a quantity. */
const tidy = (quantity: number): number => Math.round(quantity * 1e6) / 1e6;
const sum = (all: readonly { readonly quantity: number }[]): number => tidy(all.reduce((total, { quantity }) => total + quantity, 0));

/** What lies at a depot of one part; null where nobody ever counted it, since what came then lies beside nobody knows how many. */
export function stockOf(depotId: string, records: readonly StockRecord[], fitted: readonly Fitted[]): Stock | null {
  const count = records
    .filter(({ how }) => how === "counted")
    .toSorted((one, other) => (one.at === other.at ? (one.recordedAt < other.recordedAt ? -1 : 1) : one.at < other.at ? -1 : 1))
    .at(-1);
  if (count === undefined) return null;
  const since = <One extends { readonly at: string }>(all: readonly One[]): One[] => all.filter(({ at }) => at > count.at);
  const received = sum(since(records.filter(({ how }) => how === "received")));
  const used = sum(since(fitted));
  return {
    depotId,
    counted: { quantity: count.quantity, at: count.at },
    ...{ received, fitted: used, onHand: tidy(count.quantity + received - used) },
  };
}
