// The prediction interval as the handbook gives it (NIST/SEMATECH e-Handbook, 4.1.4), for comparing what trends say of a limit with it.
import { type linearTrend, studentQuantile } from "../../src/statistics/index.ts";

/** What one new reading at `x` would be, and between what it lies with this confidence. */
export function predict(line: ReturnType<typeof linearTrend>, x: number, confidence = 0.95): { value: number; low: number; high: number } {
  const value = line.meanY + line.slope * (x - line.meanX);
  const se = line.residualSd * Math.sqrt(1 + 1 / line.level + (x - line.meanX) ** 2 / line.sxx);
  const half = studentQuantile((1 + confidence) / 2, line.df) * se;
  return { value, low: value - half, high: value + half };
}
