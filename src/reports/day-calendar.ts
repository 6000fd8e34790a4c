// The calendar of daily checks: one row a month, one place a day. A check that found nothing is a record; a missing one is not.
import { daysBetween } from "../../shared/rules/calendar.ts";
import type { Block, DayMark, DayStrip } from "./document.ts";
import type { DayChecked } from "./facts.ts";
import type { Phrases } from "./phrases.ts";

/** Runs of days that follow each other: `[first, last]` of each. */
export const runsOfDays = (days: readonly string[]): [string, string][] => {
  const runs: [string, string][] = [];
  for (const day of days) {
    const last = runs.at(-1);
    if (last !== undefined && daysBetween(last[1], day) === 1) last[1] = day;
    else runs.push([day, day]);
  }
  return runs;
};

const monthRows = (phrases: Phrases, days: readonly DayChecked[]): DayStrip["rows"] => {
  const rows: { label: string; days: (DayMark | null)[] }[] = [];
  for (const { day, state } of days) {
    const label = phrases.month(day.slice(0, 7));
    let row = rows.at(-1);
    if (row?.label !== label) {
      row = { label, days: [] };
      rows.push(row);
    }
    const place = Number(day.slice(8)) - 1;
    while (row.days.length < place) row.days.push(null);
    row.days.push(state);
  }
  return rows;
};

/** The section on daily checks: the calendar, and the days without a check in words. */
export const sectionsOnChecks = (phrases: Phrases, days: readonly DayChecked[]): Block[] => {
  const { say } = phrases;
  const heading: Block = { kind: "heading", level: 2, text: say("paper.machine.checks") };
  if (!days.some((day) => day.state !== "outside"))
    return [heading, { kind: "paragraph", text: say("paper.machine.no-days"), tone: "quiet" }];
  const count = (state: DayChecked["state"]) => days.filter((day) => day.state === state).length;
  const missing = runsOfDays(days.filter((day) => day.state === "missing").map((day) => day.day)).map(([first, last]) =>
    first === last ? phrases.shortDay(first) : say("paper.period", { from: phrases.shortDay(first), to: phrases.shortDay(last) }),
  );
  const marks = ["nil", "defect", "missing", "outside"] as const;
  return [
    heading,
    {
      kind: "days",
      title: say("paper.machine.checks-title"),
      alt: say("paper.machine.checks-alt", { nil: count("nil"), defect: count("defect"), missing: count("missing") }),
      heads: Array.from({ length: 31 }, (_, index) => String(index + 1)),
      rows: monthRows(phrases, days),
      legend: marks
        .filter((mark) => mark !== "outside" || count(mark) > 0)
        .map((mark) => ({ mark, text: say(`paper.machine.checks-${mark}`, { count: count(mark) }) })),
    },
    {
      kind: "paragraph",
      size: "small",
      text: say("paper.machine.checks-missing-days", { days: missing.length === 0 ? say("paper.none") : missing.join("; ") }),
    },
  ];
};
