import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { addDays, daysBetween, endOfDay, formatIsoWeek, isoWeek, isTimeZone, localDay, startOfDay } from "../../shared/rules/calendar.ts";

const HOUR = 3_600_000;
const hoursOf = (day: string, zone: string): number => (endOfDay(day, zone).getTime() - startOfDay(day, zone).getTime()) / HOUR;

describe("the day of an instant is the depot's own", () => {
  // IANA time zone data, file europe, rules EU, zone Europe/London
  test.each([
    ["2026-07-14T23:30:00Z", "Europe/London", "2026-07-15"],
    ["2026-01-14T23:30:00Z", "Europe/London", "2026-01-14"],
    ["2026-03-29T00:59:59.999Z", "Europe/London", "2026-03-29"],
    ["2026-10-25T00:30:00Z", "Europe/London", "2026-10-25"],
    ["2026-10-25T01:30:00Z", "Europe/London", "2026-10-25"],
    // IANA time zone data, files asia and africa: +5:30 and +7 without summer time
    ["2026-01-14T20:00:00Z", "Asia/Kolkata", "2026-01-15"],
    ["2026-01-14T20:00:00Z", "Asia/Ho_Chi_Minh", "2026-01-15"],
    ["2026-01-14T18:29:59.999Z", "Asia/Kolkata", "2026-01-14"],
    ["2026-01-14T18:30:00Z", "Asia/Kolkata", "2026-01-15"],
    ["2026-01-14T18:14:59.999Z", "Asia/Kathmandu", "2026-01-14"],
    ["2026-01-14T18:15:00Z", "Asia/Kathmandu", "2026-01-15"],
  ])("%s in %s is %s", (instant, zone, day) => {
    expect(localDay(new Date(instant), zone)).toBe(day);
    expect(localDay(Date.parse(instant), zone)).toBe(day);
  });

  test("what is not an instant, a day or a zone is refused with a RangeError", () => {
    expect(() => localDay(new Date(Number.NaN), "UTC")).toThrow(RangeError);
    expect(() => localDay(0, "Nowhere/At_All")).toThrow(RangeError);
    for (const day of ["2026-02-30", "2026-13-01", "2026-1-1", "", "26-01-01", "2026-01-01T00:00", "٢٠٢٦-01-01"]) {
      expect(() => startOfDay(day, "UTC"), day).toThrow(RangeError);
      expect(() => addDays(day, 1), day).toThrow(RangeError);
    }
    expect(() => addDays("9999-12-31", 1)).toThrow(RangeError);
    expect(() => addDays("2026-01-01", 0.5)).toThrow(RangeError);
  });
});

describe("the length of a day", () => {
  // IANA: last Sunday of March and October, change at 01:00 UTC
  test.each([
    ["2026-03-29", "Europe/London", 23],
    ["2026-10-25", "Europe/London", 25],
    ["2027-03-28", "Europe/London", 23],
    ["2027-10-31", "Europe/London", 25],
    ["2026-07-14", "Europe/London", 24],
    // IANA northamerica: second Sunday of March to first Sunday of November
    ["2026-03-08", "America/New_York", 23],
    ["2026-11-01", "America/New_York", 25],
    // IANA australasia: half an hour of summer time
    ["2026-04-05", "Australia/Lord_Howe", 24.5],
    ["2026-10-04", "Australia/Lord_Howe", 23.5],
    // IANA southamerica: Brazil put the clocks forward at midnight until 2018, so that the day began at 01:00
    ["2018-11-04", "America/Sao_Paulo", 23],
    ["2018-02-17", "America/Sao_Paulo", 25],
    // IANA australasia: Samoa left out 30 December 2011
    ["2011-12-29", "Pacific/Apia", 24],
    ["2011-12-30", "Pacific/Apia", 0],
    ["2011-12-31", "Pacific/Apia", 24],
    // IANA northamerica: Newfoundland changed at one minute past midnight until 2011
    ["2010-03-14", "America/St_Johns", 23],
  ])("%s in %s has %d hours", (day, zone, hours) => {
    expect(hoursOf(day, zone)).toBe(hours);
  });

  test("a day without midnight starts at its first instant", () => {
    expect(startOfDay("2018-11-04", "America/Sao_Paulo").toISOString()).toBe("2018-11-04T03:00:00.000Z");
    expect(localDay(Date.parse("2018-11-04T02:59:59.999Z"), "America/Sao_Paulo")).toBe("2018-11-03");
  });

  test("where one minute of Sunday came before the last hour of Saturday, Sunday starts at the first of its minutes", () => {
    expect(startOfDay("2010-11-07", "America/St_Johns").toISOString()).toBe("2010-11-07T02:30:00.000Z");
    expect(localDay(Date.parse("2010-11-07T02:30:00Z"), "America/St_Johns")).toBe("2010-11-07");
    expect(localDay(Date.parse("2010-11-07T02:31:00Z"), "America/St_Johns")).toBe("2010-11-06");
  });

  test("the oldest and the last writable days work", () => {
    expect(startOfDay("0000-01-01", "UTC").toISOString()).toBe("0000-01-01T00:00:00.000Z");
    expect(hoursOf("0001-01-01", "Europe/London")).toBe(24);
    expect(endOfDay("9999-12-31", "UTC").toISOString()).toBe("+010000-01-01T00:00:00.000Z");
  });
});

// A second way to the same answers: one formatter per zone that prints a date, asked minute by minute.
const zones = [
  "UTC",
  "Europe/London",
  "Europe/Dublin",
  "America/Sao_Paulo",
  "America/St_Johns",
  "America/New_York",
  "Asia/Kolkata",
  "Asia/Kathmandu",
  "Australia/Lord_Howe",
  "Pacific/Chatham",
  "Pacific/Apia",
  "Africa/Casablanca",
  "Asia/Gaza",
  "America/Santiago",
  "Pacific/Kiritimati",
];
const printers = new Map(zones.map((zone) => [zone, new Intl.DateTimeFormat("sv-SE", { timeZone: zone, dateStyle: "short" })]));
const printedDay = (instant: number, zone: string): string => (printers.get(zone) as Intl.DateTimeFormat).format(instant);
const anyZone = fc.constantFrom(...zones);
const anyInstant = fc.integer({ min: Date.UTC(1975, 0, 1), max: Date.UTC(2037, 11, 31) });

function startByMinutes(day: string, zone: string): number {
  const midnight = Date.parse(`${day}T00:00:00Z`);
  let hour = midnight - 16 * HOUR;
  while (printedDay(hour + HOUR, zone) < day) hour += HOUR;
  // Where clocks went back a minute after midnight (St John's until 2011), the day began once for that minute, an hour before it came again.
  let minute = hour - HOUR;
  while (printedDay(minute, zone) < day) minute += 60_000;
  return minute;
}

describe("against a second reading of the zone data", () => {
  test("localDay is what a calendar of the zone prints", () => {
    fc.assert(
      fc.property(anyInstant, anyZone, (instant, zone) => {
        expect(localDay(instant, zone)).toBe(printedDay(instant, zone));
      }),
      { numRuns: 3000 },
    );
  });

  test("startOfDay is the first minute that a calendar of the zone prints the day", () => {
    fc.assert(
      fc.property(anyInstant, anyZone, (instant, zone) => {
        const day = printedDay(instant, zone);
        expect(startOfDay(day, zone).getTime()).toBe(startByMinutes(day, zone));
      }),
      { numRuns: 400 },
    );
  });

  test("every day of a year with two changes of the clocks is found, and the days meet without gap or overlap", () => {
    for (const [zone, year] of [
      ["Europe/London", 2026],
      ["America/Sao_Paulo", 2018],
      ["Africa/Casablanca", 2026],
      ["Australia/Lord_Howe", 2026],
      ["Asia/Gaza", 2016],
      ["Pacific/Apia", 2011],
    ] as const) {
      for (let day = `${year}-01-01`; day < `${year + 1}-01-01`; day = addDays(day, 1)) {
        const start = startOfDay(day, zone).getTime();
        const end = endOfDay(day, zone).getTime();
        expect(end, `${zone} ${day}`).toBe(startOfDay(addDays(day, 1), zone).getTime());
        if (end === start) continue; // a day that the zone left out
        expect(localDay(start, zone)).toBe(day);
        expect(localDay(end - 1, zone)).toBe(day);
        expect(localDay(start - 1, zone) < day).toBe(true);
      }
    }
  });

  test("an instant is over before its day is", () => {
    const contiguous = zones.filter((zone) => zone !== "America/St_Johns");
    fc.assert(
      fc.property(anyInstant, fc.constantFrom(...contiguous), (instant, zone) => {
        const day = localDay(instant, zone);
        expect(startOfDay(day, zone).getTime()).toBeLessThanOrEqual(instant);
        expect(endOfDay(day, zone).getTime()).toBeGreaterThan(instant);
      }),
      { numRuns: 1000 },
    );
  });
});

describe("ISO weeks", () => {
  // ISO 8601-1:2019; the usual published examples around New Year, and the end of 2026
  test.each([
    ["2005-01-01", "2004-W53", 6],
    ["2005-12-31", "2005-W52", 6],
    ["2006-01-01", "2005-W52", 7],
    ["2007-01-01", "2007-W01", 1],
    ["2007-12-31", "2008-W01", 1],
    ["2008-12-29", "2009-W01", 1],
    ["2008-12-31", "2009-W01", 3],
    ["2010-01-03", "2009-W53", 7],
    ["2026-12-31", "2026-W53", 4],
    ["2027-01-03", "2026-W53", 7],
    ["2027-01-04", "2027-W01", 1],
  ])("%s is %s day %d", (day, week, weekday) => {
    expect(formatIsoWeek(isoWeek(day))).toBe(week);
    expect(isoWeek(day).weekday).toBe(weekday);
  });

  test("the years with 53 weeks in 2000-2099 are those of the calendar, 71 in 400 years", () => {
    const long = (from: number, to: number): number[] => {
      const years: number[] = [];
      for (let year = from; year < to; year += 1) if (isoWeek(`${year}-12-28`).week === 53) years.push(year);
      return years;
    };
    // computed from ISO 8601-1:2019
    expect(long(2000, 2100)).toEqual([
      2004, 2009, 2015, 2020, 2026, 2032, 2037, 2043, 2048, 2054, 2060, 2065, 2071, 2076, 2082, 2088, 2093, 2099,
    ]);
    expect(long(2000, 2400)).toHaveLength(71);
  });

  test("a week is that of its Monday", () => {
    fc.assert(
      fc.property(fc.integer({ min: -250_000, max: 250_000 }), (offset) => {
        const day = addDays("2026-01-01", offset);
        const { weekday, ...week } = isoWeek(day);
        expect(isoWeek(addDays(day, 1 - weekday))).toEqual({ ...week, weekday: 1 });
      }),
    );
  });
});

describe("counting days", () => {
  test("addDays and daysBetween undo each other", () => {
    fc.assert(
      fc.property(fc.integer({ min: -300_000, max: 300_000 }), (days) => {
        expect(daysBetween("2026-02-28", addDays("2026-02-28", days))).toBe(days);
      }),
    );
    expect(addDays("2028-02-28", 1)).toBe("2028-02-29");
    expect(addDays("2026-03-28", 2)).toBe("2026-03-30");
  });
});

describe("zone names", () => {
  test("only places and UTC are taken", () => {
    for (const zone of ["UTC", ...zones, "America/Argentina/Buenos_Aires", "America/Port-au-Prince"]) {
      expect(isTimeZone(zone), zone).toBe(true);
    }
    for (const name of ["", "+01:00", "GMT+1", "Etc/GMT-7", "EST", "Europe", "Europe/Nowhere", "Europe/London ", "../etc/passwd"]) {
      expect(isTimeZone(name), name).toBe(false);
    }
  });
});
