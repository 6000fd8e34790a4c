// Which last digits a person reads off a gauge. Whoever reads it exactly finds all ten; whoever rounds finds mostly 0 and 5.

import type { Digits, Honesty } from "../../shared/contracts/insight.ts";
import type { Quantity, Unit } from "../../shared/contracts/quantities.ts";
import { groupBy } from "../../shared/group-by.ts";
import type { NamedPerson } from "../people/index.ts";
import { chiSquareUniform } from "../statistics/index.ts";
import { figure } from "./figures.ts";
import { byStaffNumber, personOf } from "./honesty.ts";
import type { ReadingCountRow } from "./store.ts";

/** Fewer readings are not tested: the chi-square approximation needs about five of each of the ten digits. */
export const FEWEST_DIGITS = 50;

/**
 * The marks of a common gauge, in its own unit (common practice, no source). Only quantities that range over more than ten marks are here: a
 * gap set between 0.6 and 0.7 mm has few possible last digits, whoever reads it, and so has a pressure in psi or bar.
 */
const marks: Partial<Record<Quantity, { readonly unit: Unit; readonly step: number }>> = {
  "front-tyre-pressure": { unit: "kPa", step: 1 },
  "rear-tyre-pressure": { unit: "kPa", step: 1 },
  "front-tread": { unit: "mm", step: 0.1 },
  "rear-tread": { unit: "mm", step: 0.1 },
  "front-lining": { unit: "mm", step: 0.1 },
  "rear-lining": { unit: "mm", step: 0.1 },
  "chain-slack": { unit: "mm", step: 1 },
  "chain-length": { unit: "mm", step: 0.1 },
};
export const quantitiesWithDigits = Object.keys(marks) as readonly Quantity[];

/** The last digit that the gauge showed, 0 to 9; null for a reading whose digits are not looked at. */
export function lastDigit({ quantity, unit, value }: Pick<ReadingCountRow, "quantity" | "unit" | "value">): number | null {
  const mark = marks[quantity];
  if (mark?.unit !== unit || value < 0) return null;
  return Math.round(value / mark.step) % 10;
}

/** Counts the digits, and tests them for evenness where there are enough. */
export function digitsOf(rows: readonly ReadingCountRow[]): Digits {
  const digits = Array.from({ length: 10 }, () => 0);
  for (const row of rows) {
    const digit = lastDigit(row);
    if (digit !== null) digits[digit] = (digits[digit] ?? 0) + row.readings;
  }
  const readings = digits.reduce((sum, times) => sum + times, 0);
  const { statistic, df, p } = chiSquareUniform(digits);
  return {
    readings,
    digits,
    zeros: figure(digits[0] ?? 0, readings, "insight.question.zeros"),
    evenness: readings < FEWEST_DIGITS ? null : { chiSquare: statistic, degreesOfFreedom: df, p },
  };
}

/** Everybody who read gauges, by staff number: all readings together, and by quantity. */
export function gaugesOf(rows: readonly ReadingCountRow[], names: ReadonlyMap<string, NamedPerson>): Honesty["gauges"] {
  const counted = rows.filter((row) => lastDigit(row) !== null);
  return byStaffNumber(
    [...groupBy(counted, ({ staffId }) => staffId)].map(([staffId, own]) => {
      const quantities = quantitiesWithDigits.flatMap((quantity) => {
        const of = own.filter((row) => row.quantity === quantity);
        return of.length === 0 ? [] : [{ quantity, ...digitsOf(of) }];
      });
      return { ...personOf(staffId, names), ...digitsOf(own), quantities };
    }),
  );
}
