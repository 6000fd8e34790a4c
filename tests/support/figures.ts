// Figures as they stand in a sentence, and whether each is the one that was computed by another way.
import { expect } from "vitest";
import type { Unit } from "../../shared/contracts/quantities.ts";
import type { Language } from "../../shared/words/speak.ts";

/** A figure that a sentence has to print: the exact value, its unit as printed, and how many decimals people read it with. */
export interface Figure {
  readonly value: number;
  readonly unit: string;
  readonly decimals: number;
}

const decimalsOf: Readonly<Record<Unit, number>> = { kPa: 1, psi: 1, bar: 2, mm: 2, km: 0, percent: 1 };
export const figure = (value: number, unit: Unit, decimals = decimalsOf[unit]): Figure => ({
  value,
  unit: unit === "percent" ? "%" : unit,
  decimals,
});
/** A limit is printed to its last digit. */
export const bound = (value: number, unit: Unit): Figure => figure(value, unit, 4);
export const plain = (value: number): Figure => ({ value, unit: "", decimals: 0 });

export interface PrintedFigure {
  readonly value: number;
  readonly decimals: number;
  readonly unit: string;
}

const marks = { en: { thousands: /,/g, decimal: "." }, de: { thousands: /\./g, decimal: "," } } as const;

/** The figures of a sentence in the order in which they stand, read as its language writes them. */
export function figuresIn(text: string, language: Language): PrintedFigure[] {
  const { thousands, decimal } = marks[language];
  return [...text.matchAll(/(-?\d(?:[\d.,]*\d)?)(?:\u00a0(%|[A-Za-z]+))?/g)].map(([, digits = "", unit = ""]) => {
    const read = digits.replace(thousands, "").replace(decimal, ".");
    return { value: Number(read), decimals: read.split(".")[1]?.length ?? 0, unit };
  });
}

/** Whether a sentence prints these figures, in this order and no others, each right to the last decimal that it is read with. */
export function expectFigures(text: string, language: Language, expected: readonly Figure[]): void {
  const printed = figuresIn(text, language);
  expect([text, printed.map(({ unit }) => unit)]).toEqual([text, expected.map(({ unit }) => unit)]);
  for (const [index, { value, decimals }] of expected.entries()) {
    const one = printed[index];
    if (!one) throw new Error(`no figure ${index} in: ${text}`);
    const half = 0.5 * 10 ** -Math.max(one.decimals, decimals);
    const off = Math.abs(one.value - value);
    if (off > half * (1 + 1e-6) + Math.abs(value) * 1e-12) throw new Error(`${one.value} stands where ${value} is computed: ${text}`);
  }
}
