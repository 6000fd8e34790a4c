import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { ruleSets } from "../../shared/catalogue/rule-sets.ts";
import {
  brakeEfficiency,
  judgeBrakeEfficiency,
  judgeBrakeFreeTravel,
  judgeBrakeRod,
  judgeLining,
  legalEfficiencyOf,
  legalLiningOf,
} from "../../shared/rules/brake.ts";
import { intervalDue, judgeOilLevel } from "../../shared/rules/engine.ts";
import { judgeTread, judgeTyrePressure, pressureAtTemperature, treadLawOf } from "../../shared/rules/tyre.ts";
import { judgeRunOut } from "../../shared/rules/wheel.ts";
import { convert } from "../../shared/units.ts";

const kmhOfMph = (mph: number): number => mph * 1.609344;

describe("pressure at another temperature", () => {
  test("7.00e5 Pa absolute at 18.0 C is 7.41e5 Pa at 35.0 C", () => {
    // OpenStax College Physics, The Ideal Gas Law, example on tyre pressure; tolerance 0.005e5 Pa
    const kpa = pressureAtTemperature({ gaugeKpa: 700, fromCelsius: 18, toCelsius: 35, atmosphereKpa: 0 });
    expect(Math.abs(kpa - 741)).toBeLessThan(0.5);
  });

  test("2.50e5 Pa gauge at 35.0 C is 1.62 atm gauge at -40.0 C", () => {
    // OpenStax College Physics, The Ideal Gas Law, problem with printed answer; tolerance 0.01 atm
    const kpa = pressureAtTemperature({ gaugeKpa: 250, fromCelsius: 35, toCelsius: -40 });
    expect(Math.abs(kpa / 101.325 - 1.62)).toBeLessThan(0.01);
  });

  // computed from p/T constant with 101.325 kPa; tolerance 0.01
  test.each([
    [200, 20, 0, 179.44],
    [200, 20, 30, 210.28],
  ])("%f kPa at %f C is, at %f C, %f kPa", (gaugeKpa, fromCelsius, toCelsius, expected) => {
    expect(Math.abs(pressureAtTemperature({ gaugeKpa, fromCelsius, toCelsius }) - expected)).toBeLessThan(0.01);
  });

  test("there and back gives the same pressure", () => {
    const celsius = fc.double({ min: -40, max: 80, noNaN: true });
    fc.assert(
      fc.property(fc.double({ min: 0, max: 600, noNaN: true }), celsius, celsius, (gaugeKpa, fromCelsius, toCelsius) => {
        const there = pressureAtTemperature({ gaugeKpa, fromCelsius, toCelsius });
        const back = pressureAtTemperature({ gaugeKpa: there, fromCelsius: toCelsius, toCelsius: fromCelsius });
        expect(Math.abs(back - gaugeKpa)).toBeLessThan(1e-9);
      }),
    );
  });

  test("what no tyre can be is refused", () => {
    expect(() => pressureAtTemperature({ gaugeKpa: 200, fromCelsius: -273.15, toCelsius: 0 })).toThrow(RangeError);
    expect(() => pressureAtTemperature({ gaugeKpa: -102, fromCelsius: 20, toCelsius: 0 })).toThrow(RangeError);
  });
});

describe("cold tyre pressure", () => {
  const front = { solo: { value: 175, unit: "kPa" }, laden: { value: 200, unit: "kPa" } } as const;

  test("25 % under counts from the very value on", () => {
    // 49 CFR 571.138 S4.2(a): at or below 25 % under the recommended cold pressure; 175 kPa -> 131.25 kPa
    expect(judgeTyrePressure(131.25, "kPa", front, "solo")).toMatchObject({
      outcome: "adjust",
      category: "major",
      limit: { kind: "handbook", least: 157.5, most: 192.5, unit: "kPa", source: "handbook" },
      offBy: -26.25,
      categoryBy: { least: 131.25, source: "fmvss-138" },
    });
    expect(judgeTyrePressure(131.26, "kPa", front, "solo")).toMatchObject({ outcome: "adjust", category: "minor" });
    // 49 CFR 571.138 S4.2(a): 200 kPa -> 150 kPa
    expect(judgeTyrePressure(150, "kPa", front, "laden").category).toBe("major");
    expect(judgeTyrePressure(0, "kPa", front, "solo").category).toBe("major");
  });

  test("10 % either way is within, exactly too", () => {
    for (const target of [175, 200, 225, 280, 1.75, 2.25, 25, 29, 33]) {
      const printed = { solo: { value: target, unit: "kPa" as const } };
      expect(judgeTyrePressure(target - target / 10, "kPa", printed, "solo").outcome, `${target}`).toBe("within");
      expect(judgeTyrePressure(target + target / 10, "kPa", printed, "solo").outcome, `${target}`).toBe("within");
      expect(judgeTyrePressure(target * 0.8999, "kPa", printed, "solo").outcome, `${target}`).toBe("adjust");
      expect(judgeTyrePressure(target * 1.1001, "kPa", printed, "solo"), `${target}`).toMatchObject({
        outcome: "adjust",
        category: "minor",
      });
    }
  });

  test("the handbook's own unit decides: 25 psi printed is 25 psi, not 1.75 kg/cm2 or 175 kPa", () => {
    const verdict = judgeTyrePressure(172.368932, "kPa", { solo: { value: 25, unit: "psi" } }, "solo");
    expect(verdict).toMatchObject({ outcome: "within", limit: { least: 22.5, most: 27.5, unit: "psi" } });
    expect(verdict.compared?.unit).toBe("psi");
    expect(verdict.compared?.value).toBeCloseTo(25, 6);
  });

  test("a load takes the laden figure where the handbook prints one, else the only figure", () => {
    expect(judgeTyrePressure(160, "kPa", front, "laden").outcome).toBe("adjust");
    expect(judgeTyrePressure(160, "kPa", front, "solo").outcome).toBe("within");
    expect(judgeTyrePressure(160, "kPa", { solo: front.solo }, "laden").outcome).toBe("within");
    expect(judgeTyrePressure(160, "kPa", undefined, "solo")).toMatchObject({ outcome: "not-set", category: null });
  });

  test("the same pressure in another unit gets the same verdict", () => {
    const unit = fc.constantFrom("kPa", "psi", "bar");
    fc.assert(
      fc.property(
        fc.double({ min: 0, max: 600, noNaN: true }),
        unit,
        unit,
        fc.integer({ min: 100, max: 300 }),
        (kpa, read, printed, target) => {
          const handbook = { solo: { value: convert(target, "kPa", printed), unit: printed } };
          const verdict = judgeTyrePressure(convert(kpa, "kPa", read), read, handbook, "solo");
          const plain = judgeTyrePressure(kpa, "kPa", { solo: { value: target, unit: "kPa" } }, "solo");
          expect([verdict.outcome, verdict.category]).toEqual([plain.outcome, plain.category]);
        },
      ),
      { numRuns: 1000 },
    );
  });
});

describe("tread", () => {
  // SI 1986/1078 reg. 27(1)(g)
  const oneMm = { asks: "depth", leastMm: 1.0, source: "cu-27" } as const;

  test("0.9 mm fails on 125 cc and passes on 49 cc with the pattern visible", () => {
    // SI 1986/1078 reg. 27(1)(g) and (4); older test manual 4.1
    expect(judgeTread({ depthMm: 0.9, law: treadLawOf("gb", 125, "four-stroke") })).toMatchObject({
      outcome: "fails",
      category: "major",
      limit: { kind: "legal", least: 1, source: "cu-27" },
      offBy: -0.1,
    });
    const small = treadLawOf("gb", 49, "two-stroke");
    expect(judgeTread({ depthMm: 0.9, law: small, patternVisible: true }).category).toBeNull();
    expect(judgeTread({ depthMm: 0.9, law: small, patternVisible: false })).toMatchObject({ outcome: "fails", category: "major" });
    expect(judgeTread({ depthMm: 0, law: small })).toMatchObject({ outcome: "fails", category: "major" });
  });

  test("1.0 mm passes; the exemption is by engine capacity, so it is not for electric machines", () => {
    // SI 1986/1078 reg. 27
    expect(judgeTread({ depthMm: 1.0, law: oneMm }).outcome).toBe("within");
    expect(treadLawOf("gb", 50, "four-stroke")?.asks).toBe("visible-pattern");
    expect(treadLawOf("gb", 51, "four-stroke")).toEqual(oneMm);
    expect(treadLawOf("gb", null, "electric")).toEqual(oneMm);
    expect(treadLawOf("gb", null, "four-stroke")).toEqual(oneMm);
  });

  test("between the handbook's limit and the law's: renew soon", () => {
    const verdict = judgeTread({ depthMm: 1.2, law: oneMm, handbookLeastMm: 1.5 });
    expect(verdict).toMatchObject({ outcome: "renew-soon", category: "minor", limit: { kind: "handbook", least: 1.5 }, offBy: -0.3 });
    expect(judgeTread({ depthMm: 1.5, law: oneMm, handbookLeastMm: 1.5 })).toMatchObject({ outcome: "within", offBy: 0 });
    expect(judgeTread({ depthMm: 1.5, law: null, handbookLeastMm: 2 }).outcome).toBe("renew-soon");
  });

  test("more tread is never worse", () => {
    const badness = { within: 0, "not-set": 0, adjust: 1, "renew-soon": 1, fails: 2 };
    const depth = fc.double({ min: 0, max: 8, noNaN: true });
    fc.assert(
      fc.property(
        depth,
        depth,
        fc.constantFrom(1, 1.6, null),
        fc.option(fc.double({ min: 0.1, max: 3, noNaN: true })),
        (a, b, law, book) => {
          const [less, more] = a < b ? [a, b] : [b, a];
          const judge = (depthMm: number) =>
            badness[
              judgeTread({ depthMm, law: law === null ? null : { ...oneMm, leastMm: law }, handbookLeastMm: book ?? undefined }).outcome
            ];
          expect(judge(more)).toBeLessThanOrEqual(judge(less));
        },
      ),
    );
  });
});

describe("braking", () => {
  // Highway Code, rule 126 typical stopping distances, with v^2/(2gd); tolerance 0.001 and 0.05
  test.each([
    [20, 6, 6.661, 67.9],
    [30, 14, 6.424, 65.5],
    [40, 24, 6.661, 67.9],
    [50, 38, 6.574, 67.0],
    [60, 55, 6.54, 66.7],
    [70, 75, 6.528, 66.6],
  ])("from %d mph in %d m: %f m/s2, %f %%", (mph, distanceM, deceleration, efficiency) => {
    const stop = brakeEfficiency({ speedKmh: kmhOfMph(mph), distanceM });
    expect(Math.abs(stop.decelerationMs2 - deceleration)).toBeLessThan(0.001);
    expect(Math.abs(stop.efficiencyPercent - efficiency)).toBeLessThan(0.05);
  });

  test("30 % from 20 mph takes 13.586 m, 25 % takes 16.303 m, 30 % from 30 km/h takes 11.802 m", () => {
    // computed from v^2/(2gd) with g = 9.80665 m/s2; tolerance 0.0005 m
    expect(brakeEfficiency({ speedKmh: kmhOfMph(20), distanceM: 13.586 }).efficiencyPercent).toBeCloseTo(30, 2);
    expect(brakeEfficiency({ speedKmh: kmhOfMph(20), distanceM: 16.303 }).efficiencyPercent).toBeCloseTo(25, 2);
    expect(brakeEfficiency({ speedKmh: 30, distanceM: 11.802 }).efficiencyPercent).toBeCloseTo(30, 2);
    expect(() => brakeEfficiency({ speedKmh: 30, distanceM: 0 })).toThrow(RangeError);
  });

  test("30.59 % meets 30, and 29.9 % does not", () => {
    // older test manual 3.3
    expect(judgeBrakeEfficiency(30.59, legalEfficiencyOf("gb", 125)).outcome).toBe("within");
    expect(judgeBrakeEfficiency(29.9, legalEfficiencyOf("gb", 125))).toMatchObject({
      outcome: "fails",
      category: "major",
      offBy: -0.1,
      limit: { source: "mot-old-3.3" },
    });
  });

  test("a rod of 6.0 mm passes at 4.0 and fails at 3.9", () => {
    // DVSA special notice 03-19, 1.1.15: reduced by more than one third
    const third = ruleSets.gb.brakeRodWornMostShare;
    expect(judgeBrakeRod(4.0, 6.0, third).outcome).toBe("within");
    expect(judgeBrakeRod(3.9, 6.0, third)).toMatchObject({ outcome: "fails", category: "major", limit: { source: "mot-1.1.15" } });
    expect(judgeBrakeRod(3.999, 6.0, third).outcome).toBe("fails");
    for (const newMm of [4.5, 5, 5.2, 7]) expect(judgeBrakeRod(newMm - newMm / 3, newMm, third).outcome, `${newMm}`).toBe("within");
    expect(judgeBrakeRod(3.9, undefined, third).outcome).toBe("not-set");
    expect(judgeBrakeRod(3.9, 6.0, null).outcome).toBe("not-set");
  });

  test("a lining at its least passes, below it fails", () => {
    // CG125 workshop manual ch. 5: shoe lining 3.9-4.1 mm new, limit 2.0 mm
    expect(judgeLining(2.0, 2.0, null).outcome).toBe("within");
    expect(judgeLining(1.9, 2.0, null)).toMatchObject({ outcome: "fails", category: "major", offBy: -0.1 });
    expect(judgeLining(1.0, undefined, null).outcome).toBe("not-set");
    // older test manual 3.2, as a page restates it: 1.5 mm, sintered 1.0 mm above the backing
    const [plain, sintered] = [legalLiningOf("gb", undefined), legalLiningOf("gb", "sintered")];
    expect(judgeLining(1.4, undefined, plain)).toMatchObject({
      category: "major",
      limit: { kind: "legal", least: 1.5, source: "mot-old-3.2" },
    });
    expect(judgeLining(1.4, 1.0, plain).category).toBe("major");
    expect(judgeLining(1.4, undefined, sintered).outcome).toBe("within");
    expect(judgeLining(1.9, 2.0, plain).limit.kind).toBe("handbook");
  });

  test("free travel of 20-30 mm: 19 and 31 want adjusting, and too long after adjusting is wear", () => {
    // CG125 workshop manual, Routine maintenance 8: 20-30 mm at the tip
    const range = { minMm: 20, maxMm: 30 };
    expect([20, 30].map((mm) => judgeBrakeFreeTravel(mm, range, false).outcome)).toEqual(["within", "within"]);
    expect(judgeBrakeFreeTravel(19, range, false)).toMatchObject({ outcome: "adjust", category: "minor", offBy: -1 });
    expect(judgeBrakeFreeTravel(31, range, false)).toMatchObject({ outcome: "adjust", category: "minor", offBy: 1 });
    expect(judgeBrakeFreeTravel(31, range, true)).toMatchObject({ outcome: "fails", category: "major" });
    expect(judgeBrakeFreeTravel(19, range, true)).toMatchObject({ outcome: "adjust", category: "minor" });
    expect(judgeBrakeFreeTravel(31, undefined, true).outcome).toBe("not-set");
  });
});

describe("run-out of rims", () => {
  // DVSA inspection manual for motorcycles 5.2.2: lateral 4 mm steel, 2 mm aluminium alloy
  test.each([
    ["steel", 4.0, "within"],
    ["steel", 4.1, "fails"],
    ["aluminium", 2.0, "within"],
    ["aluminium", 2.1, "fails"],
  ] as const)("a %s rim at %f mm: %s", (material, runOutMm, outcome) => {
    expect(judgeRunOut({ ruleSet: "gb", runOutMm, wheel: "spoked", material }).outcome).toBe(outcome);
  });

  test("the handbook's stricter figure asks for truing before the test limit fails the wheel", () => {
    // CG125 workshop manual ch. 5: 2.0 mm radial and axial
    const steel = { ruleSet: "gb", wheel: "spoked", material: "steel", handbookMostMm: 2.0 } as const;
    expect(judgeRunOut({ ...steel, runOutMm: 2.0 })).toMatchObject({ outcome: "within", limit: { kind: "handbook", most: 2 } });
    expect(judgeRunOut({ ...steel, runOutMm: 2.5 })).toMatchObject({ outcome: "adjust", category: "minor", offBy: 0.5 });
    expect(judgeRunOut({ ...steel, runOutMm: 4.5 })).toMatchObject({ outcome: "fails", category: "major", offBy: 0.5 });
  });

  test("a cast wheel is alloy; a spoked one without a handbook fails where steel does, and is not judged where only alloy would fail", () => {
    expect(judgeRunOut({ ruleSet: "gb", runOutMm: 2.1, wheel: "cast" }).outcome).toBe("fails");
    const spoked = (runOutMm: number) => judgeRunOut({ ruleSet: "gb", runOutMm, wheel: "spoked" });
    expect([0, 2, 2.1, 4].map((mm) => spoked(mm).outcome)).toEqual(["within", "within", "not-set", "not-set"]);
    expect(spoked(4.1)).toMatchObject({ outcome: "fails", category: "major", limit: { kind: "legal", source: "mot-5.2.2", most: 4 } });
    // No figure was read for the other rule sets.
    expect(judgeRunOut({ ruleSet: "eu", runOutMm: 9, wheel: "spoked" }).outcome).toBe("not-set");
  });
});

describe("oil", () => {
  test("the marks are within, beyond either is not", () => {
    expect([0, 50, 100].map((level) => judgeOilLevel(level).outcome)).toEqual(["within", "within", "within"]);
    expect(judgeOilLevel(-1)).toMatchObject({ outcome: "adjust", category: "minor", offBy: -1 });
    expect(judgeOilLevel(101)).toMatchObject({ outcome: "adjust", category: "minor", offBy: 1 });
  });

  test("a service of 4 months or 4000 km is due by distance after 3 months and 4100 km", () => {
    // CG125 workshop manual ch. 7 s. 2: 4 months / 4000 km, whichever comes first
    const service = { lastKm: 10_000, lastDay: "2026-03-01", everyKm: 4000, everyDays: 122 };
    expect(intervalDue({ ...service, nowKm: 14_100, today: "2026-06-01" })).toEqual({
      due: true,
      by: "distance",
      kmLeft: -100,
      daysLeft: 30,
    });
    expect(intervalDue({ ...service, nowKm: 13_999, today: "2026-06-30" })).toMatchObject({ due: false, by: null });
    expect(intervalDue({ ...service, nowKm: 14_000, today: "2026-06-30" }).by).toBe("distance");
    expect(intervalDue({ ...service, nowKm: 11_000, today: "2026-07-01" }).by).toBe("days");
    expect(intervalDue({ ...service, nowKm: 15_000, today: "2026-07-02" }).by).toBe("both");
    expect(intervalDue({ ...service, everyKm: undefined, everyDays: undefined, nowKm: 90_000, today: "2030-01-01" })).toEqual({
      due: false,
      by: null,
      kmLeft: null,
      daysLeft: null,
    });
  });
});
