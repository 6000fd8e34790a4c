// How long records are kept, against the published period, and that no kind of record is left without a class.
import fc from "fast-check";
import { expect, test } from "vitest";
import { addDays } from "../../shared/rules/calendar.ts";
import { defaultPolicy, policySchema } from "../../shared/rules/policy.ts";
import {
  classOfKind,
  datedKinds,
  forgettableBefore,
  keptThrough,
  lastForgettableDay,
  leastMonths,
  recordClasses,
  recordClassNames,
} from "../../shared/rules/retention.ts";
import { word } from "../../shared/words/index.ts";
import { kinds } from "../../src/ledger/index.ts";

// 15 months: DVSA, Guide to maintaining roadworthiness, 3.1 and 4.x. How a month without such a day ends is ours.
test("a record of 2025-01-31 is still there on 2026-04-30, and may go the day after", () => {
  expect(keptThrough("2025-01-31", leastMonths)).toBe("2026-04-30");
  expect(lastForgettableDay("2026-04-30", leastMonths) < "2025-01-31").toBe(true);
  expect(lastForgettableDay("2026-05-01", leastMonths)).toBe("2025-01-31");
});

test.each([
  ["2025-02-28", 15, "2026-05-28"],
  ["2024-11-30", 15, "2026-02-28"],
  ["2022-11-30", 15, "2024-02-29"],
  ["2025-10-01", 15, "2027-01-01"],
  ["2025-03-31", 120, "2035-03-31"],
])("a record of %s that is kept for %i months is kept through %s", (day, months, through) => {
  expect(keptThrough(day, months)).toBe(through);
});

test("what may go on a day is exactly what is not kept through it, on every day and for every choice of months", () => {
  const day = fc.integer({ min: 0, max: 20_000 }).map((days) => addDays("2000-01-01", days));
  fc.assert(
    fc.property(day, fc.integer({ min: 15, max: 120 }), (today, months) => {
      const last = lastForgettableDay(today, months);
      expect(keptThrough(last, months) < today).toBe(true);
      expect(keptThrough(addDays(last, 1), months) >= today).toBe(true);
    }),
  );
});

test("at no depot does a record go before its own day says so", () => {
  const zones = ["Europe/London", "Asia/Ho_Chi_Minh", "America/Los_Angeles"];
  // In Ho Chi Minh City it is the first of May already.
  const { untilDay, before } = forgettableBefore(new Date("2026-04-30T20:00:00Z"), zones, 15);
  expect(untilDay < "2025-01-31").toBe(true);
  expect(before.getTime()).toBeLessThanOrEqual(Date.parse("2025-01-31T00:00:00Z"));
  expect(forgettableBefore(new Date("2026-05-01T08:00:00Z"), zones, 15)).toEqual({
    untilDay: "2025-01-31",
    // The day ends there first.
    before: new Date("2025-01-31T17:00:00Z"),
  });
});

test("every kind of record has one class, and every class says why", () => {
  const classed = recordClassNames.flatMap((name): readonly string[] => recordClasses[name].kinds);
  expect([...classed].sort()).toEqual(Object.keys(kinds).sort());
  expect(Object.keys(kinds).filter((kind) => classOfKind(kind) === null)).toEqual([]);
  for (const name of recordClassNames) expect(word(`retention.${name}.reason`).length).toBeGreaterThan(40);
});

test("what the published period names is dated, and what the rest is read by is not", () => {
  for (const kind of ["daily-check", "weekly-inspection", "defect-raised", "defect-repaired", "defect-signed-off"]) {
    expect(datedKinds).toContain(kind);
  }
  for (const kind of ["policy-changed", "machine-amended", "model-revised", "paper-added", "records-forgotten", "hold-placed"]) {
    expect(datedKinds).not.toContain(kind);
  }
});

test("no firm keeps for less than the published 15 months", () => {
  expect(defaultPolicy.keepMonths).toBe(15);
  expect(policySchema.safeParse({ keepMonths: 14 }).success).toBe(false);
  expect(policySchema.safeParse({ keepMonths: 120 }).success).toBe(true);
  expect(policySchema.safeParse({ keepMonths: 121 }).success).toBe(false);
});
