// Quantiles and tails of the distributions that intervals are made of. The special functions are those of the cephes library.
import cephes from "cephes";

// The library is WebAssembly, compiled while the service is opened.
await cephes.compiled;

/** Tails below e to the power of minus this are too small for a double, and the library would throw instead of returning 0. */
const LARGEST_EXPONENT = 700;

/** The z below which a share `p` of the normal distribution lies; 0 < p < 1. */
export const normalQuantile = (p: number): number => cephes.ndtri(p);

/** The t below which a share `p` of Student's distribution with `df` degrees of freedom (a whole number of 1 or more) lies; 0 < p < 1. */
export const studentQuantile = (p: number, df: number): number => cephes.stdtri(df, p);

/** The share of Student's distribution with `df` degrees of freedom that lies below `t`; 0 and 1 for the infinities. */
export function studentBelow(t: number, df: number): number {
  if (!Number.isFinite(t)) return t < 0 ? 0 : 1;
  return Math.min(1, cephes.stdtr(df, t));
}

/** The share of the chi-square distribution with `df` degrees of freedom that lies above `x`. */
export function chiSquareAbove(x: number, df: number): number {
  if (x <= 0) return 1;
  const exponent = x / 2 - (df / 2) * Math.log(x / 2) + cephes.lgam(df / 2);
  if (exponent > LARGEST_EXPONENT) return x > df ? 0 : 1;
  return cephes.chdtrc(df, x);
}

/**
 * The x that leaves a share `tail` (up to a half) of the gamma distribution of this shape (1 or more, scale 1) on one side. The
 * library's own inverse throws for some tails, so this is Newton's method on its integral: the logarithm of either tail is concave
 * in log x, and from the concave side the steps never pass the root twice.
 */
export function gammaQuantile(shape: number, tail: number, side: "below" | "above"): number {
  const below = side === "below";
  // Wilson and Hilferty (1931) for a start; for a small shape far down the tail, x^shape / gamma(shape + 1).
  const z = normalQuantile(tail) * (below ? 1 : -1);
  const cube = 1 - 1 / (9 * shape) + z / (3 * Math.sqrt(shape));
  const leastLog = (Math.log(tail) + cephes.lgam(shape + 1)) / shape;
  let logX = cube > 0 ? Math.log(shape * cube ** 3) : leastLog;
  if (below) logX = Math.max(logX, leastLog);
  for (let round = 0; round < 50; round += 1) {
    const x = Math.exp(logX);
    const reached = below ? cephes.igam(shape, x) : cephes.igamc(shape, x);
    const density = Math.exp(shape * logX - x - cephes.lgam(shape));
    const step = ((Math.log(reached) - Math.log(tail)) * reached) / density;
    logX -= below ? step : -step;
    if (Math.abs(step) < 1e-15) break;
  }
  return Math.exp(logX);
}
