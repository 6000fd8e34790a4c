// Control charts of the checks and of the defects: which day or week differs by more than chance explains.
import type { ControlCharts } from "../../shared/contracts/insight.ts";
import { addDays, formatIsoWeek, isoWeek } from "../../shared/rules/calendar.ts";
import { word } from "../../shared/words/index.ts";
import { daysTogether, type FoundDefect, leastWeekMachineDays, type ServiceRow } from "../figures/index.ts";
import type { Period } from "../platform/index.ts";
import { type ChartSample, pChart, uChart } from "../statistics/index.ts";
import type { DayOfChecksRow } from "./store.ts";

type Side = "above" | "below";
const sideOf = ({ outside, value, high }: ChartSample): Side | null => (outside ? (value > high ? "above" : "below") : null);
const sampleOf = (sample: ChartSample) => ({ value: sample.value, low: sample.low, high: sample.high, outside: sideOf(sample) });
const saySide = (side: Side): string => word(`insight.side.${side}`);

/** The daily share of checks with a defect. Days without a check are no sample; null without any. */
export function shareChart(days: readonly DayOfChecksRow[]): ControlCharts["checksWithDefect"] {
  const counted = days.filter(({ checks }) => checks > 0);
  if (counted.length === 0) return null;
  const { centre, samples } = pChart(counted.map(({ checks, withDefect }) => ({ count: withDefect, of: checks })));
  const rows = samples.flatMap((sample, index) => {
    const day = counted[index];
    return day ? [{ ...day, ...sampleOf(sample) }] : [];
  });
  return {
    centre,
    samples: rows,
    outside: rows.flatMap(({ day, checks, withDefect, outside }) =>
      outside === null ? [] : [word("insight.outside.share", "en", { day, count: withDefect, of: checks, side: saySide(outside) })],
    ),
  };
}

/** The ISO weeks of a period; the first and the last only as far as they lie in it. */
export function weeksOf({ from, to }: Period): (Period & { readonly week: string })[] {
  const weeks: (Period & { readonly week: string })[] = [];
  for (let day = from; day <= to; ) {
    const week = isoWeek(day);
    const sunday = addDays(day, 7 - week.weekday);
    const last = sunday < to ? sunday : to;
    weeks.push({ week: formatIsoWeek(week), from: day, to: last });
    day = addDays(last, 1);
  }
  return weeks;
}

/** Defects per machine-day, week by week; `n` of a row is the index of its week in `weeks`. A week with too few machine-days is left out; null if no week has enough. */
export function rateChart(
  weeks: readonly (Period & { readonly week: string })[],
  found: readonly Pick<FoundDefect, "n">[],
  service: readonly Pick<ServiceRow, "n" | "milliseconds">[],
): ControlCharts["defectsPerMachineDay"] {
  const counted = weeks
    .map((week, n) => ({
      ...week,
      defects: found.filter((defect) => defect.n === n).length,
      machineDays: daysTogether(service.filter((row) => row.n === n)).machineDays,
    }))
    .filter(({ machineDays }) => machineDays >= leastWeekMachineDays);
  if (counted.length === 0) return null;
  const { centre, samples } = uChart(counted.map((week) => ({ count: week.defects, exposure: week.machineDays })));
  const rows = samples.flatMap((sample, index) => {
    const week = counted[index];
    return week ? [{ ...week, ...sampleOf(sample) }] : [];
  });
  return {
    centre,
    samples: rows,
    outside: rows.flatMap(({ week, defects, machineDays, outside }) =>
      outside === null
        ? []
        : [word("insight.outside.rate", "en", { week, count: defects, days: Math.round(machineDays), side: saySide(outside) })],
    ),
  };
}
