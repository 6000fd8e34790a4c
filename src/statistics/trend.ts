// The least-squares line through readings, what it foresees, and where it meets a limit. NIST/SEMATECH e-Handbook of Statistical
// Methods, 4.1.4.1 and 4.5.2; for accuracy, means are subtracted first and sums are compensated (Neumaier 1974).
import { studentBelow, studentQuantile } from "./quantiles.ts";

/** A reading; `weight` is relative to a reading of the usual gauge (1): the inverse square of the error. */
export type Point = readonly [x: number, y: number, weight?: number];

/** An interval in x; null where it has no end on that side. */
export interface OpenInterval {
  readonly low: number | null;
  readonly high: number | null;
}

export interface LinearTrend {
  /** y per x */
  readonly slope: number;
  /** y where x is 0 */
  readonly intercept: number;
  readonly slopeSe: number;
  readonly interceptSe: number;
  /** standard deviation of the readings about the line, with `df` degrees of freedom */
  readonly residualSd: number;
  /** 1 for readings that are all the same: the line leaves nothing unexplained */
  readonly rSquared: number;
  readonly n: number;
  /** degrees of freedom: readings less the estimated figures, which are the slope and a level for each set */
  readonly df: number;
  /** the mean of the last set, and the weight behind it */
  readonly meanX: number;
  readonly meanY: number;
  readonly level: number;
  /** sum of the squared distances of x from the mean of its own set */
  readonly sxx: number;
  /** where the line meets the limit; absent where none was given, and where the line runs level */
  readonly limitAtX?: number;
  /** the stretch around `limitAtX` over which the limit lies inside the prediction interval */
  readonly limitInterval?: OpenInterval;
}

/** Readings whose x differ by less than this share of their size count as having the same x. */
const SAME_X_SHARE = 1e-12;
/** The square of a smaller spread would underflow to zero. */
const LEAST_SPREAD = 1e-100;

const isSpread = (points: readonly Point[]): boolean => {
  let [least, most] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
  for (const [x] of points) {
    least = Math.min(least, x);
    most = Math.max(most, x);
  }
  return most - least > Math.max(LEAST_SPREAD, SAME_X_SHARE * Math.max(Math.abs(least), Math.abs(most)));
};

/** How many degrees of freedom are left once the slope and the levels are estimated. */
const freedomOf = (sets: readonly (readonly Point[])[]): number =>
  sets.reduce((left, points) => left + Math.max(0, points.length - 1), 0) - 1;

/** Why no line can be drawn through these sets of points: too few readings, or all of each at the same x. Null where one can. */
export function whyNoPooledTrend(sets: readonly (readonly Point[])[]): "too-few-readings" | "same-x" | null {
  if (freedomOf(sets) < 1) return "too-few-readings";
  return sets.some(isSpread) ? null : "same-x";
}

/** Why no line can be drawn through these points: fewer than three, or all at the same x. Null where one can. */
export const whyNoTrend = (points: readonly Point[]): "too-few-readings" | "same-x" | null => whyNoPooledTrend([points]);

/** Sum of `of(point)` over the points, with the rounding errors summed beside it. */
function sum(points: readonly Point[], of: (x: number, y: number) => number): number {
  let total = 0;
  let lost = 0;
  for (const [x, y, weight = 1] of points) {
    const value = weight * of(x, y);
    const next = total + value;
    lost += Math.abs(total) >= Math.abs(value) ? total - next + value : value - next + total;
    total = next;
  }
  return total + lost;
}

interface Asked {
  readonly limit?: number | undefined;
  readonly confidence?: number | undefined;
}

/**
 * The least-squares line of y over x. With a `limit` (a value of y) also where the line meets it and the stretch around it, at
 * `confidence` (0.95). Throws a RangeError where `whyNoTrend` has a reason.
 */
export const linearTrend = (points: readonly Point[], asked: Asked = {}): LinearTrend => pooledTrend([points], asked);

/**
 * One slope through several sets of readings, each with its own level: a set holds the readings between one adjustment and the next (analysis
 * of covariance; weighted least squares). So weekly adjustments do not count as wear, and the error of one reading stays with that reading
 * instead of adding up along the line. Predictions start from the level of the last set. Throws a RangeError where `whyNoPooledTrend` has a reason.
 */
export function pooledTrend(sets: readonly (readonly Point[])[], { limit, confidence = 0.95 }: Asked = {}): LinearTrend {
  const reason = whyNoPooledTrend(sets);
  if (reason !== null) throw new RangeError(reason);
  const measured = sets.filter((points) => points.length > 0);
  const middles = measured.map(middleOf);
  // Relative to the mean of its own set.
  const centred = measured.flatMap((points, index): Point[] => {
    const { meanX = 0, meanY = 0 } = middles[index] ?? {};
    return points.map(([x, y, weight = 1]) => [x - meanX, y - meanY, weight]);
  });
  const { meanX, meanY, level } = middles.at(-1) ?? { meanX: 0, meanY: 0, level: 0 };
  const df = freedomOf(sets);
  const sxx = sum(centred, (u) => u ** 2);
  const syy = sum(centred, (_, v) => v ** 2);
  const slope = sum(centred, (u, v) => u * v) / sxx;
  const residual = sum(centred, (u, v) => (v - slope * u) ** 2);
  const residualSd = Math.sqrt(residual / df);
  const last = measured.at(-1) ?? [];
  const line = {
    slope,
    intercept: sum(last, (x, y) => y - slope * x) / level,
    slopeSe: residualSd / Math.sqrt(sxx),
    interceptSe: residualSd * Math.sqrt(1 / level + meanX ** 2 / sxx),
    residualSd,
    rSquared: syy === 0 ? 1 : Math.max(0, 1 - residual / syy),
    ...{ n: centred.length, df, meanX, meanY, level, sxx },
  };
  const limitAtX = limit === undefined ? Number.NaN : meanX + (limit - meanY) / slope;
  if (limit === undefined || !Number.isFinite(limitAtX)) return line;
  return { ...line, limitAtX, limitInterval: limitInterval(line, limit, confidence) };
}

function middleOf(points: readonly Point[]): { meanX: number; meanY: number; level: number } {
  const level = sum(points, () => 1);
  // Relative to the first point, so that readings which are all the same give a slope of exactly 0.
  const [x0, y0] = points[0] as Point;
  return { meanX: x0 + sum(points, (x) => x - x0) / level, meanY: y0 + sum(points, (_, y) => y - y0) / level, level };
}

/**
 * Where the limit lies inside the prediction interval, (meanY - limit + slope u)^2 <= k (1 + 1/level + u^2/sxx) with u = x - meanX and
 * k = (t s)^2: a quadratic in u. If the slope cannot be distinguished from zero, one end is open, or both.
 */
function limitInterval(line: LinearTrend, limit: number, confidence: number): OpenInterval {
  const { slope, meanX, meanY, sxx, level, df } = line;
  const off = meanY - limit;
  const k = (studentQuantile((1 + confidence) / 2, df) * line.residualSd) ** 2;
  const a = slope ** 2 - k / sxx;
  const halfB = slope * off;
  const c = off ** 2 - k * (1 + 1 / level);
  const discriminant = k * ((1 + 1 / level) * a + off ** 2 / sxx);
  if (a <= 0 && discriminant <= 0) return { low: null, high: null };
  const q = -(halfB + (halfB < 0 ? -1 : 1) * Math.sqrt(Math.max(0, discriminant)));
  const ends = [q / a, c / q].filter(Number.isFinite);
  if (ends.length === 0) return { low: null, high: null };
  const first = meanX + Math.min(...ends);
  const last = meanX + Math.max(...ends);
  if (a > 0) return { low: first, high: last };
  // The solution is the two stretches outside the roots; the one in which the line meets the limit is returned.
  return meanX - off / slope >= (first + last) / 2 ? { low: last, high: null } : { low: null, high: first };
}

/** Standard error of one new reading at `x`. */
const predictionSe = (line: LinearTrend, x: number): number =>
  line.residualSd * Math.sqrt(1 + 1 / line.level + (x - line.meanX) ** 2 / line.sxx);

/** The probability that one new reading at `x` lies on that side of `limit` (one-sided, Student's t): tread below, chain above. */
export function probabilityPast(line: LinearTrend, x: number, limit: number, side: "below" | "above"): number {
  const room = limit - (line.meanY + line.slope * (x - line.meanX));
  const ahead = side === "below" ? room : -room;
  const se = predictionSe(line, x);
  if (se === 0) return ahead > 0 ? 1 : 0;
  return studentBelow(ahead / se, line.df);
}
