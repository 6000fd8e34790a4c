// Distance over a new odometer, a machine's own daily distance, and readings cut into stretches between renewals.
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { dailyUse, distanceAt, distanceRidden, type OdometerSight } from "../../src/planning/distance.ts";
import { stretchesOf, type WearReading, wearValue } from "../../src/planning/stretches.ts";
import { testHandbook } from "../support/machines.ts";

const start = Date.UTC(2026, 5, 1, 5);
const day = (n: number): string => new Date(start + n * 86_400_000).toISOString();
const read = (n: number, odometerKm: number): OdometerSight => ({ kind: "read", at: day(n), odometerKm });

describe("distance", () => {
  test("goes on over a new odometer: what was ridden up to the change and after it counts, the jump between the two does not", () => {
    const ridden = distanceRidden([read(0, 12_000), { kind: "set", at: day(2), fromKm: 12_300, toKm: 0 }, read(5, 150)]);
    expect(ridden.map(({ km }) => km)).toEqual([0, 300, 450]);
    expect(distanceRidden([read(0, 100), { kind: "set", at: day(1), fromKm: 100, toKm: 9_000 }, read(2, 9_050)]).at(-1)?.km).toBe(50);
  });

  test("a figure below the one before is a slip, and the next sound one catches up", () => {
    expect(distanceRidden([read(0, 500), read(1, 50), read(2, 580)])).toEqual([
      { at: day(0), km: 0 },
      { at: day(2), km: 80 },
    ]);
  });

  test("between two looks it runs straight, before the first and after the last it stands", () => {
    const ridden = distanceRidden([read(0, 0), read(10, 1000)]);
    expect([-1, 0, 2.5, 10, 99].map((n) => distanceAt(ridden, day(n)))).toEqual([0, 0, 250, 1000, 1000]);
    expect(distanceAt([], day(0))).toBe(0);
  });

  test("never falls from one look to the next, whatever is read and set", () => {
    const sight = fc.oneof(
      fc.record({ kind: fc.constant("read" as const), odometerKm: fc.nat(20_000) }),
      fc.record({ kind: fc.constant("set" as const), fromKm: fc.nat(20_000), toKm: fc.nat(20_000) }),
    );
    fc.assert(
      fc.property(fc.array(sight, { maxLength: 30 }), (sights) => {
        const ridden = distanceRidden(sights.map((one, index): OdometerSight => ({ ...one, at: day(index) })));
        for (const [index, { km }] of ridden.entries()) expect(km).toBeGreaterThanOrEqual(ridden[index - 1]?.km ?? 0);
      }),
    );
  });
});

describe("a machine's own daily distance", () => {
  const now = new Date(day(60));

  test("is that of the last 28 days, days on which it stood included", () => {
    const ridden = distanceRidden([read(0, 0), read(32, 8000), read(46, 8700), read(60, 8700)]);
    expect(dailyUse(ridden, [], now)).toEqual({ kmPerDay: 25, km: 700, days: 28, readings: 3 });
    expect(dailyUse(distanceRidden([read(0, 0), read(20, 900)]), [], now)).toMatchObject({ kmPerDay: 0, days: 28 });
  });

  test("counts days in service only: not before it came, and not while it was withdrawn", () => {
    const ridden = distanceRidden([read(46, 0), read(60, 700)]);
    expect(dailyUse(ridden, [], now)).toMatchObject({ kmPerDay: 50, days: 14 });
    expect(dailyUse(ridden, [{ from: day(40), to: day(50) }], now)).toMatchObject({ kmPerDay: 70, days: 10 });
    expect(dailyUse(ridden, [{ from: day(53), to: null }], now)).toMatchObject({ kmPerDay: 100, days: 7 });
  });

  test("is not said under a week, nor without a look at the odometer", () => {
    expect(dailyUse(distanceRidden([read(54, 0), read(60, 700)]), [], now).kmPerDay).toBeNull();
    expect(dailyUse([], [], now)).toEqual({ kmPerDay: null, km: 0, days: 0, readings: 0 });
  });
});

const ridden = distanceRidden([read(0, 0), read(1000, 100_000)]);
const found = (n: number, asFound: number, rest: Partial<WearReading> = {}): WearReading => ({
  ...{ at: day(n), asFound, asLeft: null, renewed: false },
  ...rest,
});
const worn = (quantity: Parameters<typeof stretchesOf>[0], readings: readonly WearReading[]) =>
  stretchesOf(quantity, readings, ridden).all.map(({ points }) => points.map((point) => Number(point.worn.toFixed(6))));

describe("stretches", () => {
  test("a new part begins one, with its reading as left; the reading before it still belongs to the old part", () => {
    const { all, open } = stretchesOf(
      "rear-tread",
      [found(0, 3), found(7, 2.8), found(14, 2.6, { asLeft: 6, renewed: true }), found(21, 5.9)],
      ridden,
    );
    expect(all.map(({ points }) => points.map(({ km }) => km))).toEqual([
      [0, 700, 1400],
      [1400, 2100],
    ]);
    expect(all.map(({ begunBy, latest }) => [begunBy, latest])).toEqual([
      ["first-reading", 2.6],
      ["renewal", 5.9],
    ]);
    expect(open).toBe(all[1]);
  });

  test("of a new part that was not measured nothing is known until the next reading", () => {
    const renewed = [found(0, 2), found(7, 1.8, { renewed: true })];
    expect(stretchesOf("front-lining", renewed, ridden).open).toBeNull();
    expect(stretchesOf("front-lining", [...renewed, found(14, 4)], ridden).open).toMatchObject({ begunAt: day(14), begunBy: "renewal" });
  });

  test("adjusting hides no wear: it lies between the value as left and the next as found", () => {
    // 20 to 24, set to 18, 18 to 23, set to 20, 20 to 21: 4 + 5 + 1 mm of wear in one stretch.
    const readings = [found(0, 20), found(7, 24, { asLeft: 18 }), found(14, 23, { asLeft: 20 }), found(21, 21)];
    expect(worn("rear-brake-free-travel", readings)).toEqual([[0, 4, 4, 9, 9, 10]]);
    const [stretch] = stretchesOf("rear-brake-free-travel", readings, ridden).all;
    expect(stretch?.points.map(({ set, value }) => [set, value])).toEqual([
      [0, 20],
      [0, 24],
      [1, 18],
      [1, 23],
      [2, 20],
      [2, 21],
    ]);
    expect(stretchesOf("rear-brake-free-travel", readings, ridden).open?.latest).toBe(21);
  });

  test("a value that is better than a gauge can err begins one, though nobody wrote the work down; a smaller one is gauge error", () => {
    expect(worn("front-tread", [found(0, 2), found(7, 2.3), found(14, 2.1)])).toEqual([[0, -0.3, -0.1]]);
    expect(stretchesOf("front-tread", [found(0, 2), found(7, 5)], ridden).open).toMatchObject({
      begunBy: "better-than-wear-allows",
      latest: 5,
    });
    expect(worn("front-tread", [found(0, 2), found(7, 1.9, { asLeft: 5 }), found(14, 4.9)])).toEqual([
      [0, 0.1],
      [0, 0.1],
    ]);
  });

  test("a lever set at a repair begins one, since nobody knows what had worn by then", () => {
    const repair: WearReading = { at: day(10), asFound: null, asLeft: 20, renewed: false };
    expect(worn("front-brake-free-travel", [found(0, 20), found(7, 22), repair, found(14, 21)])).toEqual([
      [0, 2],
      [0, 1],
    ]);
  });

  test("a chain is judged by its elongation, and not at all without its handbook figures", () => {
    // ISO 606: 20 pitches of 12.7 mm are 254 mm.
    expect(wearValue("chain-length", 256.54, testHandbook)).toBeCloseTo(1, 9);
    expect(wearValue("chain-length", 256.54, {})).toBeNull();
    expect(wearValue("rear-tread", 3, {})).toBe(3);
  });

  test("a later reading never rewrites what came before it: closed stretches stand, the open one only grows at its end", () => {
    const one = fc.record({
      asFound: fc.option(fc.double({ min: 0, max: 40, noNaN: true })),
      asLeft: fc.option(fc.double({ min: 0, max: 40, noNaN: true })),
      renewed: fc.boolean(),
    });
    const quantity = fc.constantFrom("rear-tread", "chain-length", "front-brake-free-travel", "rear-lining");
    fc.assert(
      fc.property(quantity, fc.array(one, { minLength: 1, maxLength: 20 }), (of, readings) => {
        const dated = readings.map((reading, index): WearReading => ({ ...reading, at: day(index * 7) }));
        const before = stretchesOf(of, dated.slice(0, -1), ridden).all;
        const after = stretchesOf(of, dated, ridden).all;
        before.forEach(({ begunAt, begunBy, points }, index) => {
          expect(after[index]).toMatchObject({ begunAt, begunBy });
          expect(after[index]?.points.slice(0, points.length)).toEqual(points);
          if (index < before.length - 1) expect(after[index]).toEqual(before[index]);
        });
      }),
    );
  });
});
