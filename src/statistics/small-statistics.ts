// Small statistics that stand on their own: the middle, evenness of counts, and the published weights of findings.
import { chiSquareAbove } from "./quantiles.ts";

/** The median: the middle value, or the mean of the two middle ones; null for no values. */
export function median(values: readonly number[]): number | null {
  const sorted = [...values].sort((one, other) => one - other);
  const upper = sorted[Math.floor(sorted.length / 2)];
  const lower = sorted[Math.ceil(sorted.length / 2) - 1];
  return upper === undefined || lower === undefined ? null : lower + (upper - lower) / 2;
}

export interface ChiSquare {
  readonly statistic: number;
  readonly df: number;
  /** the probability of counts at least this uneven, were all equally likely */
  readonly p: number;
}

/**
 * Pearson's test that all categories are equally likely (last digits: ten of them). If nothing was counted, p is 1. The chi-square
 * approximation needs about five in each. Throws a RangeError for fewer than two counts.
 */
export function chiSquareUniform(counts: readonly number[]): ChiSquare {
  const df = counts.length - 1;
  if (df < 1) throw new RangeError("evenness wants two counts or more");
  const expected = counts.reduce((sum, count) => sum + count, 0) / counts.length;
  if (expected === 0) return { statistic: 0, df, p: 1 };
  const statistic = counts.reduce((sum, count) => sum + (count - expected) ** 2, 0) / expected;
  return { statistic, df, p: chiSquareAbove(statistic, df) };
}

export interface Findings {
  readonly dangerous: number;
  readonly major: number;
  readonly minor: number;
}

/** COM(2012)382 Annex I: what a finding weighs. */
const FINDING_WEIGHTS = { dangerous: 40, major: 10, minor: 1 } as const;
/** The weights of the three years, the latest first. Same source. */
export const yearWeights: readonly number[] = [3, 2, 1];

/** One year's findings by the published weights. Source: COM(2012)382 Annex I. */
export const findingPoints = ({ dangerous, major, minor }: Findings): number =>
  FINDING_WEIGHTS.dangerous * dangerous + FINDING_WEIGHTS.major * major + FINDING_WEIGHTS.minor * minor;

/**
 * Risk of a machine: findings by category and year over all its inspections, the latest year first, at most three. Null without an
 * inspection. Throws a RangeError for a fourth year. Source: COM(2012)382 Annex I.
 */
export function riskScore(years: readonly (Findings & { readonly inspections: number })[]): number | null {
  if (years.length > yearWeights.length) throw new RangeError("the published weights know three years");
  const inspections = years.reduce((sum, year) => sum + year.inspections, 0);
  if (inspections === 0) return null;
  return years.reduce((sum, year, index) => sum + findingPoints(year) * (yearWeights[index] ?? 0), 0) / inspections;
}
