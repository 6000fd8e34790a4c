// The figures from counts made by hand: shares, digits, rates, time to clear, charts, life of parts, risk.
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import type { Features } from "../../shared/contracts/machine-model.ts";
import { rateOf } from "../../src/figures/index.ts";
import { rateChart, shareChart, weeksOf } from "../../src/insight/charts.ts";
import { digitsOf, FEWEST_DIGITS, gaugesOf, lastDigit } from "../../src/insight/digits.ts";
import { figure } from "../../src/insight/figures.ts";
import { conductOf, peopleOf, sheetOf } from "../../src/insight/honesty.ts";
import { componentLives, livesOn } from "../../src/insight/lives.ts";
import type { RenewalRow } from "../../src/insight/part-store.ts";
import { ageAt, clearTimes, ratesOf, timeToClear } from "../../src/insight/rates.ts";
import { risksOf, yearsTo } from "../../src/insight/risk.ts";
import type { CheckCountRow, OdometerRow, ReadingCountRow, RiskRow } from "../../src/insight/store.ts";
import { survivalSteps } from "../../src/statistics/index.ts";
import { chainMachine, electricMachine } from "../support/machines.ts";
import { foundDefect, foundDefects, serviceRow } from "../support/period-figures.ts";

const checks = (changes: Partial<CheckCountRow> = {}): CheckCountRow => ({
  ...{ staffId: "one", depotId: "quay", modelId: "m", checks: 20, nil: 18, tooFast: 0, tooFastPerItem: 0, underHalfMedian: 0 },
  ...{ proofMissing: 0, proofImplausible: 0, medianSeconds: 60 },
  ...changes,
});
const reading = (value: number, readings = 1, changes: Partial<ReadingCountRow> = {}): ReadingCountRow => ({
  ...{ staffId: "one", quantity: "front-tyre-pressure", unit: "kPa", value, readings },
  ...changes,
});

describe("a figure", () => {
  test("carries its count, Wilson's interval and a question", () => {
    // Newcombe (from memory), Wilson 15/148: 0.0624 to 0.1605
    const { count, of, share, low, high, question } = figure(15, 148, "insight.question.nil");
    expect([count, of, share]).toEqual([15, 148, 15 / 148]);
    expect(low).toBeCloseTo(0.0623864, 6);
    expect(high).toBeCloseTo(0.1604872, 6);
    expect(question).toMatch(/^A question to ask: /);
  });
  test("of nothing has no share, and everything is possible", () => {
    expect(figure(0, 0, "insight.question.nil")).toMatchObject({ count: 0, of: 0, share: null, low: 0, high: 1 });
  });
});

describe("how checks were made", () => {
  test("adds up the rows of one person over models and depots", () => {
    const conduct = conductOf(
      [checks({ tooFast: 3, proofMissing: 1 }), checks({ modelId: "n", checks: 10, nil: 10, tooFastPerItem: 4, underHalfMedian: 2 })],
      [
        { staffId: "one", depotId: "quay", followed: 4, found: 1, defectIds: ["b"] },
        { staffId: "one", depotId: "yard", followed: 2, found: 2, defectIds: ["a", "b"] },
      ],
    );
    expect(conduct.checks).toBe(30);
    expect(conduct.nil).toMatchObject({ count: 28, of: 30 });
    expect(conduct.foundAfterNil).toMatchObject({ count: 3, of: 6, defectIds: ["a", "b"] });
    expect(conduct.tooFast.inAll).toMatchObject({ count: 3, of: 30 });
    expect(conduct.tooFast.perItem).toMatchObject({ count: 4, of: 30 });
    expect(conduct.tooFast.underHalfMedian).toMatchObject({ count: 2, of: 30 });
    expect(conduct.proof.missing).toMatchObject({ count: 1, of: 30 });
  });

  test("people stand by staff number, whatever their figures are", () => {
    const names = new Map([
      ["one", { name: "One", staffNumber: "R002" }],
      ["two", { name: "Two", staffNumber: "R001" }],
    ]);
    const people = peopleOf([checks({ tooFast: 20 }), checks({ staffId: "two" })], [], names);
    expect(people.map(({ staffNumber }) => staffNumber)).toEqual(["R001", "R002"]);
  });

  test("one nil check more never lowers the share of nil checks, and never widens its interval below", () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 400 }), fc.integer({ min: 0, max: 400 }), (nil, others) => {
        const before = conductOf([checks({ checks: nil + others, nil })], []).nil;
        const after = conductOf([checks({ checks: nil + others, nil }), checks({ checks: 1, nil: 1 })], []).nil;
        expect(after.share).toBeGreaterThanOrEqual(before.share ?? 0);
        expect(after.low).toBeGreaterThanOrEqual(before.low);
      }),
    );
  });

  test("a mechanic's item counts against a check where the machine's daily sheet has one of the same", () => {
    const of = (features: Features) => sheetOf({ id: "m", features }).comparable;
    expect(of(chainMachine)).toEqual(expect.arrayContaining(["chain", "chain-slack", "rear-tyre-tread-weekly"]));
    // Sprockets are behind a guard: no daily item asks for them.
    expect(of(chainMachine)).not.toContain("sprockets");
    expect(of(electricMachine)).not.toContain("chain-slack");
  });
});

describe("last digits", () => {
  test("are those of the gauge's mark", () => {
    expect(lastDigit(reading(170))).toBe(0);
    expect(lastDigit(reading(173))).toBe(3);
    expect(lastDigit(reading(2.9, 1, { quantity: "rear-tread", unit: "mm" }))).toBe(9);
    expect(lastDigit(reading(255.4, 1, { quantity: "chain-length", unit: "mm" }))).toBe(4);
  });
  test("of another unit, or of what is set within a few marks, are not looked at", () => {
    expect(lastDigit(reading(25.5, 1, { unit: "psi" }))).toBeNull();
    expect(lastDigit(reading(0.65, 1, { quantity: "plug-gap", unit: "mm" }))).toBeNull();
  });
  test("are tested from 50 readings on, and not before", () => {
    const even = (each: number) => Array.from({ length: 10 }, (_, digit) => reading(170 + digit, each));
    expect(digitsOf(even(4)).evenness).toBeNull();
    expect(digitsOf(even(5))).toMatchObject({ readings: FEWEST_DIGITS, evenness: { chiSquare: 0, degreesOfFreedom: 9, p: 1 } });
  });
  test("that are all zeros are uneven beyond chance", () => {
    // By hand: 50 in one of ten cells, 45^2/5 + 9 x 25/5 = 450.
    const { evenness, zeros } = digitsOf([reading(170, 50)]);
    expect(evenness?.chiSquare).toBeCloseTo(450, 9);
    expect(evenness?.p).toBeLessThan(1e-60);
    expect(zeros).toMatchObject({ count: 50, of: 50 });
  });
  test("stand for each person, all together and by quantity", () => {
    const names = new Map([["one", { name: "One", staffNumber: "M001" }]]);
    const [gauge] = gaugesOf([reading(170, 30), reading(5.1, 30, { quantity: "rear-tread", unit: "mm" })], names);
    expect(gauge).toMatchObject({ staffNumber: "M001", readings: 60, digits: [30, 30, 0, 0, 0, 0, 0, 0, 0, 0] });
    expect(gauge?.quantities.map(({ quantity, readings }) => [quantity, readings])).toEqual([
      ["front-tyre-pressure", 30],
      ["rear-tread", 30],
    ]);
  });
});

describe("rates", () => {
  const models = [
    { id: "chain", name: "Chain", features: chainMachine },
    { id: "hub", name: "Hub", features: electricMachine },
  ];
  const depots = [{ id: "quay", name: "Quay", timeZone: "UTC" }];

  test("are in 1,000 machine-days, with the exact Poisson interval", () => {
    // R DescTools via statsmodels, test_rates_poisson.py: 15 events in 400
    const rate = rateOf(15, 400);
    expect(rate.per1000).toBeCloseTo(37.5, 9);
    expect(rate.low).toBeCloseTo(20.9884653319583, 6);
    expect(rate.high).toBeCloseTo(61.8505471787146, 6);
  });
  test("under 28 machine-days are none: a depot of two minutes has no 44 million defects in 1,000 machine-days", () => {
    expect(rateOf(0, 0)).toEqual({ defects: 0, machineDays: 0, per1000: null, low: null, high: null });
    expect(rateOf(3, 0.00007)).toEqual({ defects: 3, machineDays: 0.00007, per1000: null, low: null, high: null });
    expect(rateOf(1, 27.9).per1000).toBeNull();
    expect(rateOf(1, 28).per1000).toBeCloseTo(1000 / 28, 9);
  });
  test("of an item count the days of those machines that have it", () => {
    const rates = ratesOf({
      found: [...foundDefects(3), foundDefect({ itemId: null, modelId: "hub", category: "major" })],
      done: [],
      service: [serviceRow({ machineDays: 400 }), serviceRow({ machineDays: 100, grounded: 2, papersExpired: 1 }, { modelId: "hub" })],
      models,
      depots,
    });
    expect(rates).toMatchObject({ machineDays: 500, groundedDays: 2, lostDays: { all: 3 }, all: { defects: 4, per1000: 8 } });
    expect(rates.byItem.map(({ itemId, defects: found, machineDays }) => [itemId, found, machineDays])).toEqual([
      ["chain", 3, 400],
      [null, 1, 500],
    ]);
    expect(rates.byCategory.map(({ category, defects: found }) => [category, found])).toEqual([
      ["dangerous", 0],
      ["major", 1],
      ["minor", 3],
      ["advisory", 0],
    ]);
    expect(rates.byModel.map(({ modelName, per1000 }) => [modelName, per1000])).toEqual([
      ["Chain", 7.5],
      ["Hub", 10],
    ]);
    expect(rates.byDepot).toMatchObject([{ name: "Quay", defects: 4, machineDays: 500 }]);
  });
});

describe("time to clear", () => {
  // 6-MP remission times (Freireich 1963); the median is 23 weeks in textbooks.
  const weeks = "6 6 6 6+ 7 9+ 10 10+ 11+ 13 16 17+ 19+ 20+ 22 23 25+ 32+ 32+ 34+ 35+".split(" ");
  const rows = weeks.map((at) => ({ hours: Number.parseInt(at, 10), cleared: !at.endsWith("+"), category: "minor" as const }));

  test("counts what is still open for as long as it has been", () => {
    expect(timeToClear(rows)).toMatchObject({
      found: 21,
      cleared: 9,
      open: 12,
      lowerQuartileHours: 13,
      medianHours: 23,
      upperQuartileHours: null,
    });
  });
  test("of defects that are all cleared has the plain quartiles", () => {
    const plain = [1, 2, 3, 4].map((hours) => ({ hours, cleared: true }));
    expect(timeToClear(plain)).toMatchObject({ open: 0, lowerQuartileHours: 1, medianHours: 2, upperQuartileHours: 3 });
  });
  test("one defect left open longer never shortens it", () => {
    const hours = fc.integer({ min: 0, max: 500 });
    fc.assert(
      fc.property(fc.array(fc.record({ hours, cleared: fc.boolean() }), { minLength: 1, maxLength: 40 }), hours, (some, longer) => {
        const more = some.map((row, index) => (index === 0 && !row.cleared ? { ...row, hours: row.hours + longer } : row));
        const before = timeToClear(some).medianHours ?? Number.POSITIVE_INFINITY;
        expect(timeToClear(more).medianHours ?? Number.POSITIVE_INFINITY).toBeGreaterThanOrEqual(before);
      }),
    );
  });
  test("stands by category too, the gravest first, and without defects is not known", () => {
    const { all, byCategory } = clearTimes(rows);
    expect(all.found).toBe(21);
    expect(byCategory.map(({ category, found, medianHours }) => [category, found, medianHours])).toEqual([
      ["dangerous", 0, null],
      ["major", 0, null],
      ["minor", 21, 23],
      ["advisory", 0, null],
    ]);
  });
  test("an age is the first that no more than the share live past, at the share itself too", () => {
    expect(ageAt(survivalSteps([1, 2, 3, 4].map((at) => ({ at, event: true }))), 0.5)).toBe(2);
  });
});

describe("control charts", () => {
  test("name the days whose share is outside the limits for their own number of checks", () => {
    // NIST/SEMATECH e-Handbook 6.3.3.2: 30 wafers of 50 chips; outside are samples 15 and 23.
    const shares = "24 30 16 20 8 14 32 18 28 20 10 12 34 24 44 16 20 10 26 22 40 36 48 30 18 24 14 26 18 12".split(" ");
    const day = (index: number) => `2026-06-${String(index + 1).padStart(2, "0")}`;
    const chart = shareChart(shares.map((percent, index) => ({ day: day(index), checks: 50, withDefect: Number(percent) / 2 })));
    expect(chart?.centre).toBeCloseTo(0.2313333, 6);
    expect(chart?.samples[0]).toMatchObject({ day: "2026-06-01", checks: 50, withDefect: 12, outside: null });
    expect(chart?.samples[0]?.low).toBeCloseTo(0.0524275, 6);
    expect(chart?.samples[0]?.high).toBeCloseTo(0.4102391, 6);
    expect(chart?.samples.filter(({ outside }) => outside === "above").map((sample) => sample.day)).toEqual([day(14), day(22)]);
    expect(chart?.outside).toEqual([
      "2026-06-15: 22 of 50 checks found a defect, above the limits for so many checks",
      "2026-06-23: 24 of 50 checks found a defect, above the limits for so many checks",
    ]);
  });
  test("count defects by the week in which they were seen, over the week's machine-days", () => {
    const weeks = weeksOf({ from: "2026-12-30", to: "2027-01-05" });
    // ISO 8601: 2026 has a week 53, which ends on Sunday 3 January 2027.
    expect(weeks).toEqual([
      { week: "2026-W53", from: "2026-12-30", to: "2027-01-03" },
      { week: "2027-W01", from: "2027-01-04", to: "2027-01-05" },
    ]);
    const found = [...foundDefects(3), ...foundDefects(5, { n: 1 })];
    const days = (n: number, machineDays: number) => serviceRow({ machineDays }, { n });
    const chart = rateChart(weeks, found, [days(0, 50), days(1, 12), days(1, 8)]);
    expect(chart?.centre).toBeCloseTo(8 / 70, 12);
    expect(chart?.samples.map(({ week, defects, machineDays, value }) => [week, defects, machineDays, value])).toEqual([
      ["2026-W53", 3, 50, 0.06],
      ["2027-W01", 5, 20, 0.25],
    ]);
    // By hand: 8/70 + 3 sqrt(8/70/20) = 0.341
    expect(chart?.samples[1]?.high).toBeCloseTo(0.3411, 4);
    expect(chart?.outside).toEqual([]);
    // Of a week with less than one machine for a week nothing is said.
    expect(rateChart(weeks, found, [days(0, 50), days(1, 6.9)])?.samples.map(({ week }) => week)).toEqual(["2026-W53"]);
  });
  test("without a check or a machine there is none", () => {
    expect(shareChart([])).toBeNull();
    expect(rateChart(weeksOf({ from: "2026-07-01", to: "2026-07-05" }), [], [])).toBeNull();
  });
});

describe("how far parts last", () => {
  const machine = (changes: Partial<OdometerRow> = {}): OdometerRow => ({
    ...{ machineId: "a", modelId: "chain", enteredKm: 5000, lastKm: 20_000, lastPosition: 99, sets: null },
    ...changes,
  });
  const renewal = (
    odometerKm: number,
    position: number,
    component: RenewalRow["component"] = "rear-tyre",
    machineId = "a",
  ): RenewalRow => ({ machineId, component, odometerKm, position });

  test("a part counts from the renewal that fitted it; what was there before has an age that nobody knows", () => {
    expect(livesOn("rear-tyre", machine(), [])).toEqual([]);
    expect(livesOn("rear-tyre", machine(), [renewal(8000, 20), renewal(15_000, 50)])).toEqual([
      { at: 7000, event: true },
      { at: 5000, event: false },
    ]);
  });
  test("a machine that came new came with new parts, kilometres before its first record included", () => {
    expect(livesOn("rear-tyre", machine({ enteredKm: 12 }), [renewal(9000, 20)])).toEqual([
      { at: 9000, event: true },
      { at: 11_000, event: false },
    ]);
  });
  test("a machine that was there before the period is not new in it", () => {
    expect(livesOn("rear-tyre", machine({ enteredKm: null, lastKm: 100 }), [])).toEqual([]);
  });
  test("a new odometer loses no kilometres", () => {
    // Fitted at 8,000; at 10,000 a new meter begins at 0 and shows 3,500 when the tyre is renewed: 5,500 km. Then 500 more.
    const turned = machine({ lastKm: 4000, sets: [{ position: 30, fromKm: 10_000, toKm: 0 }] });
    expect(livesOn("rear-tyre", turned, [renewal(8000, 20), renewal(3500, 50)])).toEqual([
      { at: 5500, event: true },
      { at: 500, event: false },
    ]);
  });
  test("a renewal that is told twice, by the inspection and by the repair that follows it, is one", () => {
    expect(livesOn("rear-tyre", machine(), [renewal(8000, 20), renewal(8000, 21)])).toEqual([{ at: 12_000, event: false }]);
  });
  test("survival steps with each renewal, those still running counted, only on machines that have the part", () => {
    const machines = [machine({ enteredKm: 0, lastKm: 9000 }), machine({ machineId: "b", enteredKm: 0, lastKm: 12_000 })];
    const electric = machine({ machineId: "c", modelId: "hub", enteredKm: 0 });
    const renewals = [renewal(8000, 20, "chain"), renewal(10_000, 40, "chain", "b")];
    const models = [
      { id: "chain", name: "Chain", features: chainMachine },
      { id: "hub", name: "Hub", features: electricMachine },
    ];
    const chain = componentLives([...machines, electric], renewals, models).find(({ component }) => component === "chain");
    // Lives 8,000 and 10,000 renewed; 1,000 and 2,000 still running: at 8,000 two are left, at 10,000 one.
    expect(chain).toMatchObject({ name: "Chain", parts: 4, renewed: 2, running: 2, longestKm: 10_000, medianKm: 8000 });
    expect(chain?.steps.map(({ atKm, atRisk, events, survival }) => [atKm, atRisk, events, survival])).toEqual([
      [8000, 2, 1, 0.5],
      [10_000, 1, 1, 0],
    ]);
    // Greenwood by hand: 0.5 x sqrt(1 / (2 x 1))
    expect(chain?.steps[0]?.se).toBeCloseTo(0.5 * Math.sqrt(0.5), 12);
  });
});

describe("risk of a machine", () => {
  const row = (changes: Partial<RiskRow>): RiskRow => ({
    ...{ machineId: "a", registrationMark: "A1", modelName: "M", depotId: "quay", depotName: "Quay", findings: null, inspections: null },
    ...changes,
  });
  const years = yearsTo("2026-07-13");

  test("looks back over three years, the latest first, without a gap", () => {
    expect(years).toEqual([
      { from: "2025-07-14", to: "2026-07-13" },
      { from: "2024-07-14", to: "2025-07-13" },
      { from: "2023-07-15", to: "2024-07-13" },
    ]);
  });
  test("is the published example, with its parts beside it", () => {
    // COM(2012)382 Annex I weights: (63 x 3 + 10 x 2 + 5 x 1) / 7 = 30.571
    const findings = [
      { n: 0, category: "dangerous", defects: 1 },
      { n: 0, category: "major", defects: 2 },
      { n: 0, category: "minor", defects: 3 },
      { n: 1, category: "major", defects: 1 },
      { n: 2, category: "minor", defects: 5 },
    ] as const;
    const inspections = [4, 2, 1].map((inspections, n) => ({ n, inspections }));
    const [machine] = risksOf([row({ findings, inspections })], years);
    expect(machine?.score).toBeCloseTo(30.571, 3);
    expect(machine).toMatchObject({ inspections: 7 });
    expect(machine?.years.map(({ weight, points, inspections: of }) => [weight, points, of])).toEqual([
      [3, 63, 4],
      [2, 10, 2],
      [1, 5, 1],
    ]);
  });
  test("puts the highest first, and last what was never inspected", () => {
    const inspections = [{ n: 0, inspections: 2 }];
    const bad = row({ registrationMark: "B1", findings: [{ n: 0, category: "major", defects: 1 }], inspections });
    const unknown = row({ registrationMark: "A0", findings: [{ n: 0, category: "dangerous", defects: 3 }] });
    const ranked = risksOf([unknown, row({ inspections }), bad], years);
    expect(ranked.map(({ registrationMark, score }) => [registrationMark, score])).toEqual([
      ["B1", 15],
      ["A1", 0],
      ["A0", null],
    ]);
  });
  test("one finding more never lowers it", () => {
    const category = fc.constantFrom("dangerous" as const, "major" as const, "minor" as const);
    const finding = fc.record({ n: fc.integer({ min: 0, max: 2 }), category, defects: fc.integer({ min: 1, max: 5 }) });
    fc.assert(
      fc.property(fc.array(finding, { maxLength: 8 }), finding, (findings, more) => {
        const inspections = [{ n: 0, inspections: 3 }];
        const scoreOf = (list: typeof findings) => risksOf([row({ findings: list, inspections })], years)[0]?.score ?? -1;
        expect(scoreOf([...findings, more])).toBeGreaterThan(scoreOf(findings));
      }),
    );
  });
});
