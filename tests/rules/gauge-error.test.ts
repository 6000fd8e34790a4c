// Readings have errors, and a reading taken again is no wear: on fleets made up with a fixed seed, whose true wear is known, the slopes
// that are drawn are right on the whole and the intervals around them hold what they promise to hold.
import { describe, expect, test } from "vitest";
import { distanceRidden } from "../../src/planning/distance.ts";
import { setsOf } from "../../src/planning/forecast.ts";
import { weightOf } from "../../src/planning/gauges.ts";
import { leakOf, type PressureReading } from "../../src/planning/leak.ts";
import { stretchesOf, type WearingQuantity, type WearReading } from "../../src/planning/stretches.ts";
import { linearTrend, type Point } from "../../src/statistics/index.ts";
import { studentQuantile } from "../../src/statistics/quantiles.ts";
import { pooledTrend } from "../../src/statistics/trend.ts";
import { predict } from "../support/predict.ts";

/** Numbers of a fixed seed, even between 0 and 1 (mulberry32, public domain), and normal ones by Box and Muller (1958). */
function chance(seed: number): { even: () => number; normal: (sd: number) => number } {
  let state = seed;
  const even = (): number => {
    state = (state + 0x6d2b79f5) | 0;
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state);
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed;
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4_294_967_296;
  };
  return { even, normal: (sd) => sd * Math.sqrt(-2 * Math.log(1 - even())) * Math.cos(2 * Math.PI * even()) };
}

const start = Date.UTC(2026, 0, 5, 8);
const week = (n: number): string => new Date(start + n * 7 * 86_400_000).toISOString();
const WEEKS = 20;
const MACHINES = 2000;

interface Habit {
  /** millimetres to 1,000 km, positive for wear */
  readonly per1000Km: number;
  readonly begins: number;
  readonly sd: number;
  readonly mark: number;
  /** how often a reading is taken again and sent as left */
  readonly again: number;
  /** adjusted back to where it began once so much has worn */
  readonly setAt?: number;
}

/** One machine's readings, weeks with 300 to 400 km between them, and what the next reading will be. */
function machineOf({ even, normal }: ReturnType<typeof chance>, goes: "up" | "down", habit: Habit) {
  const looks = [{ kind: "read" as const, at: week(-1), odometerKm: 0 }];
  const readings: WearReading[] = [];
  const read = (truth: number): number => Math.round((truth + normal(habit.sd)) / habit.mark) * habit.mark;
  let [km, worn] = [0, 0];
  for (let n = 0; n < WEEKS; n += 1) {
    const ridden = 300 + 100 * even();
    km += ridden;
    worn += (habit.per1000Km * ridden) / 1000;
    const sign = goes === "up" ? 1 : -1;
    const asFound = read(habit.begins + sign * worn);
    const isSet = habit.setAt !== undefined && worn > habit.setAt;
    if (isSet) worn = 0;
    const asLeft = isSet || even() < habit.again ? read(habit.begins + sign * worn) : null;
    looks.push({ kind: "read", at: week(n), odometerKm: km });
    readings.push({ at: week(n), asFound, asLeft, renewed: false });
  }
  const next = read(habit.begins + (goes === "up" ? 1 : -1) * (worn + (habit.per1000Km * 350) / 1000));
  return { readings, ridden: distanceRidden(looks), km, next };
}

/** Of a fleet: the mean slope against the true one, and how often the intervals held the true slope (95 %) and the next reading (90 %). */
function fleetOf(quantity: WearingQuantity, goes: "up" | "down", habit: Habit, seed: number) {
  const random = chance(seed);
  let [slopes, slopeHeld, nextHeld] = [0, 0, 0];
  for (let machine = 0; machine < MACHINES; machine += 1) {
    const { readings, ridden, km, next } = machineOf(random, goes, habit);
    const { all, open } = stretchesOf(quantity, readings, ridden);
    expect(all).toHaveLength(1);
    const line = pooledTrend(setsOf(open?.points ?? []));
    const last = open?.points.at(-1);
    slopes += line.slope;
    slopeHeld += Math.abs(line.slope - habit.per1000Km / 1000) <= studentQuantile(0.975, line.df) * line.slopeSe ? 1 : 0;
    const worn = (last?.worn ?? 0) + (goes === "up" ? 1 : -1) * (next - (last?.value ?? 0));
    const { low, high } = predict(line, (ridden.at(-1)?.km ?? km) + 350, 0.9);
    nextHeld += worn >= low && worn <= high ? 1 : 0;
  }
  const share = (count: number): number => count / MACHINES;
  return { slopeRatio: share(slopes) / (habit.per1000Km / 1000), slopeHeld: share(slopeHeld), nextHeld: share(nextHeld) };
}

// Of 2,000 machines a share of 0.95 or 0.90 scatters by 0.005 and 0.007: four of these to either side, and the roundness of marks.
const expectHonest = ({ slopeRatio, slopeHeld, nextHeld }: ReturnType<typeof fleetOf>): void => {
  expect(Math.abs(slopeRatio - 1)).toBeLessThan(0.01);
  expect(slopeHeld).toBeGreaterThan(0.93);
  expect(slopeHeld).toBeLessThan(0.985);
  expect(nextHeld).toBeGreaterThan(0.87);
  expect(nextHeld).toBeLessThan(0.95);
};

describe("wear of a fleet whose true wear is known", () => {
  const tread = { per1000Km: 0.4, begins: 6, sd: 0.06, mark: 0.1 };
  test.each([
    ["read once", 0],
    ["read again now and then", 0.4],
    ["always read again", 1],
  ])("tread, %s: slopes within 1 % on the whole, intervals hold what they promise", (_, again) => {
    expectHonest(fleetOf("rear-tread", "down", { ...tread, again }, 17));
  });

  test.each([
    ["set when 4 mm have worn", 4, 0],
    ["set when 4 mm have worn, and read again", 4, 0.5],
    ["set every week", 0, 1],
  ])("free travel of a lever, %s", (_, setAt, again) => {
    expectHonest(fleetOf("rear-brake-free-travel", "up", { per1000Km: 5, begins: 22, sd: 0.7, mark: 1, setAt, again }, 18));
  });

  test("a second reading of the same tread is no wear, whichever way it lies", () => {
    // True wear 0.1 mm a week of 350 km. Read again 0.1 mm lower each time: counted from what was left, no wear at all was seen.
    const readings = Array.from({ length: 8 }, (_, n): WearReading => {
      const asFound = 6 - n * 0.1;
      return { at: week(n), asFound, asLeft: asFound - 0.1, renewed: false };
    });
    const looks = readings.map(({ at }, n) => ({ kind: "read" as const, at, odometerKm: n * 350 }));
    const points = stretchesOf("rear-tread", readings, distanceRidden(looks)).open?.points ?? [];
    expect(points.map(({ of }) => of)).toEqual(readings.map(() => 2));
    expect(pooledTrend(setsOf(points)).slope * 350).toBeCloseTo(0.1, 9);
  });

  test("a machine that stood and was measured three times was measured once", () => {
    const readings = [6, 5.9, 6].map((asFound, n): WearReading => ({ at: week(n), asFound, asLeft: null, renewed: false }));
    const points = stretchesOf("rear-tread", readings, [{ at: week(0), km: 500 }]).open?.points ?? [];
    expect(points).toMatchObject([{ of: 3, km: 0 + 500, worn: 0 }]);
    expect(points[0]?.value).toBeCloseTo(5.9667, 4);
  });

  test("a worse reading on the same day that no gauge error explains stays a reading of its own", () => {
    const readings = [6, 5].map((asFound): WearReading => ({ at: week(0), asFound, asLeft: null, renewed: false }));
    expect(stretchesOf("rear-tread", readings, []).open?.points.map(({ worn }) => worn)).toEqual([0, 1]);
  });
});

describe("a tyre whose true loss is known", () => {
  const fleet = (again: number, topUp: number) => {
    const { even, normal } = chance(19);
    let [rates, held] = [0, 0];
    for (let machine = 0; machine < MACHINES; machine += 1) {
      let kpa = 200;
      const readings = Array.from({ length: 12 }, (_, n): PressureReading => {
        kpa -= n === 0 ? 0 : 3;
        const read = (): number => Math.round(kpa + normal(0.8));
        const asFound = read();
        const worked = 200 - kpa >= topUp;
        if (worked) kpa = 200;
        const asLeft = worked || even() < again ? read() : null;
        return { at: week(n), asFound, asLeft, unit: "kPa", celsius: 20, renewed: false };
      });
      const { kpaPerWeek, low, high } = leakOf(readings);
      rates += kpaPerWeek ?? Number.NaN;
      held += (low ?? 9) <= 3 && (high ?? 0) >= 3 ? 1 : 0;
    }
    return { ratio: rates / MACHINES / 3, held: held / MACHINES };
  };
  test.each([
    ["topped up each week", 0, 1],
    ["topped up when 10 kPa are gone", 0, 10],
    ["topped up when 10 kPa are gone, and read again", 1, 10],
    ["never topped up, always read again", 1, 999],
  ])("%s: the rate is right on the whole and its interval holds it", (_, again, topUp) => {
    const { ratio, held } = fleet(again, topUp);
    expect(Math.abs(ratio - 1)).toBeLessThan(0.01);
    expect(held).toBeGreaterThan(0.93);
    expect(held).toBeLessThan(0.985);
  });
});

describe("a rider's readings", () => {
  test("say less than the bench's, and a gauge that is off by a fixed amount changes no rate", () => {
    const bench = Array.from(
      { length: 6 },
      (_, n): PressureReading => ({
        ...{ at: week(n), asFound: 200 - 2 * n, asLeft: null, unit: "kPa", celsius: 20, renewed: false },
      }),
    );
    const rider = (off: number) =>
      Array.from(
        { length: 5 },
        (_, n): PressureReading => ({
          ...{ at: week(n + 0.5), asFound: 199 - 2 * n + off, asLeft: null, unit: "kPa", celsius: null, renewed: false, by: "rider" },
        }),
      );
    for (const off of [0, 6, -6]) {
      const both = [...bench, ...rider(off)].sort((one, other) => (one.at < other.at ? -1 : 1));
      expect(leakOf(both).kpaPerWeek).toBeCloseTo(2, 9);
    }
    expect(weightOf("rider")).toBe(0.25);
    expect(weightOf("bench")).toBe(1);
  });

  test("a weight of n is what n readings at the same place say", () => {
    const points: Point[] = [
      [0, 1],
      [1, 2.2],
      [2, 2.9],
      [3, 4.3],
    ];
    const twice = linearTrend([...points, [1, 2.2]]);
    const weighed = linearTrend(points.map(([x, y]): Point => [x, y, x === 1 ? 2 : 1]));
    expect(weighed.slope).toBeCloseTo(twice.slope, 12);
    expect(weighed.intercept).toBeCloseTo(twice.intercept, 12);
  });
});
