// What each day of a machine was: hand-made months, and what holds for any.

import fc from "fast-check";
import { describe, expect, test } from "vitest";
import type { DayVerdict } from "../../shared/contracts/reports.ts";
import { addDays, localDay } from "../../shared/rules/calendar.ts";
import { type CheckMade, judgeDays, type MachineMonth, slackKm, usualDayKm } from "../../src/reports/month/completeness.ts";

const at = (text: string): Date => new Date(text);
const always = [{ from: null, to: null }];
const look = (text: string, km: number) => ({ at: at(text).toISOString(), km });

/** Monday 6 to Sunday 12 July 2026 in UTC, told in one letter a day. */
const month = (changes: Partial<MachineMonth>): MachineMonth => ({
  period: { from: "2026-07-06", to: "2026-07-12" },
  ...{ timeZone: "UTC", now: at("2026-08-01T00:00:00Z"), inServiceFrom: "2026-01-01", enteredAt: at("2026-01-01T00:00:00Z") },
  ...{ checks: [], points: [], withdrawn: [], disposed: [], grounded: [], here: always, usualKm: 90, plausibleKm: 600 },
  ...changes,
});
const letters: Readonly<Record<DayVerdict, string>> = {
  ...{ nil: "n", "nothing-new": "o", defect: "d", ridden: "R", missing: "M", "not-in-use": "-", withdrawn: "w", outside: "." },
};
const told = (changes: Partial<MachineMonth>): string =>
  judgeDays(month(changes))
    .map(({ verdict }) => letters[verdict])
    .join("");

/** Checks at six in the morning of these days of July, each a look at the odometer. */
const mornings = (looks: readonly (readonly [day: number, km: number, found?: boolean])[]) => {
  const instant = (day: number) => `2026-07-${String(day).padStart(2, "0")}T06:00:00Z`;
  return {
    checks: looks.map(([day, , foundDefects = false]) => ({ at: at(instant(day)), foundDefects })),
    points: looks.map(([day, km]) => look(instant(day), km)),
  };
};
const lookAfter = look("2026-07-13T06:00:00Z", 0);
const withLook = (of: { checks: CheckMade[]; points: { at: string; km: number }[] }, km: number, instant = "2026-07-13T06:00:00Z") => ({
  checks: of.checks,
  points: [...of.points, look(instant, km)],
});

describe("a week of a machine that goes at most 90 km a day", () => {
  test("checked every day is nil, or defect where one check of the day found something", () => {
    const days = mornings([6, 7, 8, 9, 10, 11, 12].map((day, index) => [day, index * 80, day === 8] as const));
    expect(told(withLook(days, 560))).toBe("nndnnnn");
    const twice = { ...days, checks: [...days.checks, { at: at("2026-07-08T15:00:00Z"), foundDefects: false }] };
    expect(told(withLook(twice, 560))).toBe("nndnnnn");
  });
  test("a check that found nothing while an older defect stood open is nothing new, and never looks like nil", () => {
    const days = mornings([6, 7, 8, 9, 10, 11, 12].map((day, index) => [day, index * 80, day === 8] as const));
    const checks = days.checks.map((check, index) => ({ ...check, stillOpen: index >= 2 && index <= 4 }));
    expect(told(withLook({ ...days, checks }, 560))).toBe("nndoonn");
    // A second check on the day, after it was put right, does not hide it.
    const twice = { ...days, checks: [...checks, { at: at("2026-07-10T15:00:00Z"), foundDefects: false, stillOpen: false }] };
    expect(told(withLook(twice, 560))).toBe("nndoonn");
  });
  test("a Sunday between Saturday's riding and Monday's check was not in use: what was ridden fits into Saturday", () => {
    expect(told(withLook(mornings([6, 7, 8, 9, 10, 11].map((day, index) => [day, index * 80] as const)), 480))).toBe("nnnnnn-");
  });
  test("a Sunday on which it was ridden besides is shown as such, never as nil or as rest", () => {
    expect(told(withLook(mornings([6, 7, 8, 9, 10, 11].map((day, index) => [day, index * 80] as const)), 560))).toBe("nnnnnnR");
  });
  test("days without a check across which more was ridden than the checked day holds are all ridden: nobody knows which it was", () => {
    expect(
      told(
        withLook(
          mornings([
            [6, 0],
            [7, 80],
            [10, 320],
            [11, 400],
          ]),
          480,
        ),
      ),
    ).toBe("nnRRnn-");
  });
  test("a machine that nobody checked and that moved was ridden without a check; one that stood was not in use", () => {
    const start = look("2026-07-05T18:00:00Z", 0);
    expect(told({ points: [start, { ...lookAfter, km: 40 }] })).toBe("RRRRRRR");
    expect(told({ points: [start, { ...lookAfter, km: 0 }] })).toBe("-------");
    expect(told({ points: [start, { ...lookAfter, km: slackKm }] })).toBe("-------");
    expect(told({ points: [start, { ...lookAfter, km: slackKm + 1 }] })).toBe("RRRRRRR");
  });
  test("a look between narrows down when it was ridden", () => {
    const points = [
      look("2026-07-05T18:00:00Z", 0),
      look("2026-07-08T06:00:00Z", 0),
      look("2026-07-10T06:00:00Z", 50),
      { ...lookAfter, km: 50 },
    ];
    expect(told({ points })).toBe("--RRR--");
  });
  test("ridden before the first check of a day, with the kilometres to show it, the day is not nil", () => {
    // Looked at in the workshop at six, checked at eight, thirty kilometres in between.
    const checks = [{ at: at("2026-07-08T08:00:00Z"), foundDefects: false }];
    const points = [
      look("2026-07-05T18:00:00Z", 0),
      look("2026-07-08T06:00:00Z", 0),
      look("2026-07-08T08:00:00Z", 30),
      look("2026-07-09T06:00:00Z", 90),
      { ...lookAfter, km: 90 },
    ];
    expect(told({ checks, points })).toBe("--R----");
  });
  test("a long day between two checked days is a long day; more than any machine goes is ridden without a check", () => {
    const twoDays = (km: number) =>
      withLook(
        mornings([
          [6, 0],
          [7, km],
        ]),
        km,
      );
    expect(told(twoDays(180)).slice(0, 2)).toBe("nn");
    expect(told(twoDays(600 + slackKm)).slice(0, 2)).toBe("nn");
    expect(told(twoDays(601 + slackKm)).slice(0, 2)).toBe("nR");
  });
  test("riding after the check of the day is covered, however far", () => {
    const checks = [{ at: at("2026-07-06T06:00:00Z"), foundDefects: false }];
    const points = [
      look("2026-07-06T06:00:00Z", 0),
      look("2026-07-06T22:00:00Z", 500),
      look("2026-07-07T06:00:00Z", 500),
      { ...lookAfter, km: 500 },
    ];
    expect(told({ checks, points })).toBe("n------");
  });
  test("where its usual distance is not known, a gap that the checked day could fill is missing; one that it could not is ridden", () => {
    const gap = (km: number) => ({ ...withLook(mornings([[6, 0]]), km, "2026-07-08T06:00:00Z"), usualKm: null });
    expect(told(gap(80)).slice(0, 2)).toBe("nM");
    expect(told(gap(3)).slice(0, 2)).toBe("n-");
    expect(told(gap(700)).slice(0, 2)).toBe("nR");
  });
  test("after the last look nothing shows that it stood: missing, unless it was grounded all day", () => {
    const { checks, points } = mornings([
      [6, 0],
      [7, 80],
    ]);
    expect(told({ checks, points })).toBe("nnMMMMM");
    expect(told({ checks, points, grounded: [{ from: at("2026-07-09T12:00:00Z"), to: at("2026-07-11T12:00:00Z") }] })).toBe("nnMM-MM");
  });
  test("the last look at the odometer is not the end of its day", () => {
    const points = [look("2026-07-05T18:00:00Z", 0), look("2026-07-08T06:00:00Z", 0)];
    expect(told({ points })).toBe("--MMMMM");
  });
  test("a grounded machine that was ridden is shown as ridden", () => {
    const grounded = [{ from: at("2026-07-06T07:00:00Z"), to: null }];
    expect(told({ ...withLook(mornings([[6, 0, true]]), 200), grounded })).toBe("dRRRRRR");
  });
  test("from the day on which it was sold nobody asks for a check, and one that was made counts all the same", () => {
    const disposed = [{ from: at("2026-07-08T12:00:00Z"), to: null }];
    expect(told({ ...mornings([[6, 0]]), disposed })).toBe("nM.....");
    expect(
      told({
        ...mornings([
          [6, 0],
          [8, 60, true],
        ]),
        disposed,
      }),
    ).toBe("n-d....");
    // Brought back on the tenth.
    expect(told({ ...mornings([[6, 0]]), disposed: [{ from: at("2026-07-08T12:00:00Z"), to: at("2026-07-10T12:00:00Z") }] })).toBe(
      "nM..MMM",
    );
  });
  test("withdrawn all day is withdrawn, also where the look after it shows kilometres that others days without a check can hold", () => {
    const withdrawn = [{ from: at("2026-07-07T12:00:00Z"), to: at("2026-07-10T12:00:00Z") }];
    expect(told({ ...withLook(mornings([[6, 0]]), 60), withdrawn })).toBe("n-ww---");
    expect(told({ ...withLook(mornings([[6, 0]]), 300), withdrawn })).toBe("nRwwRRR");
    const only = [{ from: at("2026-07-06T23:00:00Z"), to: null }];
    expect(told({ ...withLook(mornings([[6, 0]]), 300), withdrawn: only })).toBe("nRRRRRR");
    expect(
      told({
        ...withLook(
          mornings([
            [6, 0],
            [9, 80],
          ]),
          80,
        ),
        withdrawn,
      }),
    ).toBe("n-wn---");
  });
  test("days before it was in service or in the records, and days that are not over, are outside", () => {
    const points = [look("2026-07-08T10:00:00Z", 0), { ...lookAfter, km: 0 }];
    expect(told({ points, enteredAt: at("2026-07-08T10:00:00Z") })).toBe("..-----");
    expect(told({ points, inServiceFrom: "2026-07-09" })).toBe("...----");
    const { checks, points: looks } = mornings([
      [6, 0],
      [7, 80],
    ]);
    expect(told({ checks, points: looks, now: at("2026-07-07T09:00:00Z") })).toBe("nn.....");
    expect(told({ checks: checks.slice(0, 1), points: looks, now: at("2026-07-07T09:00:00Z") }).slice(0, 2)).toBe("n.");
  });
  test("a machine that moved context is each day where it was in the evening", () => {
    const days = withLook(mornings([6, 7, 8, 9, 10, 11, 12].map((day, index) => [day, index * 80] as const)), 560);
    const moved = at("2026-07-09T12:00:00Z");
    expect(told({ ...days, here: [{ from: null, to: moved }] })).toBe("nnn....");
    expect(told({ ...days, here: [{ from: moved, to: null }] })).toBe("...nnnn");
  });
  test("days are the depot's own", () => {
    // 23:30 UTC on the 6th is the morning of the 7th in Ho Chi Minh City.
    const checks = [{ at: at("2026-07-06T23:30:00Z"), foundDefects: false }];
    const points = [look("2026-07-05T23:30:00Z", 0), look("2026-07-06T23:30:00Z", 0), { ...lookAfter, km: 0 }];
    expect(told({ checks, points, timeZone: "Asia/Ho_Chi_Minh" })).toBe("-n-----");
  });
});

describe("the usual distance of a day", () => {
  test("is what nine in ten days stay under, and half as much again; unknown with fewer than five days", () => {
    const days = [6, 7, 8, 9, 10, 11];
    const { checks, points } = mornings(days.map((day, index) => [day, index * 80] as const));
    expect(usualDayKm(checks, points, "UTC")).toBe(120);
    expect(usualDayKm(checks.slice(0, 5), points.slice(0, 5), "UTC")).toBeNull();
    expect(usualDayKm([], [], "UTC")).toBeNull();
  });
  test("does not count what lies between two checks that are days apart", () => {
    const { checks, points } = mornings([
      [1, 0],
      [2, 80],
      [3, 160],
      [4, 240],
      [5, 320],
      [6, 400],
      [9, 1000],
    ]);
    expect(usualDayKm(checks, points, "UTC")).toBe(120);
  });
});

// Any month: checks and other looks at any hour, the odometer only forwards.
const hourMs = 3_600_000;
const start = Date.UTC(2026, 9, 1);
interface Seen {
  readonly hour: number;
  readonly km: number;
  readonly isCheck: boolean;
  readonly found: boolean;
}
const seen: fc.Arbitrary<Seen> = fc.record({
  hour: fc.integer({ min: -72, max: 34 * 24 }),
  km: fc.integer({ min: 0, max: 250 }),
  isCheck: fc.boolean(),
  found: fc.boolean(),
});
const stretch = fc.tuple(fc.integer({ min: -48, max: 34 * 24 }), fc.option(fc.integer({ min: 1, max: 400 }))).map(([from, hours]) => ({
  from: new Date(start + from * hourMs),
  to: hours === null ? null : new Date(start + (from + hours) * hourMs),
}));
const anyMonth = fc.record({
  looks: fc.array(seen, { maxLength: 40 }),
  withdrawn: fc.array(stretch, { maxLength: 2 }),
  grounded: fc.array(stretch, { maxLength: 3 }),
  timeZone: fc.constantFrom("Europe/London", "Asia/Ho_Chi_Minh", "America/New_York", "Pacific/Auckland"),
  usualKm: fc.option(fc.integer({ min: 10, max: 200 })),
  nowHour: fc.integer({ min: 0, max: 60 * 24 }),
});
const monthOf = (
  {
    timeZone,
    withdrawn,
    grounded,
    usualKm,
    nowHour,
  }: {
    timeZone: string;
    withdrawn: MachineMonth["withdrawn"];
    grounded: MachineMonth["grounded"];
    usualKm: number | null;
    nowHour: number;
  },
  looks: readonly Seen[],
): MachineMonth => {
  const sorted = [...looks].sort((a, b) => a.hour - b.hour);
  let km = 0;
  const points = sorted.map((one) => {
    km += one.km;
    return { at: new Date(start + one.hour * hourMs).toISOString(), km };
  });
  const checks = sorted.flatMap(({ hour, isCheck, found }) =>
    isCheck ? [{ at: new Date(start + hour * hourMs), foundDefects: found }] : [],
  );
  return month({
    ...{ period: { from: "2026-10-01", to: "2026-10-31" }, timeZone, withdrawn, grounded, usualKm, points, checks },
    now: new Date(start + nowHour * hourMs),
  });
};

describe("in any month", () => {
  test("every day of the period is judged exactly once, in order", () => {
    fc.assert(
      fc.property(anyMonth, (any) => {
        const days = judgeDays(monthOf(any, any.looks)).map(({ day }) => day);
        expect(days).toEqual(Array.from({ length: 31 }, (_, index) => addDays("2026-10-01", index)));
      }),
    );
  });
  test("a day with a check is nil, defect or ridden; one without is neither nil nor defect", () => {
    fc.assert(
      fc.property(anyMonth, (any) => {
        const machine = monthOf(any, any.looks);
        const checked = new Set(machine.checks.map(({ at }) => localDay(at, machine.timeZone)));
        for (const { day, verdict } of judgeDays(machine))
          expect(
            checked.has(day) ? ["nil", "nothing-new", "defect", "ridden"] : ["ridden", "missing", "not-in-use", "withdrawn", "outside"],
            day,
          ).toContain(verdict);
      }),
    );
  });
  test("one more check, which shows no more than the looks around it, makes no day without a check worse", () => {
    const bad: Readonly<Record<DayVerdict, number>> = {
      ...{ nil: 0, "nothing-new": 0, defect: 0, "not-in-use": 0, withdrawn: 0, outside: 0 },
      missing: 1,
      ridden: 2,
    };
    fc.assert(
      fc.property(anyMonth, seen, fc.double({ min: 0, max: 1, noNaN: true }), (any, extra, share) => {
        // A machine out of service is suspected last of all: there a check on the only other day does shift it.
        const machine = monthOf({ ...any, withdrawn: [] }, any.looks);
        const instant = new Date(start + extra.hour * hourMs);
        const text = instant.toISOString();
        if (machine.points.some(({ at }) => at === text)) return;
        const earlier = machine.points.findLast(({ at }) => at < text);
        const later = machine.points.find(({ at }) => at > text);
        const low = (earlier ?? later)?.km ?? 0;
        const km = low + share * ((later ?? earlier)?.km ?? low) - share * low;
        const sorted = <T>(list: readonly T[], key: (one: T) => string): T[] => [...list].sort((a, b) => (key(a) < key(b) ? -1 : 1));
        const more = {
          ...machine,
          points: sorted([...machine.points, { at: text, km }], ({ at }) => at),
          checks: sorted([...machine.checks, { at: instant, foundDefects: false }], ({ at }) => at.toISOString()),
        };
        const checked = new Set(more.checks.map(({ at }) => localDay(at, machine.timeZone)));
        const after = judgeDays(more);
        for (const [index, { day, verdict }] of judgeDays(machine).entries()) {
          const now = after[index]?.verdict ?? "outside";
          if (!checked.has(day)) expect(bad[now], `${day}: ${verdict} became ${now}`).toBeLessThanOrEqual(bad[verdict]);
        }
      }),
      { numRuns: 500 },
    );
  });
  test("an odometer that stands all month shows no riding at all", () => {
    fc.assert(
      fc.property(anyMonth, (any) => {
        const still = any.looks.map((one) => ({ ...one, km: 0 }));
        expect(judgeDays(monthOf(any, still)).filter(({ verdict }) => verdict === "ridden")).toEqual([]);
      }),
    );
  });
});
