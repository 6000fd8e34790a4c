// The least-squares line through readings, what it foresees, and where it meets a limit. NIST/SEMATECH e-Handbook of Statistical
// Methods, 4.1.4.1 and 4.5.2; numerically: values taken from their middle, and sums compensated (Neumaier 1974).
import { studentBelow, studentQuantile } from "./quantiles.ts";

export type Point = readonly [x: number, y: number];

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
  /** standard deviation of the readings about the line, with n - 2 degrees of freedom */
  readonly residualSd: number;
  /** 1 for readings that are all the same: the line leaves nothing unexplained */
  readonly rSquared: number;
  readonly n: number;
  readonly meanX: number;
  readonly meanY: number;
  /** sum of the squared distances of x from its mean */
  readonly sxx: number;
  /** where the line meets the limit; absent where none was given, and where the line runs level */
  readonly limitAtX?: number;
  /** the stretch around `limitAtX` over which the limit lies inside the prediction interval */
  readonly limitInterval?: OpenInterval;
}

/** Two points always lie on a line: three are the fewest that say how far readings scatter. */
export const FEWEST_READINGS = 3;
/** Readings closer together than this share of their size stand at the same x. */
const SAME_X_SHARE = 1e-12;
/** The square of a smaller spread is no longer a number. */
const LEAST_SPREAD = 1e-100;

/** Why no line can be drawn through these points: fewer than three, or all at the same x. Null where one can. */
export function whyNoTrend(points: readonly Point[]): "too-few-readings" | "same-x" | null {
  if (points.length < FEWEST_READINGS) return "too-few-readings";
  let [least, most] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
  for (const [x] of points) {
    least = Math.min(least, x);
    most = Math.max(most, x);
  }
  return most - least > Math.max(LEAST_SPREAD, SAME_X_SHARE * Math.max(Math.abs(least), Math.abs(most))) ? null : "same-x";
}

/** Sum of `of(point)` over the points, with the rounding errors summed beside it. */
function sum(points: readonly Point[], of: (x: number, y: number) => number): number {
  let total = 0;
  let lost = 0;
  for (const [x, y] of points) {
    const value = of(x, y);
    const next = total + value;
    lost += Math.abs(total) >= Math.abs(value) ? total - next + value : value - next + total;
    total = next;
  }
  return total + lost;
}

/**
 * The least-squares line of y over x. With a `limit` (a value of y) also where the line meets it and the stretch around it, at
 * `confidence` (0.95). Throws a RangeError where `whyNoTrend` has a reason.
 */
export function linearTrend(
  points: readonly Point[],
  { limit, confidence = 0.95 }: { readonly limit?: number | undefined; readonly confidence?: number | undefined } = {},
): LinearTrend {
  const reason = whyNoTrend(points);
  if (reason !== null) throw new RangeError(reason);
  const n = points.length;
  // From the first point, so that readings which are all the same come out level to the last digit.
  const [x0, y0] = points[0] as Point;
  const meanX = x0 + sum(points, (x) => x - x0) / n;
  const meanY = y0 + sum(points, (_, y) => y - y0) / n;
  const sxx = sum(points, (x) => (x - meanX) ** 2);
  const syy = sum(points, (_, y) => (y - meanY) ** 2);
  const slope = sum(points, (x, y) => (x - meanX) * (y - meanY)) / sxx;
  const residual = sum(points, (x, y) => (y - meanY - slope * (x - meanX)) ** 2);
  const residualSd = Math.sqrt(residual / (n - 2));
  const line = {
    slope,
    intercept: sum(points, (x, y) => y - slope * x) / n,
    slopeSe: residualSd / Math.sqrt(sxx),
    interceptSe: residualSd * Math.sqrt(1 / n + meanX ** 2 / sxx),
    residualSd,
    rSquared: syy === 0 ? 1 : Math.max(0, 1 - residual / syy),
    ...{ n, meanX, meanY, sxx },
  };
  const limitAtX = limit === undefined ? Number.NaN : meanX + (limit - meanY) / slope;
  if (limit === undefined || !Number.isFinite(limitAtX)) return line;
  return { ...line, limitAtX, limitInterval: limitInterval(line, limit, confidence) };
}

/**
 * Where the limit lies inside the prediction interval, (meanY - limit + slope u)^2 <= k (1 + 1/n + u^2/sxx) with u = x - meanX and
 * k = (t s)^2: a quadratic in u. Where the slope cannot be told from none, one end is open, or both.
 */
function limitInterval(line: LinearTrend, limit: number, confidence: number): OpenInterval {
  const { slope, meanX, meanY, sxx, n } = line;
  const off = meanY - limit;
  const k = (studentQuantile((1 + confidence) / 2, n - 2) * line.residualSd) ** 2;
  const a = slope ** 2 - k / sxx;
  const halfB = slope * off;
  const c = off ** 2 - k * (1 + 1 / n);
  const discriminant = k * ((1 + 1 / n) * a + off ** 2 / sxx);
  if (a <= 0 && discriminant <= 0) return { low: null, high: null };
  const q = -(halfB + (halfB < 0 ? -1 : 1) * Math.sqrt(Math.max(0, discriminant)));
  const ends = [q / a, c / q].filter(Number.isFinite);
  if (ends.length === 0) return { low: null, high: null };
  const first = meanX + Math.min(...ends);
  const last = meanX + Math.max(...ends);
  if (a > 0) return { low: first, high: last };
  // Inside is what lies beyond the ends: of the two stretches, the one in which the line meets the limit.
  return meanX - off / slope >= (first + last) / 2 ? { low: last, high: null } : { low: null, high: first };
}

/** Standard error of one new reading at `x`. */
const predictionSe = (line: LinearTrend, x: number): number =>
  line.residualSd * Math.sqrt(1 + 1 / line.n + (x - line.meanX) ** 2 / line.sxx);

/** What one new reading at `x` would be, and between what it lies with this confidence (0.95). */
export function predict(line: LinearTrend, x: number, confidence = 0.95): { value: number; low: number; high: number } {
  const value = line.meanY + line.slope * (x - line.meanX);
  const half = studentQuantile((1 + confidence) / 2, line.n - 2) * predictionSe(line, x);
  return { value, low: value - half, high: value + half };
}

/** The probability that one new reading at `x` lies on that side of `limit` (one-sided, Student's t): tread below, chain above. */
export function probabilityPast(line: LinearTrend, x: number, limit: number, side: "below" | "above"): number {
  const room = limit - (line.meanY + line.slope * (x - line.meanX));
  const ahead = side === "below" ? room : -room;
  const se = predictionSe(line, x);
  if (se === 0) return ahead > 0 ? 1 : 0;
  return studentBelow(ahead / se, line.n - 2);
}
