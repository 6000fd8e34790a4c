import fc from "fast-check";
import jstat from "jstat";
import { describe, expect, test } from "vitest";
import {
  type Chart,
  chiSquareUniform,
  findingPoints,
  median,
  medianLife,
  pChart,
  poissonRate,
  riskScore,
  survivalSteps,
  uChart,
  wilson,
} from "../../src/statistics/index.ts";
import { chiSquareAbove, gammaQuantile, normalQuantile, studentBelow, studentQuantile } from "../../src/statistics/quantiles.ts";
import { remissionSteps, remissionWeeks, waferDefects, waferShares } from "../support/published.ts";

const near = (value: number | undefined, expected: number, tolerance: number): void =>
  expect(Math.abs((value ?? Number.NaN) - expected), `${value} for ${expected}`).toBeLessThanOrEqual(tolerance);
const nearRelative = (value: number, expected: number, tolerance: number): void => near(value / expected, 1, tolerance);

describe("quantiles", () => {
  // from memory, as printed in every table of Student's t: 5 %, 2.5 % and 0.5 % above
  test.each([
    [1, 6.314, 12.706, 63.657],
    [2, 2.92, 4.303, 9.925],
    [5, 2.015, 2.571, 4.032],
    [10, 1.812, 2.228, 3.169],
    [30, 1.697, 2.042, 2.75],
    [120, 1.658, 1.98, 2.617],
  ])("of Student's t with %i degrees of freedom are those of the tables", (df, ...expected) => {
    [0.95, 0.975, 0.995].forEach((p, index) => {
      near(studentQuantile(p, df), expected[index] ?? Number.NaN, 0.0005);
    });
  });

  test("have closed forms: t with one and two degrees of freedom, gamma of shape 1", () => {
    for (const p of [0.001, 0.05, 0.3, 0.9, 0.975, 0.9999]) {
      nearRelative(studentQuantile(p, 1), Math.tan(Math.PI * (p - 0.5)), 1e-9);
      nearRelative(studentQuantile(p, 2), ((2 * p - 1) * Math.SQRT2) / Math.sqrt(4 * p * (1 - p)), 1e-9);
      if (p <= 0.5) nearRelative(gammaQuantile(1, p, "below"), -Math.log1p(-p), 1e-9);
      if (p <= 0.5) nearRelative(gammaQuantile(1, p, "above"), -Math.log(p), 1e-9);
    }
  });

  test("are those of a second library", () => {
    // jstat sums Student's t to about 4e-8 and the others closer
    const { studentt, chisquare, normal } = jstat.jStat;
    for (const p of [0.0005, 0.01, 0.05, 0.2, 0.8, 0.95, 0.975, 0.9995]) {
      nearRelative(normalQuantile(p), normal.inv(p, 0, 1), 1e-8);
      for (const df of [1, 2, 3, 7, 34, 150, 998]) nearRelative(studentQuantile(p, df), studentt.inv(p, df), 1e-6);
      for (const shape of [1, 2, 5, 15, 60, 400, 3_000, 40_000, 1_000_000]) {
        const side = p < 0.5 ? "below" : "above";
        nearRelative(2 * gammaQuantile(shape, Math.min(p, 1 - p), side), chisquare.inv(p, 2 * shape), 1e-9);
      }
    }
    for (const df of [1, 4, 9, 19]) for (const x of [0.1, 1, 9, 30]) near(chiSquareAbove(x, df), 1 - chisquare.cdf(x, df), 1e-11);
  });

  test("answer at the far ends instead of throwing", () => {
    expect([studentBelow(-1e308, 3), studentBelow(1e308, 3)]).toEqual([0, 1]);
    expect([studentBelow(Number.NEGATIVE_INFINITY, 3), studentBelow(Number.POSITIVE_INFINITY, 3)]).toEqual([0, 1]);
    expect([chiSquareAbove(0, 9), chiSquareAbove(1e6, 9)]).toEqual([1, 0]);
  });
});

describe("Wilson's interval", () => {
  test.each([
    // R 4.3.3 DescTools, as quoted by the tests of statsmodels (test_proportion.py)
    [100, 200, 0.4313609, 0.5686391],
    // computed; Newcombe 1998 (from memory)
    [15, 148, 0.0623864, 0.1604872],
    [0, 20, 0, 0.1611252],
    // computed
    [0, 10, 0, 0.2775328],
    [1, 10, 0.0178762, 0.40415],
  ])("of %i in %i", (count, of, low, high) => {
    near(wilson(count, of).low, low, 1e-7);
    near(wilson(count, of).high, high, 1e-7);
  });

  test("one-sided 95 % is the two-sided 90 %", () => {
    // R 4.3.3 DescTools, as quoted by the tests of statsmodels: upper 0.557765, lower 0.442235
    near(wilson(100, 200, 0.9).high, 0.557765, 1e-6);
    near(wilson(100, 200, 0.9).low, 0.442235, 1e-6);
  });

  test("of all and of none ends exactly at 1 and at 0", () => {
    // the trap of statsmodels' test_confint_proportion_wilson_clip: 38 of 38, 0 of 77
    expect(wilson(38, 38).high).toBe(1);
    expect(wilson(0, 77).low).toBe(0);
    expect(wilson(0, 0)).toEqual({ low: 0, high: 1 });
  });

  test("lies inside 0 and 1, holds the share, and mirrors", () => {
    const counts = fc.integer({ min: 1, max: 100_000 }).chain((of) => fc.tuple(fc.integer({ min: 0, max: of }), fc.constant(of)));
    fc.assert(
      fc.property(counts, fc.double({ min: 0.001, max: 0.999999, noNaN: true }), ([count, of], confidence) => {
        const { low, high } = wilson(count, of, confidence);
        expect(low).toBeGreaterThanOrEqual(0);
        expect(high).toBeLessThanOrEqual(1);
        expect(low).toBeLessThanOrEqual(count / of);
        expect(high).toBeGreaterThanOrEqual(count / of);
        const mirror = wilson(of - count, of, confidence);
        near(mirror.low, 1 - high, 1e-12);
        near(mirror.high, 1 - low, 1e-12);
      }),
    );
  });

  test("a count that cannot be is refused", () => {
    expect(() => wilson(3, 2)).toThrow(RangeError);
    expect(() => wilson(Number.NaN, 2)).toThrow(RangeError);
  });
});

describe("the exact interval of a rate", () => {
  test("15 in 400", () => {
    // DescTools and ratesci, as quoted by the tests of statsmodels (test_rates_poisson.py): exact
    const { rate, low, high } = poissonRate(15, 400);
    expect(rate).toBe(0.0375);
    near(low, 0.0209884653319583, 1e-12);
    near(high, 0.0618505471787146, 1e-12);
  });

  test.each([
    // Garwood 1936, computed
    [0, 1, 0, 3.688879],
    [1, 1, 0.025318, 5.571643],
    // 6-MP, an exponential fit, computed
    [9, 359, 0.0114634, 0.04759],
  ])("%i in %f", (events, exposure, low, high) => {
    near(poissonRate(events, exposure).low, low, 1e-6);
    near(poissonRate(events, exposure).high, high, 1e-6);
  });

  test("none seen in n is at most three in n, one-sided", () => {
    // the rule of three: -ln 0.05 = 2.996
    near(poissonRate(0, 1000, 0.9).high, 2.995732 / 1000, 1e-9);
  });

  test("holds the rate, and narrows as more is seen at the same rate", () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 100_000 }), fc.double({ min: 0.001, max: 0.999, noNaN: true }), (events, confidence) => {
        const { rate, low, high } = poissonRate(events, 1000, confidence);
        expect(low).toBeLessThanOrEqual(rate);
        expect(high).toBeGreaterThanOrEqual(rate);
        const twice = poissonRate(2 * events, 2000, confidence);
        expect(twice.high - twice.low).toBeLessThanOrEqual((high - low) * (1 + 1e-9));
      }),
    );
    expect(() => poissonRate(1, 0)).toThrow(RangeError);
    expect(() => poissonRate(-1, 10)).toThrow(RangeError);
  });
});

describe("component life", () => {
  test("is that of the 6-MP patients, the event before the censoring in a tie", () => {
    // Freireich 1963; survival as textbooks print it (from memory), Greenwood's errors computed
    const steps = survivalSteps(remissionWeeks);
    expect(steps.map(({ at, atRisk, events }) => [at, atRisk, events])).toEqual(remissionSteps.map((step) => step.slice(0, 3)));
    remissionSteps.forEach(([, , , survival, se], index) => {
      near(steps[index]?.survival, survival, 5e-5);
      near(steps[index]?.se, se, 5e-5);
    });
    expect(medianLife(steps)).toBe(23);
  });

  test("agrees with R's survival package on two samples with ties", () => {
    // survfit of R's `survival`, as the tests of the statistics library statsmodels quote it (duration/tests/test_survfunc.py)
    const life = (at: number[], event: number[]) => survivalSteps(at.map((one, index) => ({ at: one, event: event[index] === 1 })));
    const first = life([3, 1, 2, 3, 2, 1, 5, 3], [0, 1, 1, 1, 0, 0, 1, 0]);
    expect(first.map(({ at, atRisk, events }) => [at, atRisk, events])).toEqual([
      [1, 8, 1],
      [2, 6, 1],
      [3, 4, 1],
      [5, 1, 1],
    ]);
    [0.875, 0.7291667, 0.546875, 0].forEach((survival, index) => {
      near(first[index]?.survival, survival, 5e-8);
    });
    [0.1169268, 0.1649762, 0.20058].forEach((se, index) => {
      near(first[index]?.se, se, 5e-7);
    });
    const second = life([1, 1, 2, 3, 7, 1, 5, 3, 9], [0, 1, 0, 0, 1, 0, 1, 0, 1]);
    expect(second.map(({ at, atRisk }) => [at, atRisk])).toEqual([
      [1, 9],
      [5, 3],
      [7, 2],
      [9, 1],
    ]);
    [0.8888889, 0.5925926, 0.2962963, 0].forEach((survival, index) => {
      near(second[index]?.survival, survival, 5e-8);
    });
    [0.1047566, 0.2518034, 0.244432].forEach((se, index) => {
      near(second[index]?.se, se, 5e-7);
    });
  });

  test("where nothing is censored is the plain share, with its binomial error", () => {
    const steps = survivalSteps([3, 1, 2, 4].map((at) => ({ at, event: true })));
    expect(steps.map(({ survival }) => survival)).toEqual([0.75, 0.5, 0.25, 0]);
    near(steps[1]?.se, Math.sqrt(0.25 / 4), 1e-12);
    expect(steps[3]?.se).toBe(0);
  });

  test("never rises, and where nothing was renewed has no step and no median", () => {
    expect(survivalSteps([{ at: 5, event: false }])).toEqual([]);
    expect(medianLife([])).toBeNull();
    const times = fc.array(fc.record({ at: fc.integer({ min: 0, max: 30 }), event: fc.boolean() }), { maxLength: 60 });
    fc.assert(
      fc.property(times, (some) => {
        const steps = survivalSteps(some);
        const shares = [1, ...steps.map(({ survival }) => survival)];
        for (const [index, { survival, se }] of steps.entries()) {
          expect(survival).toBeLessThan(shares[index] ?? 0);
          expect(se >= 0 && se <= 0.51).toBe(true);
        }
        expect(steps.reduce((sum, { events }) => sum + events, 0)).toBe(some.filter(({ event }) => event).length);
      }),
    );
  });
});

const outsideOf = ({ samples }: Chart): number[] => samples.flatMap(({ outside }, index) => (outside ? [index + 1] : []));

describe("control charts", () => {
  test("the wafers' shares: 15 and 23 are out", () => {
    // NIST/SEMATECH e-Handbook 6.3.3.2; limits computed
    const chart = pChart(waferShares.map((share) => ({ count: Math.round(share * 50), of: 50 })));
    near(chart.centre, 347 / 1500, 1e-12);
    near(chart.samples[0]?.low, 0.0524275, 1e-6);
    near(chart.samples[0]?.high, 0.4102391, 1e-6);
    expect(outsideOf(chart)).toEqual([15, 23]);
  });

  test("the wafers' defects: 24 is out, and 3, on the limit, is not", () => {
    // NIST/SEMATECH e-Handbook 6.3.3.1; limits computed
    // A c-chart is a u-chart of one size.
    const chart = uChart(waferDefects.map((count) => ({ count, exposure: 1 })));
    expect(chart.centre).toBe(16);
    expect(chart.samples[2]).toEqual({ value: 28, low: 4, high: 28, outside: false });
    expect(outsideOf(chart)).toEqual([24]);
  });

  test("limits follow each sample's own size, and stay where shares and counts can be", () => {
    const shares = pChart([
      { count: 1, of: 10 },
      { count: 9, of: 90 },
      { count: 90, of: 900 },
    ]);
    expect(shares.centre).toBe(0.1);
    expect(shares.samples.map(({ low }) => low)[0]).toBe(0);
    near(shares.samples[2]?.high, 0.13, 1e-12);
    expect(pChart([{ count: 9, of: 10 }]).samples[0]?.high).toBe(1);
    // one defect a machine-day on average; three standard deviations of 4 days are 1.5
    const rates = uChart([
      { count: 4, exposure: 4 },
      { count: 10, exposure: 4 },
      { count: 92, exposure: 98 },
    ]);
    expect(rates.samples[0]).toEqual({ value: 1, low: 0, high: 2.5, outside: false });
    expect(rates.samples[1]).toMatchObject({ value: 2.5, outside: false });
    expect(uChart([{ count: 0, exposure: 3 }]).samples[0]?.outside).toBe(false);
  });

  test("a sample of none has no place on a chart", () => {
    expect(() => pChart([{ count: 0, of: 0 }])).toThrow(RangeError);
    expect(() => uChart([])).toThrow(RangeError);
  });
});

describe("last digits", () => {
  test("even counts are even, and all zeros are not", () => {
    expect(chiSquareUniform([10, 10, 10, 10, 10, 10, 10, 10, 10, 10])).toEqual({ statistic: 0, df: 9, p: 1 });
    const zeros = chiSquareUniform([50, 0, 0, 0, 0, 0, 0, 0, 0, 0]);
    expect(zeros.statistic).toBe(450);
    expect(zeros.p).toBeLessThan(1e-80);
    expect(chiSquareUniform([0, 0])).toEqual({ statistic: 0, df: 1, p: 1 });
    expect(() => chiSquareUniform([7])).toThrow(RangeError);
  });

  test("the probability is that of the tables and of a second computation", () => {
    // 16.919 and 21.666 with 9 degrees of freedom are 5 % and 1 % in every table (from memory)
    near(chiSquareAbove(16.919, 9), 0.05, 1e-6);
    near(chiSquareAbove(21.666, 9), 0.01, 1e-6);
    // counts with a statistic of 18; SciPy 1.17.1, chi2.sf(18, 9)
    const { statistic, p } = chiSquareUniform([19, 13, 10, 10, 10, 10, 10, 7, 7, 4]);
    expect(statistic).toBeCloseTo(14.4, 12);
    near(p, 1 - jstat.jStat.chisquare.cdf(14.4, 9), 1e-12);
    near(chiSquareAbove(18, 9), 0.035173539466984795, 1e-12);
  });
});

describe("findings", () => {
  const years = [
    { dangerous: 1, major: 2, minor: 3, inspections: 4 },
    { dangerous: 0, major: 1, minor: 0, inspections: 2 },
    { dangerous: 0, major: 0, minor: 5, inspections: 1 },
  ];

  test("weigh 40, 10 and 1, and by year 3, 2 and 1, over the inspections", () => {
    // COM(2012)382 Annex I; the example is computed: (63 x 3 + 10 x 2 + 5 x 1) / 7
    expect(years.map(findingPoints)).toEqual([63, 10, 5]);
    near(riskScore(years) ?? 0, 30.571, 0.0005);
  });

  test("without an inspection there is no score, and a fourth year has no weight", () => {
    expect(riskScore([])).toBeNull();
    expect(riskScore([{ dangerous: 0, major: 0, minor: 0, inspections: 0 }])).toBeNull();
    expect(() => riskScore([...years, ...years])).toThrow(RangeError);
  });
});

test("the median is the middle, or between the two in the middle", () => {
  expect([median([]), median([7]), median([9, 1, 5]), median([4, 1, 2, 9])]).toEqual([null, 7, 5, 3]);
});
