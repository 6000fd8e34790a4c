// What repairs and stays at other workshops cost, from what was told of them. Pure, in minor units of one currency: each line is rounded once, half
// away from zero, in whole-number arithmetic; sums add what is rounded, so their order does not matter. What is not known is counted and
// never taken for nothing.
import { type PartPrice, partKey, priceOn } from "./part-prices.ts";

/** `a * b / c` of what is not negative, as a whole number, half away from zero. */
const share = (a: bigint, b: bigint, c: bigint): number => Number((2n * a * b + c) / (2n * c));

/** More decimals than anybody writes of a quantity. */
const quantityDecimals = 9;

/** So many at a price each: the quantity as the decimal that was written, not as the binary fraction that is nearest to it. */
export const priceOfParts = (quantity: number, priceMinor: number): number =>
  share(BigInt(quantity.toFixed(quantityDecimals).replace(".", "")), BigInt(priceMinor), 10n ** BigInt(quantityDecimals));

/** So many minutes at a rate for the hour. */
export const labourOf = (minutes: number, hourlyRateMinor: number): number => share(BigInt(minutes), BigInt(hourlyRateMinor), 60n);

/** Below this a rate says more about chance than about a machine: common practice, no source. */
const fewestKm = 100;

/** An amount for each 1,000 km; null where the distance is not known, or too short to say anything. */
export const perThousandKm = (minor: number, km: number | null): number | null =>
  km === null || Math.round(km) < fewestKm ? null : share(BigInt(minor), 1000n, BigInt(Math.round(km)));

export interface FittedPart {
  readonly number: string | null;
  /** null: what is right instead could not be read */
  readonly quantity: number | null;
}

interface Told {
  readonly id: string;
  readonly machineId: string;
  readonly at: Date;
  /** where the machine was, by that depot's calendar */
  readonly day: string;
  /** corrections that give no figure: somebody has to read them */
  readonly inWords: number;
}

/** A repair or a stay elsewhere as its record and the corrections of it tell; `told` null: what was said was forgotten. */
export type Work = Told &
  (
    | {
        readonly kind: "repair";
        readonly told: { readonly minutes: number | null; readonly parts: readonly FittedPart[]; readonly outsideId: string | null } | null;
      }
    | {
        readonly kind: "stay";
        readonly told: {
          readonly parts: readonly FittedPart[];
          readonly cost: { readonly minor: number; readonly currency: string } | null;
        } | null;
      }
  );

/** What is not known, by why; how many. */
export const unknownKinds = [
  "forgotten",
  "withoutMinutes",
  "withoutRate",
  "partsWithoutNumber",
  "partsWithoutPrice",
  "partsWithoutQuantity",
  "staysWithoutInvoice",
  "otherCurrency",
  "renewedUnnamed",
  "correctedInWords",
] as const;
export type Unknown = Readonly<Record<(typeof unknownKinds)[number], number>>;

export interface Costs {
  readonly partsMinor: number;
  readonly labourMinor: number;
  readonly outsideMinor: number;
  readonly totalMinor: number;
  readonly repairs: number;
  readonly stays: number;
  /** lines priced by a price or a rate that was first set later */
  readonly pricedLater: number;
  readonly unknown: Unknown;
}

/** What work is priced by. */
export interface PriceBook {
  /** null: not said, and nothing can be priced */
  readonly currency: string | null;
  readonly pricesOf: (key: string) => readonly (PartPrice & { readonly currency: string })[];
  /** the rate at an instant, or the first that was set later; null: none ever was */
  readonly rateAt: (at: Date) => { readonly hourlyRateMinor: number; readonly isLater: boolean } | null;
}

type Sum = { -readonly [Member in keyof Omit<Costs, "unknown" | "totalMinor">]: Costs[Member] } & {
  readonly unknown: { -readonly [Why in keyof Unknown]: number };
};

const nothing = (): Sum => ({
  ...{ partsMinor: 0, labourMinor: 0, outsideMinor: 0, repairs: 0, stays: 0, pricedLater: 0 },
  unknown: Object.fromEntries(unknownKinds.map((why) => [why, 0])) as Sum["unknown"],
});

/** What this work cost, `renewedUnnamed` parts being renewed at inspections that nobody named. */
export function costsOf(work: readonly Work[], book: PriceBook, renewedUnnamed = 0): Costs {
  const sum = nothing();
  sum.unknown.renewedUnnamed = renewedUnnamed;
  const invoiced = new Set(work.flatMap(({ id, kind, told }) => (kind === "stay" && told?.cost ? [id] : [])));
  for (const one of work) {
    sum.unknown.correctedInWords += one.inWords;
    if (one.told === null) sum.unknown.forgotten += 1;
    if (one.kind === "repair") {
      sum.repairs += 1;
      if (one.told) addRepair(sum, one, one.told, { book, isInvoiced: one.told.outsideId !== null && invoiced.has(one.told.outsideId) });
    } else {
      sum.stays += 1;
      if (one.told) addStay(sum, one, one.told, book);
    }
  }
  return { ...sum, totalMinor: sum.partsMinor + sum.labourMinor + sum.outsideMinor };
}

type RepairTold = NonNullable<Extract<Work, { kind: "repair" }>["told"]>;
type StayTold = NonNullable<Extract<Work, { kind: "stay" }>["told"]>;

function addRepair(sum: Sum, { at, day }: Told, told: RepairTold, { book, isInvoiced }: { book: PriceBook; isInvoiced: boolean }): void {
  // The invoice of a stay is its whole cost: neither its parts nor its hours are counted again.
  if (isInvoiced) return;
  addParts(sum, told.parts, day, book);
  if (told.outsideId !== null) return;
  const rate = book.rateAt(at);
  if (told.minutes === null) sum.unknown.withoutMinutes += 1;
  else if (rate === null) sum.unknown.withoutRate += 1;
  else {
    sum.labourMinor += labourOf(told.minutes, rate.hourlyRateMinor);
    sum.pricedLater += rate.isLater ? 1 : 0;
  }
}

function addStay(sum: Sum, { day }: Told, { parts, cost }: StayTold, book: PriceBook): void {
  if (cost === null) {
    sum.unknown.staysWithoutInvoice += 1;
    addParts(sum, parts, day, book);
  } else if (cost.currency === book.currency) sum.outsideMinor += cost.minor;
  else sum.unknown.otherCurrency += 1;
}

function addParts(sum: Sum, parts: readonly FittedPart[], day: string, { currency, pricesOf }: PriceBook): void {
  for (const { number, quantity } of parts) {
    const all = number === null ? [] : pricesOf(partKey(number));
    const held = priceOn(
      all.filter((price) => price.currency === currency),
      day,
    );
    if (number === null) sum.unknown.partsWithoutNumber += 1;
    else if (quantity === null) sum.unknown.partsWithoutQuantity += 1;
    else if (held) {
      sum.partsMinor += priceOfParts(quantity, held.price.priceMinor);
      sum.pricedLater += held.isLater ? 1 : 0;
    } else if (all.length > 0) sum.unknown.otherCurrency += 1;
    else sum.unknown.partsWithoutPrice += 1;
  }
}

/** Several together: the sum of what each cost, whatever their order. */
export function together(all: readonly Costs[]): Costs {
  const sum = nothing();
  for (const one of all) {
    for (const member of ["partsMinor", "labourMinor", "outsideMinor", "repairs", "stays", "pricedLater"] as const)
      sum[member] += one[member];
    for (const why of unknownKinds) sum.unknown[why] += one.unknown[why];
  }
  return { ...sum, totalMinor: sum.partsMinor + sum.labourMinor + sum.outsideMinor };
}

/** It cost at least that: something of it is not known. */
export const isAtLeast = ({ unknown }: Pick<Costs, "unknown">): boolean => unknownKinds.some((why) => unknown[why] > 0);
