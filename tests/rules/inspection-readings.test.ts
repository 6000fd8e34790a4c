// What an inspection asks again about its readings, which of several places decides, and when oil falls due.
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { SHEET_VERSION } from "../../shared/catalogue/sheet.ts";
import type { WeeklyAnswer, WeeklyInspectionBody } from "../../shared/contracts/checks.ts";
import { competenceSchema } from "../../shared/contracts/common.ts";
import type { Handbook } from "../../shared/contracts/machine-model.ts";
import { type Quantity, quantitySchema } from "../../shared/contracts/quantities.ts";
import { type MachineState, newMachineState, withOdometer } from "../../shared/rules/machine-state.ts";
import { worstPlaceOf } from "../../shared/rules/places.ts";
import { defaultPolicy } from "../../shared/rules/policy.ts";
import { judgeWeeklyInspection, oilAt } from "../../shared/rules/weekly-inspection.ts";
import { answersAsNew } from "../support/answers-as-new.ts";
import { testHandbook, testMachine } from "../support/machines.ts";

const depotRules = { timeZone: "Europe/London", policy: defaultPolicy };
const now = new Date("2026-07-14T08:00:00.000Z");
const fleet = newMachineState(1000, "2026-07-01T08:00:00.000Z");

const alone = { signer: { staffId: "s", competences: competenceSchema.options }, answeredBy: () => "s" };

interface About {
  readonly state?: MachineState;
  readonly handbook?: Handbook;
  readonly odometerKm?: number;
  readonly performedAt?: Date;
}

function inspect(itemId: string, changes: Partial<WeeklyAnswer>, { state = fleet, handbook = testHandbook, ...about }: About = {}) {
  const machine = { ...testMachine, handbook };
  const answers = answersAsNew(machine).map((answer) => (answer.itemId === itemId ? { ...answer, ...changes } : answer));
  const performedAt = (about.performedAt ?? now).toISOString();
  const body = { id: "i", machineId: "m", sheetVersion: SHEET_VERSION, performedAt, odometerKm: about.odometerKm ?? 1000, answers };
  return judgeWeeklyInspection({ ...machine, machineId: "m", state, depotRules }, body as WeeklyInspectionBody, alone, now, () => "new");
}

function issuesOf(itemId: string, changes: Partial<WeeklyAnswer>, about: About = {}) {
  const { refused } = inspect(itemId, changes, about);
  return (refused ?? []).map(({ field, message }) => `${field}: ${message}`);
}

function verdictOf(itemId: string, changes: Partial<WeeklyAnswer>, about: About = {}) {
  const judged = inspect(itemId, changes, about);
  if (judged.refused !== null) throw new Error(JSON.stringify(judged.refused));
  return judged.verdicts.find((verdict) => verdict.itemId === itemId);
}

describe("several places", () => {
  const places = (...values: number[]): Partial<WeeklyAnswer> => ({ asFound: undefined, places: values });

  test.each<[string, number[], number]>([
    ["front-tyre-tread-weekly", [2.4, 0.9, 3], 0.9],
    ["rear-lining", [2.5, 1.9], 1.9],
    ["front-wheel-run-out", [0.4, 4.2, 1], 4.2],
    ["chain-wear", [256, 262, 258.5], 262],
    // At the tightest place: rules of the trade, as handbooks print it.
    ["chain-slack", [28, 18, 24], 18],
    ["brake-rods", [5.4, 3.9], 3.9],
  ])("at %s of %j it is %f that decides", (itemId, values, worst) => {
    expect(verdictOf(itemId, places(...values))?.reading.asFound).toBe(worst);
    expect(verdictOf(itemId, { places: values, asFound: worst })?.reading.asFound).toBe(worst);
    expect(verdictOf(itemId, places(...values))).toEqual(verdictOf(itemId, { asFound: worst }));
  });

  test("a gap to the swinging arm is tightest where it is largest", () => {
    const chainSlack = { minMm: 15, maxMm: 25, method: "gap-to-swinging-arm", run: "lower", wheel: "loaded" } as const;
    const handbook = { ...testHandbook, chainSlack };
    expect(verdictOf("chain-slack", places(16, 22, 19), { handbook })?.reading.asFound).toBe(22);
  });

  test("one as found that is not the worst of its places is asked about, and so are places where there is only one", () => {
    expect(issuesOf("front-tyre-tread-weekly", { asFound: 3, places: [2.4, 3] })).toEqual([
      "asFound: the least of the places is 2.4 mm: send that, or the places alone",
    ]);
    expect(issuesOf("front-brake-free-travel", { places: [24, 25] })).toEqual(["places: this is read at one place"]);
    expect(issuesOf("sprockets", { places: [1, 2] })).toEqual(["asFound: this item takes no reading"]);
    expect(issuesOf("front-tyre-tread-weekly", places(2, 9, 99))).toEqual([expect.stringContaining("places: 9 mm is unusual")]);
  });

  test("the more places are measured, the worse the verdict can only become", () => {
    const badness = { within: 0, "not-set": 0, corrected: 0, defect: 1 };
    const depth = fc.double({ min: 0, max: 8, noNaN: true });
    fc.assert(
      fc.property(fc.array(depth, { minLength: 2, maxLength: 5 }), depth, (values, more) => {
        const of = (all: number[]) => badness[verdictOf("rear-tyre-tread-weekly", places(...all))?.result ?? "within"];
        expect(of([...values, more])).toBeGreaterThanOrEqual(of(values));
      }),
      { numRuns: 60 },
    );
  });

  test("every quantity says whether it is read at several places", () => {
    const several = quantitySchema.options.filter((quantity: Quantity) => worstPlaceOf(quantity, testHandbook) !== null);
    expect(several.length).toBe(11);
  });
});

describe("a reading that is odd", () => {
  test.each<[string, Partial<WeeklyAnswer>, string]>([
    ["front-tyre-tread-weekly", { asFound: 9 }, "asFound: 9 mm is unusual: between 0 and 8 mm is usual"],
    ["front-tyre-pressure-weekly", { asFound: 60 }, "asFound: 60 kPa is unusual: between 100 and 350 kPa is usual"],
    ["front-tyre-pressure-weekly", { asFound: 12, unit: "psi" }, "asFound: 12 psi is unusual: between 14.5 and 50.8 psi is usual"],
    ["chain-slack", { asFound: 30, asLeft: 70 }, "asLeft: 70 mm is unusual: between 0 and 60 mm is usual"],
    // 20 pitches of 12.700 mm (ISO 606) are 254 mm
    ["chain-wear", { asFound: 241 }, "asFound: 241 mm is shorter than a new chain: 20 pitches of 12.7 mm, pin to pin, are 254 mm"],
  ])("at %s, %j is asked about once and stands when it was read twice", (itemId, changes, question) => {
    expect(issuesOf(itemId, changes)).toEqual([expect.stringContaining(question)]);
    expect(issuesOf(itemId, { ...changes, readTwice: true })).toEqual([]);
  });

  test("what no gauge can show is not taken, however often it was read", () => {
    expect(issuesOf("front-tyre-tread-weekly", { asFound: 16, readTwice: true })).toEqual([
      expect.stringContaining("is not possible here: between 0 and 15 mm is"),
    ]);
  });

  test("a temperature belongs to a tyre pressure", () => {
    expect(issuesOf("front-tyre-pressure-weekly", { celsius: 12 })).toEqual([]);
    expect(issuesOf("chain-slack", { celsius: 12 })).toEqual(["celsius: a temperature belongs to a tyre pressure"]);
  });
});

describe("a new part", () => {
  test.each(["front-tyre-tread-weekly", "rear-lining", "chain-wear", "brake-rods"])("at %s is measured too", (itemId) => {
    expect(issuesOf(itemId, { actions: ["replaced"] })).toEqual([expect.stringContaining("asLeft: it was renewed")]);
    const asLeft = answersAsNew(testMachine).find((answer) => answer.itemId === itemId)?.asFound;
    expect(issuesOf(itemId, { actions: ["replaced"], asLeft })).toEqual([]);
  });

  test("needs no reading where nothing wears away, or nothing was measured", () => {
    expect(issuesOf("spark-plug", { actions: ["replaced"] })).toEqual([]);
    expect(issuesOf("front-brake-cable-ends", { actions: ["replaced"] })).toEqual([]);
  });
});

describe("oil", () => {
  // The test model: every 2,000 km or 120 days.
  const asked = (state: MachineState, at: Date) => oilAt({ ...testMachine, state, depotRules }, at);

  test("counts from the entry into the fleet until a change is on record, and then from the change", () => {
    expect(asked(fleet, now)).toEqual({ itemId: "engine-oil-level", changed: false, due: false, by: null, kmLeft: 2000, daysLeft: 107 });
    const judged = inspect("engine-oil-level", { actions: ["replaced"] }, { odometerKm: 1400 });
    expect(judged).toMatchObject({ oilChangedAtKm: 1400, oil: { changed: true, kmLeft: 2000, daysLeft: 120 } });
    expect(judged.refused === null && judged.state.oil).toEqual({ km: 1400, at: now.toISOString(), changed: true });
  });

  test("topping up changes nothing, and so does another item that was renewed", () => {
    expect(inspect("engine-oil-level", { actions: ["topped-up"] })).toMatchObject({ oilChangedAtKm: null, oil: { changed: false } });
    expect(inspect("spark-plug", { actions: ["replaced"] })).toMatchObject({ oilChangedAtKm: null });
  });

  test("falls due by distance or by days, whichever comes first", () => {
    const ridden = { ...fleet, odometerKm: 3000 };
    expect(asked(ridden, now)).toMatchObject({ due: true, by: "distance", kmLeft: 0 });
    // 120 days after 1 July
    expect(asked(fleet, new Date("2026-10-28T23:30:00.000Z"))).toMatchObject({ due: false, daysLeft: 1 });
    expect(asked(fleet, new Date("2026-10-29T08:00:00.000Z"))).toMatchObject({ due: true, by: "days", daysLeft: 0 });
  });

  test("a new odometer does not change how far the oil has come", () => {
    const ridden = { ...fleet, odometerKm: 2500 };
    expect(asked(withOdometer(ridden, 0, now.toISOString()), now)?.kmLeft).toBe(500);
  });

  test("a change that arrives late does not undo a later one", () => {
    const changed: MachineState = { ...fleet, oil: { km: 1300, at: "2026-07-13T08:00:00.000Z", changed: true } };
    const late = inspect(
      "engine-oil-level",
      { actions: ["replaced"] },
      { state: changed, performedAt: new Date("2026-07-10T08:00:00.000Z") },
    );
    expect(late.refused === null && late.state.oil).toEqual(changed.oil);
  });
});
