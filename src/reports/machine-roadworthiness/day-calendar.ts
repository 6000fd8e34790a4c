// The calendar of daily checks: one row a month, one place a day. A check that found nothing is a record; a missing one is not.
import type { DayVerdict } from "../../../shared/contracts/reports.ts";
import { daysBetween } from "../../../shared/rules/calendar.ts";
import type { Block, DayMark, DayStrip } from "../../pdf/index.ts";
import type { Phrases } from "../phrases.ts";
import type { DayJudged } from "../roadworthiness-facts.ts";

/** How the verdict on a day is drawn, the same on every report; null: the place stays empty. */
export const markOf: Readonly<Record<DayVerdict, DayMark | null>> = {
  ...{ nil: "nil", "nothing-new": "nothing-new", defect: "defect", ridden: "ridden", missing: "missing", withdrawn: "withdrawn" },
  ...{ "not-in-use": "outside", outside: null },
};
export const marks = ["nil", "nothing-new", "defect", "ridden", "missing", "outside", "withdrawn"] as const;

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

const monthRows = (phrases: Phrases, days: readonly DayJudged[]): DayStrip["rows"] => {
  const rows: { label: string; days: (DayMark | null)[] }[] = [];
  for (const { day, verdict } of days) {
    const label = phrases.month(day.slice(0, 7));
    let row = rows.at(-1);
    if (row?.label !== label) {
      row = { label, days: [] };
      rows.push(row);
    }
    const place = Number(day.slice(8)) - 1;
    while (row.days.length < place) row.days.push(null);
    row.days.push(markOf[verdict]);
  }
  return rows;
};

/** The section on daily checks: the calendar, the days without a check in words, and how a day is judged. */
export const sectionsOnChecks = (phrases: Phrases, days: readonly DayJudged[]): Block[] => {
  const { say, number } = phrases;
  const heading: Block = { kind: "heading", level: 2, text: say("report.machine.checks") };
  if (days.every(({ verdict }) => verdict === "outside"))
    return [heading, { kind: "paragraph", text: say("report.machine.no-days"), tone: "quiet" }];
  const daysThatAre = (mark: DayMark): string[] => days.filter(({ verdict }) => markOf[verdict] === mark).map(({ day }) => day);
  const count = (mark: DayMark): number => daysThatAre(mark).length;
  const named = (mark: DayMark): string => {
    const runs = runsOfDays(daysThatAre(mark)).map(([first, last]) =>
      first === last ? phrases.shortDay(first) : say("report.period", { from: phrases.shortDay(first), to: phrases.shortDay(last) }),
    );
    return runs.length === 0 ? say("report.none") : runs.join("; ");
  };
  // Verdicts that an auditor asks about are in the legend even if none occurred; the others only if they did.
  const always: readonly DayMark[] = ["nil", "defect", "ridden", "missing"];
  return [
    heading,
    {
      kind: "days",
      title: say("report.machine.checks-title"),
      alt: say("report.machine.checks-alt", {
        ...{ nil: count("nil"), older: count("nothing-new"), defect: count("defect"), ridden: count("ridden"), missing: count("missing") },
      }),
      heads: Array.from({ length: 31 }, (_, index) => String(index + 1)),
      rows: monthRows(phrases, days),
      legend: marks
        .filter((mark) => always.includes(mark) || count(mark) > 0)
        .map((mark) => ({ mark, text: `${say(`report.day.${mark}`)} (${number(count(mark))})` })),
    },
    { kind: "paragraph", size: "small", text: say("report.machine.checks-ridden-days", { days: named("ridden") }) },
    { kind: "paragraph", size: "small", text: say("report.machine.checks-missing-days", { days: named("missing") }) },
    { kind: "paragraph", size: "small", text: say("report.day.rule"), tone: "quiet" },
  ];
};
