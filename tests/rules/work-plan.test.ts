// What there is to do on a machine, by when, and the plan of it.
import { describe, expect, test } from "vitest";
import type { Handbook } from "../../shared/contracts/machine-model.ts";
import { addDays, isoWeek } from "../../shared/rules/calendar.ts";
import { type MachineState, newMachineState, type OpenDefect } from "../../shared/rules/machine-state.ts";
import { defaultPolicy, policySchema } from "../../shared/rules/policy.ts";
import type { Forecast } from "../../src/planning/forecast.ts";
import { foresee, type WearRecords } from "../../src/planning/foresee.ts";
import { type Horizon, jobsOf, type PlannedMachine } from "../../src/planning/jobs.ts";
import { planOf } from "../../src/planning/plan-of.ts";
import { testMachine } from "../support/machines.ts";

// A Monday.
const today = "2026-07-13";
const now = new Date("2026-07-13T04:30:00.000Z");
const depotRules = { timeZone: "Europe/London", policy: defaultPolicy };
const horizon = (days: number, changes: Partial<Horizon> = {}): Horizon => ({
  ...depotRules,
  today,
  lastDay: addDays(today, days - 1),
  ...changes,
});
const inspected = (lastInspectionAt: string, changes: Partial<MachineState> = {}): MachineState => ({
  ...newMachineState(1000, "2026-01-01T00:00:00.000Z"),
  ...{ firstUseDue: null, lastInspectionAt },
  ...changes,
});
const nothing = { forecasts: [], oil: null, services: [], nextInspectionDay: "2026-07-17" };
const machineOf = (state: MachineState, foreseen: Partial<PlannedMachine["foreseen"]> = {}): PlannedMachine => ({
  ...{ id: "m", registrationMark: "AB1", state },
  foreseen: { ...nothing, ...foreseen },
  leaking: [],
});
const listed = (machine: PlannedMachine, asked: Horizon) => jobsOf(machine, asked).map(({ kind, dueDay }) => [kind, dueDay]);
const defect = (changes: Partial<OpenDefect>): OpenDefect => ({
  ...{ id: "d", itemId: "horn", observationIds: [], category: "minor", status: "open", seenAt: now.toISOString() },
  ...{ lastSeenAt: now.toISOString(), sightings: 1, dueDay: "2026-07-15", competence: "electrics", secondPerson: false },
  ...{ quantity: null, onlyNewPart: false, repair: null },
  ...changes,
});

describe("what there is to do", () => {
  test("weekly inspections come every seven days from the last one; one that is overdue is due on its own day, and the next a week from today", () => {
    expect(listed(machineOf(inspected("2026-07-10T08:00:00.000Z")), horizon(15))).toEqual([
      ["weekly-inspection", "2026-07-17"],
      ["weekly-inspection", "2026-07-24"],
    ]);
    expect(listed(machineOf(inspected("2026-07-01T08:00:00.000Z")), horizon(9))).toEqual([
      ["weekly-inspection", "2026-07-08"],
      ["weekly-inspection", "2026-07-20"],
    ]);
  });

  test("a machine that is new or came back is inspected today, a withdrawn one not at all", () => {
    const fresh = newMachineState(0, now.toISOString());
    expect(listed(machineOf(fresh), horizon(7))).toEqual([["first-use-inspection", today]]);
    expect(listed(machineOf({ ...fresh, firstUseDue: "returned" }), horizon(8))).toEqual([
      ["return-inspection", today],
      ["weekly-inspection", "2026-07-20"],
    ]);
    expect(listed(machineOf({ ...fresh, withdrawn: { since: now.toISOString(), reason: "x" } }), horizon(371))).toEqual([]);
  });

  test("an inspection is made at most two working days ahead, so that a week stays a week", () => {
    const monday = jobsOf(machineOf(inspected("2026-07-13T03:00:00.000Z")), horizon(8))[0];
    // Due on Monday: Sunday is closed, so Friday and Saturday are the two.
    expect([monday?.dueDay, monday?.earliest]).toEqual(["2026-07-20", 4]);
    const oneDayAWeek = policySchema.parse({ workshopDays: [3] });
    const rare = jobsOf(machineOf(inspected("2026-07-13T03:00:00.000Z")), horizon(8, { policy: oneDayAWeek }))[0];
    expect(rare?.earliest).toBe(0);
  });

  test("what grounds is due at once, a minor defect by its day, a repaired one waits for its sign-off, an advisory too", () => {
    const defects = [
      defect({ id: "1", category: "major", dueDay: null }),
      defect({ id: "2" }),
      defect({ id: "3", category: "dangerous", dueDay: null, status: "repaired" }),
      defect({ id: "4", category: "advisory", dueDay: null }),
      defect({ id: "5", category: "advisory", dueDay: null, status: "repaired" }),
    ];
    const jobs = jobsOf(machineOf(inspected("2026-07-12T08:00:00.000Z", { defects })), horizon(5));
    expect(jobs.map(({ kind, dueDay, minutes }) => [kind, dueDay, minutes])).toEqual([
      ["grounding-repair", today, 60],
      ["minor-repair", "2026-07-15", 30],
      ["sign-off", today, 15],
      // An advisory is no work before somebody repaired it; then its sign-off has time until the inspection that would ask about it.
      ["sign-off", "2026-07-17", 15],
    ]);
  });

  test("what waits for a part is planned no sooner than the part is expected, and at once where it is late or a repair ended the wait", () => {
    const waiting = { recordId: "w", expectedDay: "2026-07-17" };
    const defects = [
      defect({ id: "1", category: "major", dueDay: null, waiting }),
      defect({ id: "2", dueDay: "2026-07-17", waiting }),
      defect({ id: "3", category: "major", dueDay: null, waiting: { ...waiting, expectedDay: "2026-07-10" } }),
      defect({ id: "4", dueDay: "2026-07-17", status: "repaired", waiting: { ...waiting, over: true } }),
    ];
    const machine = { ...machineOf(inspected("2026-07-12T08:00:00.000Z", { defects })), said: { 1: { part: "horn" } } };
    const jobs = jobsOf(machine, horizon(5));
    expect(jobs.map(({ kind, dueDay, due, earliest, expectedDay, part }) => [kind, dueDay, due, earliest, expectedDay, part])).toEqual([
      ["grounding-repair", "2026-07-17", 4, 4, "2026-07-17", "horn"],
      ["minor-repair", "2026-07-17", 4, 4, "2026-07-17", undefined],
      ["grounding-repair", today, 0, 0, "2026-07-10", undefined],
      ["sign-off", "2026-07-17", 4, 0, undefined, undefined],
    ]);
  });

  test("a part is renewed on the last day on which it is likely enough to be inside its limit; not twice where its defect is open", () => {
    const forecast = {
      ...{
        quantity: "rear-tread",
        n: 9,
        since: null,
        latest: null,
        slopePer1000Km: -1,
        residualSd: 0.1,
        probabilityPastNextInspection: 0.01,
        lifeDays: null,
      },
      limit: { kind: "legal", least: 1, most: null, unit: "mm", source: "cu-27" },
      ...{ atLimit: { kmLeft: 500, day: "2026-07-25" }, earliest: { kmLeft: 400, day: "2026-07-21" }, atLatest: null, advice: "watch" },
    } as const satisfies Forecast;
    const renewals = (state: MachineState, one: Forecast) =>
      jobsOf(machineOf(state, { forecasts: [{ ...one, renewals: [] }] }), horizon(30)).filter(({ kind }) => kind === "renewal");
    const state = inspected("2026-07-12T08:00:00.000Z");
    expect(renewals(state, forecast)).toMatchObject([{ dueDay: "2026-07-21", itemId: "rear-tyre-tread-weekly", earliest: 1 }]);
    const reported = { ...state, defects: [defect({ itemId: "rear-tyre-tread-weekly" })] };
    expect(renewals(reported, forecast)).toEqual([]);
    // An advisory there is no work in the plan, so the renewal stays in it.
    const watched = { ...state, defects: [defect({ itemId: "rear-tyre-tread-weekly", category: "advisory", dueDay: null })] };
    expect(renewals(watched, forecast)).toHaveLength(1);
    // The new part wears as the old one did.
    const days = (of: MachineState, one: Forecast) => renewals(of, one).map(({ dueDay }) => dueDay);
    expect(days(state, { ...forecast, lifeDays: 10 })).toEqual(["2026-07-21", "2026-07-31", "2026-08-10"]);
    expect(days(reported, { ...forecast, lifeDays: 10 })).toEqual(["2026-07-23", "2026-08-02"]);
    expect(days(state, { ...forecast, earliest: { kmLeft: -90, day: "2026-07-10" }, lifeDays: 20 })).toEqual(["2026-07-10", "2026-08-02"]);
    expect(renewals(state, { ...forecast, quantity: "rear-brake-free-travel" })).toEqual([]);
    expect(renewals(state, { ...forecast, earliest: null, atLimit: null, advice: "renew-at-this-inspection" })).toMatchObject([
      { dueDay: today },
    ]);
  });

  test("a tyre that loses air is looked at when its machine comes in next; not twice where somebody reported it by either sheet", () => {
    const state = inspected("2026-07-10T08:00:00.000Z");
    const leaks = (of: MachineState) =>
      jobsOf({ ...machineOf(of), leaking: ["rear"] }, horizon(14)).filter(({ kind }) => kind === "slow-puncture");
    expect(leaks(state)).toMatchObject([{ itemId: "rear-tyre-pressure-weekly", dueDay: "2026-07-17", earliest: 0, minutes: 30 }]);
    for (const itemId of ["rear-tyre-pressure", "rear-tyre-pressure-weekly"]) {
      expect(leaks({ ...state, defects: [defect({ itemId })] })).toEqual([]);
    }
    expect(leaks({ ...state, defects: [defect({ itemId: "front-tyre-pressure" })] })).toHaveLength(1);
  });

  const oilOf = (oil: MachineState["oil"], oilChange: NonNullable<Handbook["oilChange"]>) => {
    const records: WearRecords = {
      ...{ inspections: [], repairs: [], closings: [], odometerSet: [], away: [] },
      added: { at: "2026-06-01T04:00:00.000Z", odometerKm: 1000 },
      checks: [{ at: "2026-07-13T04:00:00.000Z", odometerKm: 3100 }],
    };
    const machine = { ...testMachine, handbook: { ...testMachine.handbook, oilChange } };
    return foresee({ ...machine, depotRules, state: inspected("2026-07-12T08:00:00.000Z", { odometerKm: 3100, oil }) }, records, now);
  };

  test("oil is due by distance or by days, whichever comes first, and again after each change", () => {
    // 2100 km in 42 days: 50 a day.
    const asItCame = { km: 1000, at: "2026-06-01T04:00:00.000Z", changed: false };
    const both = oilOf(asItCame, { everyKm: 3000, everyDays: 120 }).oil;
    expect(both).toMatchObject({ changed: false, kmSince: 2100, kmLeft: 900, daysLeft: 78, everyDays: 60, dueDay: "2026-07-31" });
    expect(oilOf(asItCame, { everyKm: 3000, everyDays: 45 }).oil).toMatchObject({ dueDay: "2026-07-16", everyDays: 45 });
    expect(oilOf(asItCame, { everyKm: 2000 }).oil).toMatchObject({ due: true, by: "distance", dueDay: today });
    const foreseen = oilOf({ km: 2600, at: "2026-07-03T04:00:00.000Z", changed: true }, { everyKm: 1000 });
    expect(foreseen.oil).toMatchObject({ kmSince: 500, since: "2026-07-03T04:00:00.000Z", changed: true });
    const changes = listed(machineOf(inspected("2026-07-12T08:00:00.000Z"), foreseen), horizon(40)).filter(
      ([kind]) => kind === "oil-change",
    );
    expect(changes).toEqual([
      ["oil-change", "2026-07-23"],
      ["oil-change", "2026-08-12"],
    ]);
  });
});

describe("the plan", () => {
  const depot = { id: "0197f0a0-0000-7000-8000-000000000001", workshopHoursPerDay: 2 };
  const fleet = (count: number, state: MachineState): PlannedMachine[] =>
    Array.from({ length: count }, (_, index) => ({ ...machineOf(state), id: `m${index}`, registrationMark: `M${index}` }));

  test("a day on which more falls due than there are hours is over capacity, and names the machines that will be late", () => {
    const asked = horizon(21);
    const jobs = fleet(4, newMachineState(0, now.toISOString())).flatMap((machine) => jobsOf(machine, asked));
    const plan = planOf(depot, jobs, asked, 7);
    // Two of three quarters of an hour each: a third would be begun on Monday and finished on Tuesday.
    expect(plan.days[0]).toMatchObject({ hoursAvailable: 2, hoursPlanned: 1.5, hoursDue: 3, over: true });
    expect(plan.days[1]).toMatchObject({ hoursPlanned: 1.5, hoursDue: 0, over: false });
    expect(plan.late.map(({ registrationMark, dueDay, doneDay, lateDays }) => [registrationMark, dueDay, doneDay, lateDays])).toEqual([
      ["M2", today, "2026-07-14", 1],
      ["M3", today, "2026-07-14", 1],
    ]);
    // A workshop that is open for half an hour a day has to spread it.
    const small = planOf({ ...depot, workshopHoursPerDay: 0.5 }, jobsOf(machineOf(newMachineState(0, now.toISOString())), asked), asked, 7);
    expect(small.days.slice(0, 2).map(({ jobs: [line] }) => [line?.hours, line?.hoursInAll])).toEqual([
      [0.5, 0.75],
      [0.25, 0.75],
    ]);
  });

  test("52 weeks ahead: every inspection of the year is in it, weeks add up to their days, and week 53 has its place", () => {
    const monday = "2026-01-05";
    const asked: Horizon = { ...depotRules, today: monday, lastDay: addDays(monday, 370 + 14) };
    const state = inspected("2026-01-04T08:00:00.000Z");
    const jobs = fleet(3, state).flatMap((machine) => jobsOf(machine, asked));
    const plan = planOf(depot, jobs, asked, 371);
    expect([plan.days.length, plan.weeks.length]).toEqual([371, 53]);
    // ISO 8601: 2026 begins on a Thursday and so has 53 weeks.
    expect(plan.weeks.at(-1)).toMatchObject({ week: "2027-W01", to: "2027-01-10" });
    expect(plan.weeks.map(({ week }) => week)).toContain("2026-W53");
    expect(plan.weeks.every((week) => week.jobs["weekly-inspection"] === 3)).toBe(true);
    for (const week of plan.weeks) {
      const inIt = plan.days.filter(({ day }) => day >= week.from && day <= week.to);
      expect(inIt.reduce((sum, { hoursPlanned }) => sum + hoursPlanned, 0)).toBeCloseTo(week.hoursPlanned, 6);
      expect(inIt.reduce((sum, { hoursDue }) => sum + hoursDue, 0)).toBeCloseTo(week.hoursDue, 6);
    }
    expect(
      plan.days
        .filter(({ day }) => isoWeek(day).weekday === 7)
        .every(({ hoursAvailable, hoursPlanned }) => hoursAvailable + hoursPlanned === 0),
    ).toBe(true);
    expect(plan.late).toEqual([]);
  });

  test("the first days of a long plan are those of a short one", () => {
    const state = inspected("2026-07-09T08:00:00.000Z", { defects: [defect({})] });
    const plan = (days: number) => {
      const asked = horizon(days + 14);
      return planOf(
        depot,
        fleet(9, state).flatMap((machine) => jobsOf(machine, asked)),
        asked,
        days,
      );
    };
    expect(plan(60).days.slice(0, 7)).toEqual(plan(7).days);
  });

  test("papers are shown on their last day and take no hours", () => {
    const state = inspected("2026-07-12T08:00:00.000Z", { papers: [{ kind: "insurance", validTo: "2026-07-15" }] });
    const plan = planOf(depot, jobsOf(machineOf(state), horizon(21)), horizon(21), 3);
    expect(plan.days[2]?.jobs).toMatchObject([{ kind: "paper", hours: 0, dueDay: "2026-07-15", text: "Insurance runs out" }]);
    expect(plan.days[2]?.hoursDue).toBe(0);
  });

  test("a workshop without hours finishes nothing, and says so", () => {
    const plan = planOf(
      { ...depot, workshopHoursPerDay: 0 },
      jobsOf(machineOf(newMachineState(0, now.toISOString())), horizon(21)),
      horizon(21),
      7,
    );
    expect(plan.late).toMatchObject([{ kind: "first-use-inspection", doneDay: null, lateDays: null }]);
  });
});
