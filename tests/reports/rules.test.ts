// What a day was, how long machines were in service, and since when one is grounded: pure, over facts written down here.
import { describe, expect, test } from "vitest";
import { type DaysAsked, dayStates, fileNameOf, groundsSince, machineDays, type StateThen } from "../../src/reports/rules.ts";

const at = (text: string): Date => new Date(text);
const state = (recorded: string, odometerKm: number, barred = false, odometerAt = recorded): StateThen => ({
  recordedAt: at(recorded),
  odometerKm,
  odometerAt: at(odometerAt),
  barred,
});

const asked = (changes: Partial<DaysAsked>): DaysAsked => ({
  period: { from: "2026-07-06", to: "2026-07-10" },
  timeZone: "UTC",
  now: at("2026-07-20T00:00:00Z"),
  inServiceFrom: "2026-01-01",
  checks: [],
  states: [],
  ...changes,
});
const said = (changes: Partial<DaysAsked>): string =>
  dayStates(asked(changes))
    .map((day) => day.state)
    .join(" ");

describe("a day of a machine", () => {
  const monday = state("2026-07-06T05:00:00Z", 1000);
  const checkedMonday = [{ day: "2026-07-06", foundDefects: false }];

  test("a check without defects is nil, one with a defect among two makes the day a defect day", () => {
    const checks = [...checkedMonday, { day: "2026-07-07", foundDefects: true }, { day: "2026-07-07", foundDefects: false }];
    expect(said({ period: { from: "2026-07-06", to: "2026-07-07" }, checks, states: [monday] })).toBe("nil defect");
  });
  test("days without a check are missing where the odometer moved across them", () => {
    expect(said({ checks: checkedMonday, states: [monday, state("2026-07-11T05:00:00Z", 1080)] })).toBe(
      "nil missing missing missing missing",
    );
  });
  test("days without a check are outside where the odometer stood still across them", () => {
    expect(said({ checks: checkedMonday, states: [monday, state("2026-07-11T05:00:00Z", 1000)] })).toBe(
      "nil outside outside outside outside",
    );
  });
  test("what no reading after can show is missing, never nil", () => {
    expect(said({ checks: checkedMonday, states: [monday] })).toBe("nil missing missing missing missing");
  });
  test("days before the machine was in service or in the records are outside", () => {
    const states = [state("2026-07-08T12:00:00Z", 1000), state("2026-07-12T12:00:00Z", 1100)];
    expect(said({ states })).toBe("outside outside missing missing missing");
    expect(said({ states, inServiceFrom: "2026-07-10" })).toBe("outside outside outside outside missing");
  });
  test("a machine barred all day is outside, unless the odometer says that it was ridden", () => {
    const grounded = state("2026-07-06T06:00:00Z", 1000, true);
    const released = state("2026-07-09T12:00:00Z", 1000, false, "2026-07-06T05:00:00Z");
    expect(said({ checks: checkedMonday, states: [monday, grounded, released] })).toBe("nil outside outside missing missing");
    expect(said({ checks: checkedMonday, states: [monday, grounded, state("2026-07-11T05:00:00Z", 1040, true)] })).toBe(
      "nil missing missing missing missing",
    );
  });
  test("the day that is not over is outside until it is checked or was ridden", () => {
    const now = at("2026-07-10T07:00:00Z");
    const period = { from: "2026-07-10", to: "2026-07-10" };
    expect(said({ now, period, states: [monday] })).toBe("outside");
    expect(said({ now, period, states: [monday, state("2026-07-10T06:00:00Z", 1060)] })).toBe("missing");
  });
  test("days are the depot's own", () => {
    // 23:30 UTC on the 6th is the morning of the 7th in Ho Chi Minh City.
    const states = [state("2026-07-06T23:30:00Z", 1000)];
    const far = { timeZone: "Asia/Ho_Chi_Minh", period: { from: "2026-07-06", to: "2026-07-07" }, states };
    expect(said(far)).toBe("outside missing");
  });
});

describe("machine-days", () => {
  const period = { from: "2026-07-06", to: "2026-07-12" };
  test("count the days of the period from the first in service", () => {
    expect(machineDays(period, [{ inServiceFrom: "2020-01-01", turns: [] }])).toBe(7);
    expect(machineDays(period, [{ inServiceFrom: "2026-07-11", turns: [] }])).toBe(2);
    expect(machineDays(period, [{ inServiceFrom: "2026-08-01", turns: [] }])).toBe(0);
  });
  test("leave out the days on which a machine was withdrawn", () => {
    const turns = [
      { day: "2026-07-07", withdrawn: true },
      { day: "2026-07-10", withdrawn: false },
    ];
    expect(machineDays(period, [{ inServiceFrom: "2020-01-01", turns }])).toBe(5);
    expect(machineDays(period, [{ inServiceFrom: "2020-01-01", turns: turns.slice(0, 1) }])).toBe(2);
  });
});

describe("since when a defect grounds", () => {
  const now = at("2026-07-20T12:00:00Z");
  const raised = { at: at("2026-07-13T05:00:00Z"), category: "minor" } as const;
  test("a major one from its arrival on, a re-graded one from its re-grading on", () => {
    expect(groundsSince([{ ...raised, category: "major" }], null, "UTC", now)).toEqual(raised.at);
    const regraded = { at: at("2026-07-15T05:00:00Z"), category: "major" } as const;
    expect(groundsSince([raised, regraded], null, "UTC", now)).toEqual(regraded.at);
    expect(groundsSince([raised, regraded, { ...regraded, at: now, category: "dangerous" }], null, "UTC", now)).toEqual(regraded.at);
  });
  test("a minor one from the end of its last day on, on the depot's clock", () => {
    expect(groundsSince([raised], "2026-07-19", "Europe/London", now)).toEqual(at("2026-07-19T23:00:00Z"));
    expect(groundsSince([raised], "2026-07-20", "Europe/London", now)).toBeNull();
  });
});

test("a file name holds nothing but letters, digits and hyphens, whatever the mark and depot are called", () => {
  expect(fileNameOf("pdf", "defect-report", 'A"B\r\n../1', "\u0e01\u0e02")).toBe("defect-report-A-B-1.pdf");
});
