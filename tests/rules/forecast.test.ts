// What wears, foreseen: against a second computation, and as properties that hold for any readings.
import fc from "fast-check";
import jstat from "jstat";
import { describe, expect, test } from "vitest";
import { addDays } from "../../shared/rules/calendar.ts";
import { newMachineState } from "../../shared/rules/machine-state.ts";
import { defaultPolicy } from "../../shared/rules/policy.ts";
import type { DecidingLimit } from "../../shared/rules/verdict.ts";
import { type Forecast, forecast, type Outlook } from "../../src/planning/forecast.ts";
import { foresee, type WearRecords } from "../../src/planning/foresee.ts";
import { sayForecast } from "../../src/planning/say-forecast.ts";
import { type Stretch, wearingQuantities } from "../../src/planning/stretches.ts";
import { testMachine } from "../support/machines.ts";

const today = "2026-07-13";
const outlook: Outlook = { today, nextInspectionInDays: 7, inspectionEveryDays: 7, riddenKm: 2000, kmPerDay: 50 };
const least = (value: number | null): DecidingLimit => ({ kind: "handbook", least: value, most: null, unit: "mm", source: "handbook" });

/** A stretch of tread from readings at distances. */
const treadOf = (readings: readonly (readonly [km: number, mm: number])[]): Stretch => {
  const first = readings[0]?.[1] ?? 0;
  return {
    ...{ begunAt: "2026-01-01T00:00:00.000Z", begunBy: "first-reading", latest: readings.at(-1)?.[1] ?? 0 },
    points: readings.map(([km, mm]) => ({
      ...{ at: "2026-01-01T00:00:00.000Z", km, value: mm, worn: first - mm },
      ...{ of: 1, set: 0, by: "bench", weight: 1 },
    })),
  };
};
const readings = [
  [0, 5.1],
  [500, 4.7],
  [1000, 4.5],
  [1500, 4.1],
  [2000, 4.0],
] as const;
const of = (points: readonly (readonly [number, number])[], limit: DecidingLimit, changes: Partial<Outlook> = {}): Forecast =>
  forecast("rear-tread", treadOf(points), limit, { ...outlook, ...changes });

/** The line by the textbook's sums, and Student's t of another library. */
function second(points: readonly (readonly [number, number])[]) {
  const n = points.length;
  const sum = (value: (x: number, y: number) => number): number => points.reduce((total, [x, y]) => total + value(x, y), 0);
  const slope = (n * sum((x, y) => x * y) - sum((x) => x) * sum((_, y) => y)) / (n * sum((x) => x * x) - sum((x) => x) ** 2);
  const intercept = (sum((_, y) => y) - slope * sum((x) => x)) / n;
  const sd = Math.sqrt(sum((x, y) => (y - intercept - slope * x) ** 2) / (n - 2));
  const mean = sum((x) => x) / n;
  const sxx = sum((x) => (x - mean) ** 2);
  const below = (limit: number, at: number): number =>
    jstat.jStat.studentt.cdf((limit - intercept - slope * at) / (sd * Math.sqrt(1 + 1 / n + (at - mean) ** 2 / sxx)), n - 2);
  return { slope, sd, below, limitAt: (limit: number) => (limit - intercept) / slope };
}

describe("a forecast", () => {
  const expected = second(readings);

  test("a new part lasts from what this one measured when new to its limit, by the same line; not told where nobody measured that", () => {
    const renewed = forecast("rear-tread", { ...treadOf(readings), begunBy: "renewal" }, least(3.5), outlook);
    expect(renewed.lifeDays).toBe(Math.floor((5.1 - 3.5) / -expected.slope / 50));
    expect(of(readings, least(3.5)).lifeDays).toBeNull();
    const stands = forecast("rear-tread", { ...treadOf(readings), begunBy: "renewal" }, least(3.5), { ...outlook, kmPerDay: 0 });
    expect(stands.lifeDays).toBeNull();
    // Any chain is as long as its pitches say when new: 0.4 % in 2000 km, 2 % is the limit.
    const chain = treadOf([
      [0, 1],
      [500, 0.9],
      [1000, 0.8],
      [1500, 0.7],
      [2000, 0.6],
    ]);
    const stretched = { ...chain, latest: 1.4, points: chain.points.map((point) => ({ ...point, value: 2 - point.value })) };
    const limit = { kind: "handbook", least: null, most: 2, unit: "percent", source: "handbook" } as const;
    expect(forecast("chain-length", stretched, limit, outlook).lifeDays).toBe(200);
  });

  test("is the least-squares line of the readings: slope, scatter, the distance to the limit and its day", () => {
    const one = of(readings, least(3.5));
    expect(one.slopePer1000Km).toBeCloseTo(expected.slope * 1000, 10);
    expect(one.residualSd).toBeCloseTo(expected.sd, 10);
    const kmLeft = expected.limitAt(3.5) - 2000;
    expect(one.atLimit?.kmLeft).toBeCloseTo(kmLeft, 6);
    expect(one.atLimit?.day).toBe(addDays(today, Math.floor(kmLeft / 50)));
  });

  test("gives the probability that the next inspection finds it past its limit, by Student's t", () => {
    for (const limit of [4.2, 3.8, 3.6, 3.4]) {
      expect(of(readings, least(limit)).probabilityPastNextInspection).toBeCloseTo(expected.below(limit, 2350), 7);
    }
  });

  test("begins its interval where that probability reaches 5 %, and ends it where it reaches 95 %", () => {
    const one = of(readings, least(3));
    expect(expected.below(3, 2000 + (one.earliest?.kmLeft ?? 0))).toBeCloseTo(0.05, 6);
    expect(expected.below(3, 2000 + (one.atLatest?.kmLeft ?? 0))).toBeCloseTo(0.95, 6);
  });

  test("asks for a new part where that is more than 5 %, says watch where it will be within four inspections, else fine", () => {
    const seen = new Set<string>();
    for (const limit of [3.9, 3.8, 3.7, 3.6, 3.5, 3.4, 3.3, 3.2, 3.1, 3, 2.5, 2]) {
      const { advice, earliest } = of(readings, least(limit));
      const risk = (days: number): number => expected.below(limit, 2000 + 50 * days);
      expect(advice).toBe(risk(7) > 0.05 ? "renew-at-this-inspection" : risk(35) > 0.05 ? "watch" : "fine");
      expect(advice === "renew-at-this-inspection").toBe((earliest?.kmLeft ?? 0) < 7 * 50);
      seen.add(advice);
    }
    expect(seen.size).toBe(3);
  });

  test("is not made from fewer than three readings, nor without a limit, nor before the daily distance is known", () => {
    expect(of(readings.slice(0, 2), least(3))).toMatchObject({
      advice: "too-few-readings",
      n: 2,
      atLimit: null,
      probabilityPastNextInspection: null,
    });
    expect(forecast("rear-tread", null, least(3), outlook)).toMatchObject({ advice: "too-few-readings", n: 0, latest: null });
    expect(of(readings, least(null)).advice).toBe("no-limit");
    expect(of(readings, least(3), { kmPerDay: null }).advice).toBe("too-few-readings");
    expect(of([[5, 4] as const, [5, 4] as const, [5, 3.9] as const], least(3)).advice).toBe("too-few-readings");
  });

  test("takes a slope that no machine could ride to its limit for no wear, not for a distance beyond all roads", () => {
    const same = [0, 350, 700, 1050, 1400].map((km, index) => [km, 5.1 - index * 1e-15] as const);
    expect(of(same, least(1.6))).toMatchObject({ advice: "not-wearing", atLimit: null });
    expect(
      of(
        [
          [0, 5.1],
          [500, 5.0],
          [1000, 4.9],
          [1500, 4.8],
        ],
        least(1.6),
      ).atLimit,
    ).not.toBeNull();
  });

  test("a value that is past its limit already is renewed whatever the count, and one that does not move is not wearing", () => {
    expect(of(readings.slice(0, 1), least(5.2)).advice).toBe("renew-at-this-inspection");
    expect(of([[0, 4] as const, [900, 4.1] as const, [2000, 4.1] as const], least(2))).toMatchObject({
      advice: "not-wearing",
      atLimit: null,
    });
  });

  test("a lever is adjusted, not renewed; a machine that stands has a distance and no day", () => {
    const tread = treadOf(readings);
    const lever: Stretch = { ...tread, latest: 29.9, points: tread.points.map((point) => ({ ...point, value: point.value + 25.9 })) };
    const most: DecidingLimit = { ...least(null), most: 30 };
    expect(forecast("rear-brake-free-travel", lever, most, outlook)).toMatchObject({ advice: "adjust-at-this-inspection" });
    expect(of(readings, least(3), { kmPerDay: 0 }).atLimit).toMatchObject({ day: null });
    expect(of(readings, least(3), { kmPerDay: 0 }).atLimit?.kmLeft).toBeGreaterThan(0);
  });
});

/** Readings of tread at growing distances, wearing with some scatter. */
const course = fc
  .tuple(
    fc.array(fc.tuple(fc.integer({ min: 50, max: 900 }), fc.double({ min: -0.2, max: 0.2, noNaN: true })), { minLength: 3, maxLength: 20 }),
    fc.double({ min: 0.2, max: 0.8, noNaN: true }),
  )
  .map(([steps, per1000Km]) => {
    let km = 0;
    return steps.map(([step, scatter]) => {
      km += step;
      return [km, 8 - (per1000Km * km) / 1000 + scatter] as const;
    });
  });
const ridden = (points: readonly (readonly [number, number])[]): number => points.at(-1)?.[0] ?? 0;

describe("for any readings", () => {
  test("more tread never shortens life: on every reading, or on the last", () => {
    fc.assert(
      fc.property(course, fc.double({ min: 0, max: 3, noNaN: true }), (points, more) => {
        const life = (with_: readonly (readonly [number, number])[]) => of(with_, least(-20), { riddenKm: ridden(points) });
        const before = life(points);
        const all = life(points.map(([km, mm]) => [km, mm + more] as const));
        const last = life(points.map(([km, mm], index) => [km, index === points.length - 1 ? mm + more : mm] as const));
        for (const after of [all, last]) {
          if (before.atLimit && after.atLimit) expect(after.atLimit.kmLeft).toBeGreaterThanOrEqual(before.atLimit.kmLeft - 1e-6);
        }
        expect(all.probabilityPastNextInspection ?? 1).toBeLessThanOrEqual((before.probabilityPastNextInspection ?? 1) + 1e-9);
      }),
    );
  });

  test("a stricter limit never lengthens life", () => {
    fc.assert(
      fc.property(
        course,
        fc.double({ min: 0, max: 4, noNaN: true }),
        fc.double({ min: 0, max: 4, noNaN: true }),
        (points, one, stricter) => {
          const life = (limit: number) => of(points, least(limit), { riddenKm: ridden(points) });
          const [wide, narrow] = [life(one), life(one + stricter)];
          if (wide.atLimit && narrow.atLimit) expect(narrow.atLimit.kmLeft).toBeLessThanOrEqual(wide.atLimit.kmLeft + 1e-6);
          expect(narrow.probabilityPastNextInspection ?? 0).toBeGreaterThanOrEqual((wide.probabilityPastNextInspection ?? 0) - 1e-9);
        },
      ),
    );
  });

  test("miles for kilometres and inches for millimetres change no advice, no probability and no day", () => {
    fc.assert(
      fc.property(course, fc.double({ min: 0, max: 8, noNaN: true }), (points, limit) => {
        const [mile, inch] = [1.609344, 25.4];
        const metric = of(points, least(limit), { riddenKm: ridden(points) });
        const imperial = of(
          points.map(([km, mm]) => [km / mile, mm / inch] as const),
          least(limit / inch),
          { riddenKm: ridden(points) / mile, kmPerDay: 50 / mile },
        );
        expect(imperial.probabilityPastNextInspection ?? 0).toBeCloseTo(metric.probabilityPastNextInspection ?? 0, 6);
        // How far a machine is ridden at all is a figure in km: what wears out at about that distance is told as wear in one unit alone.
        const wornInAMillionKm = (metric.slopePer1000Km ?? 0) * -1000;
        const room = Math.max(0, (points.at(-1)?.[1] ?? 0) - limit);
        const aboutAsFar = wornInAMillionKm > room / 2 && wornInAMillionKm < room * 2;
        const nearRisk = Math.abs((metric.probabilityPastNextInspection ?? 0) - 0.05) <= 1e-6;
        if (!aboutAsFar && !nearRisk) expect(imperial.advice).toBe(metric.advice);
        if (metric.atLimit) expect(((imperial.atLimit?.kmLeft ?? 0) * mile) / metric.atLimit.kmLeft).toBeCloseTo(1, 6);
      }),
    );
  });
});

describe("a machine", () => {
  const now = new Date("2026-07-13T04:30:00.000Z");
  const depotRules = { timeZone: "Europe/London", policy: defaultPolicy };
  const state = { ...newMachineState(1000, "2026-04-01T00:00:00.000Z"), firstUseDue: null, lastInspectionAt: "2026-07-10T08:00:00.000Z" };
  const machine = { ...testMachine, state, depotRules };
  const week = (index: number): string => new Date(now.getTime() - (10 - index) * 7 * 86_400_000).toISOString();
  const records = (changes: Partial<WearRecords> = {}, flags: readonly string[] = []): WearRecords => ({
    ...{ repairs: [], closings: [], checks: [], odometerSet: [], away: [], added: { at: week(0), odometerKm: 1000 } },
    inspections: Array.from({ length: 10 }, (_, index) => ({
      ...{ at: week(index + 1), odometerKm: 1350 + index * 350, flags: index === 5 ? flags : [] },
      // Over 20 pitches of 12.7 mm: 0.5 % and on by 0.1 % a week.
      readings: [
        { itemId: "chain-wear", asFound: 254 * (1.005 + index * 0.001), asLeft: null, replaced: false },
        { itemId: "rear-tyre-tread-weekly", asFound: 6 - index * 0.1, asLeft: null, replaced: false },
      ],
    })),
    ...changes,
  });
  const chain = ({ forecasts }: ReturnType<typeof foresee>) => forecasts.find(({ quantity }) => quantity === "chain-length");

  test("is foreseen from its own records: 50 km a day, its chain at 2 % in as many weeks as are left", () => {
    const foreseen = foresee(machine, records(), now);
    expect(foreseen.use.kmPerDay).toBeCloseTo(50, 6);
    expect(foreseen.nextInspectionDay).toBe("2026-07-17");
    // 1.4 % now and 0.1 % a week, within what the rounding of doubles leaves.
    expect(chain(foreseen)?.atLimit?.kmLeft).toBeCloseTo(6 * 350, 3);
    expect(foreseen.forecasts.map(({ quantity }) => quantity)).toEqual(wearingQuantities);
  });

  test("an odometer that was renewed, or misread once, changes nothing about it", () => {
    const plain = chain(foresee(machine, records(), now))?.atLimit?.kmLeft;
    const { inspections } = records();
    const renewed = records({
      odometerSet: [{ at: new Date(Date.parse(week(6)) + 1000).toISOString(), fromKm: 3100, toKm: 0 }],
      inspections: inspections.map((one, index) => ({ ...one, odometerKm: index > 5 ? one.odometerKm - 3100 : one.odometerKm })),
    });
    expect(chain(foresee(machine, renewed, now))?.atLimit?.kmLeft).toBeCloseTo(plain ?? 0, 6);
    const misread = records({}, ["odometer-jump"]);
    const jumped = {
      ...misread,
      inspections: misread.inspections.map((one, index) => (index === 5 ? { ...one, odometerKm: 99_999 } : one)),
    };
    expect(chain(foresee(machine, jumped, now))?.atLimit?.kmLeft).toBeCloseTo(plain ?? 0, 6);
  });

  const newChain = { quantity: "chain-length", itemId: "chain-wear", observationIds: [], parts: 1, reading: null } as const;
  test("a repair with a new chain begins its wear anew; a miscounted length says nothing", () => {
    const repaired = records({
      repairs: [{ at: new Date(Date.parse(week(9)) + 1000).toISOString(), ...newChain }],
    });
    expect(chain(foresee(machine, repaired, now))).toMatchObject({ n: 1, advice: "too-few-readings" });
    const { inspections } = records();
    const miscounted = records({
      inspections: inspections.map((one, index) =>
        index === 4 ? { ...one, readings: [{ itemId: "chain-wear", asFound: 241.3, asLeft: null, replaced: false }] } : one,
      ),
    });
    expect(chain(foresee(machine, miscounted, now))).toMatchObject({ n: 9 });
  });

  test("a tyre renewed after a daily find begins its wear anew, and one that got a new tube goes on", () => {
    const later = (weeks: number, hours: number): string => new Date(Date.parse(week(weeks)) + hours * 3_600_000).toISOString();
    const repair = {
      at: later(9, 24),
      quantity: "rear-tread",
      itemId: "rear-tyre-tread",
      observationIds: ["rear-tyre-tread.nail"],
      parts: 1,
      reading: null,
    } as const;
    const closing = (reading: number) => [{ at: later(9, 25), quantity: "rear-tread", reading, repairedAt: repair.at } as const];
    const tread = (changes: Partial<WearRecords>) =>
      foresee(machine, records({ repairs: [repair], ...changes }), now).forecasts.find(({ quantity }) => quantity === "rear-tread");
    // Signed off at what the week before had measured, or at far more.
    expect(tread({ closings: closing(5.2) })).toMatchObject({ n: 11, since: week(1) });
    expect(tread({ closings: closing(8) })?.since).not.toBe(week(1));
    // Not measured yet: a nail says nothing, cords that show do.
    expect(tread({})).toMatchObject({ n: 10, since: week(1) });
    expect(tread({ repairs: [{ ...repair, observationIds: ["rear-tyre-tread.cords-show"] }] })).toMatchObject({ n: 1, since: week(10) });
  });

  test("every forecast has its sentence, with value and limit in it", () => {
    const said = foresee(machine, records(), now).forecasts.map(sayForecast);
    expect(said.find((text) => text.includes("2\u00a0%"))).toMatch(
      /^1\.4\u00a0%, limit 2\u00a0% in about 2,100\u00a0km, around 2026-08-24\.$/,
    );
    for (const text of said) expect(text).toMatch(/^[^{}]+\.$/);
    expect(sayForecast({ ...of(readings, least(5)), advice: "renew-at-this-inspection" })).toBe("4\u00a0mm, past the limit of 5\u00a0mm.");
  });
});
