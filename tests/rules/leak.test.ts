// How fast a tyre loses air, at one temperature, against what tyres lose by themselves.
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { pressureAtTemperature } from "../../shared/rules/tyre.ts";
import { leakOf, NATURAL_LOSS_KPA_PER_WEEK, type PressureReading, withRepairs } from "../../src/planning/leak.ts";

const monday = Date.UTC(2026, 5, 1, 8);
const at = (week: number): string => new Date(monday + week * 7 * 86_400_000).toISOString();
const reading = (week: number, asFound: number, changes: Partial<PressureReading> = {}): PressureReading => ({
  ...{ at: at(week), asFound, asLeft: 200, unit: "kPa", celsius: 20, renewed: false },
  ...changes,
});
/** Found so far under 200 kPa each week, and set to 200 again. */
const losing = (...losses: number[]): PressureReading[] => [
  reading(0, 200),
  ...losses.map((loss, index) => reading(index + 1, 200 - loss)),
];

describe("a tyre", () => {
  test("natural loss is 1.5 psi in 30 days, which is 2.41 kPa a week", () => {
    // Consumer pages give 1 to 1.5 psi a month; 1 psi = 6.894757 kPa, NIST SP 811. 1.5 x 6.894757 x 7/30 = 2.4132
    expect(NATURAL_LOSS_KPA_PER_WEEK).toBeCloseTo(2.4132, 4);
  });

  test("that loses 20 kPa each week has a slow puncture; one that loses 2 does not", () => {
    expect(leakOf(losing(20, 21, 19, 20))).toMatchObject({ finding: "slow-puncture", corrected: true });
    expect(leakOf(losing(20, 20, 20)).kpaPerWeek).toBeCloseTo(20, 9);
    expect(leakOf(losing(2, 2.1, 1.9, 2)).finding).toBe("natural");
  });

  test("whose readings scatter too much is to be watched, and is not called punctured", () => {
    const { finding, low, high } = leakOf(losing(0, 14, 1));
    expect(finding).toBe("watch");
    expect(low).toBeLessThan(NATURAL_LOSS_KPA_PER_WEEK);
    expect(high).toBeGreaterThan(NATURAL_LOSS_KPA_PER_WEEK);
  });

  test("with fewer than three readings says so", () => {
    for (const readings of [[], losing(), losing(30)]) {
      expect(leakOf(readings)).toMatchObject({ finding: "too-few-readings", kpaPerWeek: null, low: null, high: null });
    }
  });

  test("that was renewed, or pumped up without a record, begins anew", () => {
    const renewed = losing(20, 20, 20).map((one, week) => (week === 3 ? { ...one, renewed: true } : one));
    expect(leakOf([...renewed, reading(4, 198), reading(5, 198)])).toMatchObject({ finding: "natural", points: { length: 3 } });
    expect(leakOf([...losing(20, 20), reading(3, 215), reading(4, 198)])).toMatchObject({
      finding: "too-few-readings",
      points: { length: 2 },
    });
  });

  test("left as it was found is compared with that", () => {
    const untouched = [200, 196, 192, 188].map((found, week) => reading(week, found, { asLeft: null }));
    expect(leakOf(untouched).kpaPerWeek).toBeCloseTo(4, 9);
  });
});

describe("temperature", () => {
  const celsius = fc.double({ min: -20, max: 45, noNaN: true });

  test("200 kPa at 20 °C that reads 179.44 at 0 °C has lost nothing", () => {
    // Amontons' law on absolute pressure, 101.325 kPa of air: 200 kPa, 20 to 0 °C: 179.44
    const readings = [reading(0, 200), reading(1, 179.44, { celsius: 0, asLeft: null }), reading(2, 200)];
    expect(leakOf(readings).points[1]?.lostKpa).toBeCloseTo(0, 2);
  });

  test("alone never makes a leak: a tight tyre read in any weather has lost nothing", () => {
    fc.assert(
      fc.property(fc.array(celsius, { minLength: 3, maxLength: 10 }), (weather) => {
        const readings = weather.map((toCelsius, week) =>
          reading(week, pressureAtTemperature({ gaugeKpa: 200, fromCelsius: 20, toCelsius }), { asLeft: null, celsius: toCelsius }),
        );
        expect(leakOf(readings).kpaPerWeek).toBeCloseTo(0, 9);
      }),
    );
  });

  test("that is always 20 °C corrects nothing, and neither does one that was not taken", () => {
    const losses = fc.array(fc.double({ min: 0, max: 30, noNaN: true }), { minLength: 2, maxLength: 8 });
    fc.assert(
      fc.property(losses, (all) => {
        const warm = leakOf(losing(...all));
        const none = leakOf(losing(...all).map((one) => ({ ...one, celsius: null })));
        expect(warm.points.map(({ foundKpa }) => foundKpa)).toEqual(losing(...all).map(({ asFound }) => asFound));
        expect(none).toMatchObject({ kpaPerWeek: warm.kpaPerWeek, finding: warm.finding, corrected: false });
      }),
    );
  });

  test("of one of two readings is of no use: they are compared as read, and that is said", () => {
    const readings = [reading(0, 200), reading(1, 190, { celsius: null, asLeft: 200 }), reading(2, 190, { celsius: 5 })];
    expect(leakOf(readings)).toMatchObject({ corrected: false, kpaPerWeek: expect.closeTo(10, 9) });
  });

  test("the gauge's unit changes nothing", () => {
    const inBar = losing(20, 20, 20).map((one) => ({ ...one, asFound: one.asFound / 100, asLeft: 2, unit: "bar" as const }));
    expect(leakOf(inBar).kpaPerWeek).toBeCloseTo(20, 9);
  });
});

describe("what was done between two readings", () => {
  const weekly = (week: number, asFound: number): PressureReading => ({
    ...{ at: new Date(Date.UTC(2026, 0, 5 + 7 * week)).toISOString(), asFound, asLeft: null, unit: "kPa", celsius: null, renewed: false },
  });
  const mend = (week: number, parts: number, value: number | null) => ({
    ...{ at: new Date(Date.UTC(2026, 0, 6 + 7 * week)).toISOString(), parts, value, unit: "kPa" as const },
  });

  test("air alone hides no puncture: what is lost after each pumping up is counted on", () => {
    const readings = [200, 180, 181, 179, 180].map((kpa, week) => weekly(week, kpa));
    const pumped = withRepairs(
      readings,
      [1, 2, 3].map((week) => mend(week, 0, 200)),
    );
    expect(leakOf(pumped)).toMatchObject({ finding: "slow-puncture", points: { length: 5 } });
    expect(leakOf(pumped).kpaPerWeek).toBeCloseTo(20, 0);
  });

  test("a part, or work without a reading, ends what was lost before", () => {
    const readings = [200, 180, 200, 200].map((kpa, week) => weekly(week, kpa));
    for (const repair of [mend(1, 1, 200), mend(1, 0, null)])
      expect(withRepairs(readings, [repair]).map(({ renewed }) => renewed)).toEqual([false, false, true, false]);
  });

  test("a repair's gauge may show another unit", () => {
    const [reading] = withRepairs([weekly(0, 180)], [{ ...mend(0, 0, 29), unit: "psi" }]);
    // 1 psi = 6.894757 kPa (NIST SP 811, appendix B.8)
    expect(reading?.asLeft).toBeCloseTo(199.95, 2);
  });
});
