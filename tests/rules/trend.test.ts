import fc from "fast-check";
import jstat from "jstat";
import { describe, expect, test } from "vitest";
import { linearTrend, type Point, probabilityPast, whyNoTrend } from "../../src/statistics/index.ts";
import { predict } from "../support/predict.ts";
import { norris, norrisCertified } from "../support/published.ts";

const relative = (value: number | null | undefined, expected: number): number => Math.abs((value ?? Number.NaN) / expected - 1);

/** A tyre's tread in mm over km, and a limit of 1 mm. */
const tread: Point[] = [
  [0, 5],
  [800, 4.55],
  [1600, 4.15],
  [2400, 3.62],
  [3200, 3.2],
];

describe("the line", () => {
  test("agrees with the certified values of Norris to 1e-9", () => {
    // NIST StRD, linear least squares, Norris
    expect(norris).toHaveLength(36);
    const line = linearTrend(norris);
    for (const name of Object.keys(norrisCertified) as (keyof typeof norrisCertified)[]) {
      expect(relative(line[name], norrisCertified[name]), name).toBeLessThan(1e-9);
    }
  });

  test("keeps its digits for an odometer far from nought", () => {
    // exact: the same readings, 900,000 km later; the textbook's one-pass sums lose four digits of these
    const here = linearTrend(tread);
    const far = linearTrend(tread.map(([x, y]) => [x + 900_000, y]));
    expect(relative(far.slope, here.slope)).toBeLessThan(1e-12);
    expect(relative(far.residualSd, here.residualSd)).toBeLessThan(1e-9);
    const million = linearTrend(norris.map(([x, y]) => [x, y + 1e7]));
    expect(relative(million.slope, norrisCertified.slope)).toBeLessThan(1e-9);
    expect(relative(million.residualSd, norrisCertified.residualSd)).toBeLessThan(1e-8);
  });

  test("loses no small reading between large ones", () => {
    // exact: the sum of 0, 1e16, 9,998 ones and -1e16; a plain sum drops each one beside 1e16
    const heights = [0, 1e16, ...Array<number>(9_998).fill(1), -1e16];
    expect(relative(linearTrend(heights.map((y, x) => [x, y])).meanY, 9_998 / 10_001)).toBeLessThan(1e-12);
  });

  test("is refused under three readings, and for readings at one x", () => {
    expect(whyNoTrend([])).toBe("too-few-readings");
    expect(whyNoTrend(tread.slice(0, 2))).toBe("too-few-readings");
    expect(whyNoTrend(tread.slice(0, 3))).toBeNull();
    const upright: Point[] = [
      [0.1 + 0.2, 1],
      [0.3, 2],
      [0.3, 3],
    ];
    expect(whyNoTrend(upright)).toBe("same-x");
    expect(() => linearTrend(tread.slice(0, 2))).toThrow(RangeError);
    expect(() => linearTrend(upright)).toThrow(RangeError);
  });

  test("of readings that never change is level, and meets no limit", () => {
    const line = linearTrend(
      [0, 1, 2, 3].map((x) => [x, 0.1]),
      { limit: 0.05 },
    );
    expect(line).toMatchObject({ slope: 0, intercept: 0.1, slopeSe: 0, residualSd: 0, rSquared: 1 });
    expect("limitAtX" in line).toBe(false);
    expect("limitInterval" in line).toBe(false);
  });
});

describe("foresight", () => {
  test("agrees with SciPy for a worn tyre", () => {
    // computed with SciPy 1.17.1: linregress, t.ppf, t.cdf, and brentq for where the bounds meet the limit
    const line = linearTrend(tread, { limit: 1 });
    expect(relative(line.slope, -0.00056625)).toBeLessThan(1e-12);
    expect(relative(line.slopeSe, 1.2970318680228505e-5)).toBeLessThan(1e-9);
    expect(relative(line.interceptSe, 0.02541653005427902)).toBeLessThan(1e-9);
    expect(relative(line.limitAtX, 7081.677704194261)).toBeLessThan(1e-9);
    expect(relative(line.limitInterval?.low, 6661.059001346537)).toBeLessThan(1e-9);
    expect(relative(line.limitInterval?.high, 7560.864953198137)).toBeLessThan(1e-9);
    const at7000 = predict(line, 7000);
    expect(relative(at7000.value, 1.04625)).toBeLessThan(1e-9);
    expect(relative(at7000.low, 0.7957131905291119)).toBeLessThan(1e-9);
    expect(relative(at7000.high - at7000.value, at7000.value - at7000.low)).toBeLessThan(1e-9);
    expect(relative(probabilityPast(line, 7000, 1, "below"), 0.29908218311441287)).toBeLessThan(1e-9);
    expect(relative(probabilityPast(line, 7000, 1, "above"), 1 - 0.29908218311441287)).toBeLessThan(1e-9);
  });

  test("where the prediction interval meets the limit, one in forty is past it", () => {
    const line = linearTrend(tread, { limit: 1 });
    expect(probabilityPast(line, line.limitInterval?.low ?? 0, 1, "below")).toBeCloseTo(0.025, 9);
    expect(probabilityPast(line, line.limitInterval?.high ?? 0, 1, "above")).toBeCloseTo(0.025, 9);
    expect(probabilityPast(line, line.limitAtX ?? 0, 1, "below")).toBeCloseTo(0.5, 9);
  });

  test("readings on one line foresee without doubt", () => {
    const line = linearTrend(
      [0, 1, 2, 4].map((x) => [x, 8 - 2 * x]),
      { limit: 1 },
    );
    expect(line.limitInterval).toEqual({ low: 3.5, high: 3.5 });
    expect([3.4, 3.6].map((x) => probabilityPast(line, x, 1, "below"))).toEqual([0, 1]);
  });

  test("where wear cannot be told from none the interval is open", () => {
    // residuals far larger than the fall: the upper bound never comes down to the limit
    const noisy: Point[] = [
      [0, 5],
      [1, 3],
      [2, 5.2],
      [3, 2.6],
    ];
    expect(linearTrend(noisy, { limit: -1 }).limitInterval).toEqual({ low: null, high: null });
    const doubtful = linearTrend(noisy, { limit: -1, confidence: 0.6 });
    expect(doubtful.limitInterval?.high).toBeNull();
    expect(predict(doubtful, doubtful.limitInterval?.low ?? 0, 0.6).low).toBeCloseTo(-1, 9);
    // rising, with a limit behind: the open end is on the other side
    const mirrored = noisy.map(([x, y]): Point => [-x, y]);
    const behind = linearTrend(mirrored, { limit: -1, confidence: 0.6 }).limitInterval;
    expect(behind?.low).toBeNull();
    expect(behind?.high).toBeCloseTo(-(doubtful.limitInterval?.low ?? 0), 9);
  });

  test("Student's t is that of a second library", () => {
    const line = linearTrend(tread);
    for (const confidence of [0.5, 0.8, 0.95, 0.99, 0.999]) {
      const { value, high } = predict(line, line.meanX, confidence);
      const t = jstat.jStat.studentt.inv((1 + confidence) / 2, 3);
      expect(relative((high - value) / (line.residualSd * Math.sqrt(1 + 1 / 5)), t)).toBeLessThan(1e-6);
    }
  });
});

describe("always", () => {
  const points = fc
    .array(fc.tuple(fc.integer({ min: 0, max: 50_000 }), fc.double({ min: 0.5, max: 8, noNaN: true })), { minLength: 4, maxLength: 30 })
    .filter((some) => whyNoTrend(some) === null);
  const factor = fc.double({ min: 1e-3, max: 1e3, noNaN: true });
  const close = (value: number, expected: number): void =>
    expect(Math.abs(value - expected)).toBeLessThanOrEqual(1e-7 * Math.max(Math.abs(expected), 1e-6));

  test("the unit of the odometer changes no forecast", () => {
    fc.assert(
      fc.property(points, factor, (some, scale) => {
        const line = linearTrend(some);
        const scaled = linearTrend(some.map(([x, y]) => [x * scale, y]));
        close(scaled.slope * scale, line.slope);
        close(scaled.residualSd, line.residualSd);
        close(predict(scaled, 60_000 * scale).low, predict(line, 60_000).low);
        close(probabilityPast(scaled, 60_000 * scale, 1, "below"), probabilityPast(line, 60_000, 1, "below"));
      }),
    );
  });

  test("the ends of the limit's stretch lie on the bounds of the prediction, around where the line meets the limit", () => {
    fc.assert(
      fc.property(points, fc.double({ min: -2, max: 10, noNaN: true }), (some, limit) => {
        const line = linearTrend(some, { limit });
        fc.pre(line.limitAtX !== undefined && Math.abs(line.slope) > 1e-9 && line.residualSd > 1e-6);
        const { low, high } = line.limitInterval ?? { low: null, high: null };
        if (low !== null) expect(low).toBeLessThanOrEqual(line.limitAtX ?? Number.NaN);
        if (high !== null) expect(high).toBeGreaterThanOrEqual(line.limitAtX ?? Number.NaN);
        for (const end of [low, high]) {
          if (end === null || Math.abs(end) > 1e7) continue;
          const bounds = predict(line, end);
          const off = Math.min(Math.abs(bounds.low - limit), Math.abs(bounds.high - limit));
          expect(off / (bounds.high - bounds.low)).toBeLessThan(1e-6);
        }
      }),
    );
  });

  test("more readings that lie on the line make no forecast wider", () => {
    fc.assert(
      fc.property(points, fc.integer({ min: 0, max: 90_000 }), (some, at) => {
        const line = linearTrend(some);
        const more = linearTrend([...some, ...some.map(([x]): Point => [x, predict(line, x).value])]);
        const width = (one: typeof line): number => predict(one, at).high - predict(one, at).low;
        expect(width(more)).toBeLessThanOrEqual(width(line) * (1 + 1e-9));
      }),
    );
  });

  test("more tread left never makes the limit likelier", () => {
    fc.assert(
      fc.property(points, fc.double({ min: 0, max: 3, noNaN: true }), fc.integer({ min: 0, max: 90_000 }), (some, deeper, at) => {
        const past = (mm: number): number => probabilityPast(linearTrend(some.map(([x, y]) => [x, y + mm])), at, 1, "below");
        expect(past(deeper)).toBeLessThanOrEqual(past(0) + 1e-9);
      }),
    );
  });
});
