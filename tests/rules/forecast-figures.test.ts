// The sentences about what is foreseen, for any readings: each figure in them is computed here a second time, by the textbook's sums and
// Student's t of another library, and compared with what is printed.
import fc from "fast-check";
import jstat from "jstat";
import { describe, expect, test } from "vitest";
import { addDays } from "../../shared/rules/calendar.ts";
import type { DecidingLimit } from "../../shared/rules/verdict.ts";
import { planningWords } from "../../shared/words/en/planning.ts";
import { distanceRidden } from "../../src/planning/distance.ts";
import { type Advice, forecast } from "../../src/planning/forecast.ts";
import { leakOf, type PressureReading } from "../../src/planning/leak.ts";
import { sayLeak } from "../../src/planning/pressure-trend.ts";
import { sayForecast } from "../../src/planning/say-forecast.ts";
import { stretchesOf, type WearReading } from "../../src/planning/stretches.ts";
import { bound, expectFigures, type Figure, figure, figuresIn, plain } from "../support/figures.ts";

const today = "2026-07-13";
const start = Date.UTC(2026, 0, 5, 8);
const week = (n: number): string => new Date(start + n * 7 * 86_400_000).toISOString();

interface Course {
  readonly steps: readonly number[];
  readonly found: readonly number[];
  readonly limit: number | null;
  readonly kmPerDay: number | null;
}

/** Tread in hundredths of a millimetre, read once a week: some wear, some scatter, from plenty to worn out. */
const course: fc.Arbitrary<Course> = fc
  .record({
    steps: fc.array(fc.integer({ min: 60, max: 500 }), { minLength: 1, maxLength: 14 }),
    begins: fc.integer({ min: 150, max: 700 }),
    per1000Km: fc.constantFrom(0, 20, 60, 120),
    scatter: fc.array(fc.integer({ min: -12, max: 12 }), { minLength: 14, maxLength: 14 }),
    limit: fc.option(fc.integer({ min: 80, max: 250 })),
    kmPerDay: fc.option(fc.integer({ min: 10, max: 120 }), { freq: 12 }),
  })
  .map(({ steps, begins, per1000Km, scatter, limit, kmPerDay }) => {
    let km = 0;
    const found = steps.map((step, n) => {
      km += step;
      return Math.max(0, Math.round(begins - (per1000Km * km) / 1000 + (scatter[n] ?? 0))) / 100;
    });
    return { steps, found, limit: limit === null ? null : limit / 100, kmPerDay };
  });

/** The line by the sums of a textbook; null where three points or two places are missing. */
function lineOf(points: readonly (readonly [number, number])[]) {
  const n = points.length;
  const sum = (of: (x: number, y: number) => number): number => points.reduce((total, [x, y]) => total + of(x, y), 0);
  const [mx, my] = [sum((x) => x) / n, sum((_, y) => y) / n];
  const sxx = sum((x) => (x - mx) ** 2);
  const slope = sum((x, y) => (x - mx) * (y - my)) / sxx;
  const sd = Math.sqrt(sum((x, y) => (y - my - slope * (x - mx)) ** 2) / (n - 2));
  const at = (x: number): number => my + slope * (x - mx);
  const below = (limit: number, x: number): number =>
    jstat.jStat.studentt.cdf((limit - at(x)) / (sd * Math.sqrt(1 + 1 / n + (x - mx) ** 2 / sxx)), n - 2);
  return { below, limitAt: (limit: number): number => mx + (limit - my) / slope };
}

const met = new Set<Advice | "past">();

function check({ steps, found, limit, kmPerDay }: Course): void {
  let km = 0;
  const kms = steps.map((step) => {
    km += step;
    return km;
  });
  const readings = found.map((asFound, n): WearReading => ({ at: week(n), asFound, asLeft: null, renewed: false }));
  const looks = kms.map((odometerKm, n) => ({ kind: "read" as const, at: week(n), odometerKm }));
  const { open } = stretchesOf("rear-tread", readings, distanceRidden(looks));
  // A better reading than gauges err is a new tyre: its stretch is the one that is spoken of.
  const from = found.length - (open?.points.length ?? 0);
  const first = kms[0] ?? 0;
  const own = found.slice(from).map((mm, n) => [(kms[from + n] ?? 0) - first, mm] as const);
  const deciding: DecidingLimit = { kind: "handbook", least: limit, most: null, unit: "mm", source: "handbook" };
  const outlook = { today, nextInspectionInDays: 7, inspectionEveryDays: 7, riddenKm: km - first, kmPerDay };
  const said = forecast("rear-tread", open, deciding, outlook);
  const text = sayForecast(said);
  const last = figure(found.at(-1) ?? 0, "mm");
  const limits: Figure[] = limit === null ? [] : [last, bound(limit, "mm")];
  const isPast = limit !== null && (found.at(-1) ?? 0) < limit;
  met.add(isPast ? "past" : said.advice);
  if (isPast) {
    expectFigures(text, "en", limits);
    const [value, past] = figuresIn(text, "en");
    expect(value?.value).toBeLessThan(past?.value ?? 0);
    return;
  }
  if (said.advice === "no-limit") {
    expect(limit).toBeNull();
    expectFigures(text, "en", []);
    return;
  }
  if (said.advice === "too-few-readings") {
    expect(own.length < 3 || kmPerDay === null).toBe(true);
    expectFigures(text, "en", [plain(own.length), plain(3)]);
    return;
  }
  const line = lineOf(own);
  if (said.advice === "renew-at-this-inspection") {
    const risk = line.below(limit ?? 0, km - first + 7 * (kmPerDay ?? 0));
    if (!Number.isNaN(risk)) expect(risk).toBeGreaterThan(0.05 - 1e-6);
    const [, , chance] = figuresIn(text, "en");
    if (risk > 0.99) expect(text).toContain("over 99 %");
    else if (!Number.isNaN(risk)) expect(Math.abs((chance?.value ?? 0) - 100 * risk)).toBeLessThanOrEqual(0.5 + 1e-5);
    expectFigures(text.replace(/ \([^)]*\)/, ""), "en", limits);
    return;
  }
  if (said.advice === "not-wearing") {
    expectFigures(text, "en", [...limits, plain(own.length)]);
    return;
  }
  const left = line.limitAt(limit ?? 0) - (km - first);
  const days = Math.floor(left / (kmPerDay ?? 1));
  const [sentence = "", day] = text.split(/, around |(?<=\d{4}-\d\d-\d\d)/);
  expectFigures(sentence.replace(/\. Watch.*/, ""), "en", [...limits, figure(left, "km")]);
  // To the day, or one beside it where the distance falls on the turn of a day.
  if (days < 3600) expect([days - 1, days, days + 1].map((one) => addDays(today, one))).toContain(day);
}

describe("every sentence of a forecast", () => {
  test("prints the figures that another computation gives", () => {
    fc.assert(fc.property(course, check), { numRuns: 3000, seed: 11 });
    const codes = Object.keys(planningWords).map((key) => key.replace("forecast.", ""));
    // A lever is adjusted where a tyre is renewed, in the same words.
    const alike = ["when", "adjust-at-this-inspection"];
    expect([...met].sort()).toEqual(codes.filter((code) => !alike.includes(code)).sort());
    const renew = planningWords["forecast.renew-at-this-inspection"];
    expect(planningWords["forecast.adjust-at-this-inspection"]).toBe(renew.replace("Renew", "Adjust"));
  });
});

describe("every sentence of a tyre's trend", () => {
  test("prints the rate, its interval and what tyres lose by themselves, and says what they come to", () => {
    // 1.5 psi in 30 days; 1 psi = 6.894757 kPa (NIST SP 811)
    const natural = (1.5 * 6.894757293168 * 7) / 30;
    const seen = new Set<string>();
    const losses = fc.record({
      rate: fc.constantFrom(-1, 0, 1, 2.4, 2.6, 4, 12),
      scatter: fc.array(fc.integer({ min: -3, max: 3 }), { minLength: 0, maxLength: 9 }),
    });
    fc.assert(
      fc.property(losses, ({ rate, scatter }) => {
        const readings = scatter.map(
          (more, n): PressureReading => ({
            ...{ at: week(n), asFound: 200 - rate * n + more, asLeft: null, unit: "kPa", celsius: 20, renewed: false },
          }),
        );
        const leak = leakOf(readings);
        const text = sayLeak(leak);
        seen.add(leak.finding);
        if (leak.finding === "too-few-readings") {
          expectFigures(text, "en", [plain(leak.points.length), plain(3)]);
          return;
        }
        const kpa = readings.slice(-leak.points.length).map(({ asFound }, n) => [n, -asFound] as const);
        const n = kpa.length;
        const [mx, my] = [0, 1].map((at) => kpa.reduce((sum, point) => sum + (point[at] ?? 0), 0) / n) as [number, number];
        const sxx = kpa.reduce((sum, [x]) => sum + (x - mx) ** 2, 0);
        const slope = kpa.reduce((sum, [x, y]) => sum + (x - mx) * (y - my), 0) / sxx;
        const rss = kpa.reduce((sum, [x, y]) => sum + (y - my - slope * (x - mx)) ** 2, 0);
        const half = jstat.jStat.studentt.inv(0.975, n - 2) * Math.sqrt(rss / (n - 2) / sxx);
        const interval = [figure(slope - half, "kPa"), figure(slope + half, "kPa")];
        expectFigures(text, "en", [
          ...(slope <= 1e-9 && /^No loss/.test(text) ? [] : [figure(slope, "kPa")]),
          ...interval,
          figure(natural, "kPa"),
        ]);
        expect(/look for a slow puncture/.test(text)).toBe(slope - half > natural);
        expect(/no more than|No loss/.test(text)).toBe(slope <= natural);
        expect(/^Loses -/.test(text)).toBe(false);
      }),
      { numRuns: 1500, seed: 12 },
    );
    expect([...seen].sort()).toEqual(["natural", "slow-puncture", "too-few-readings", "watch"]);
  });
});
