// The figures of a period as every report prints them: the same counts under the same names, with explanations below.
import type { DefectRates } from "../../shared/contracts/insight.ts";
import { leastMachineDays, type PeriodFigures } from "../figures/index.ts";
import type { Block, Facts } from "../pdf/index.ts";
import type { Phrases } from "./phrases.ts";
import { small } from "./small-print.ts";

type FactRow = Facts["rows"][number];

/** Days to one decimal on every report: a tenth of a day is about two and a half hours. */
export const inDays = ({ number }: Phrases, days: number): string => number(Math.round(days * 10) / 10);

/** Defects in 1,000 machine-days, or a sentence that there were too few machine-days. */
export const rateIn1000 = ({ say, number }: Phrases, per1000: number | null): string =>
  per1000 === null ? say("report.figures.too-little") : number(Math.round(per1000 * 10) / 10);

const lostText = (phrases: Phrases, { machineDays, lostDays }: PeriodFigures["service"]): string => {
  const lost = inDays(phrases, lostDays.all);
  return machineDays > 0 ? `${lost} (${phrases.amount((lostDays.all / machineDays) * 100, "percent")})` : lost;
};

/** Label and value of each figure, followed by what a report adds. */
export const figureFacts = (
  phrases: Phrases,
  figures: PeriodFigures,
  more: readonly FactRow[] = [],
  columns: Facts["columns"] = 2,
): Facts => {
  const { say, number } = phrases;
  const { service, defects, done, rate } = figures;
  const rows: FactRow[] = [
    { label: say("report.figures.found"), value: number(defects.found) },
    { label: say("report.figures.machine-days"), value: inDays(phrases, service.machineDays) },
    { label: say("report.figures.open"), value: number(defects.open) },
    { label: say("report.figures.lost"), value: lostText(phrases, service) },
    { label: say("report.figures.no-fault"), value: number(defects.noFault) },
    { label: say("report.figures.rate"), value: rateIn1000(phrases, rate.per1000) },
    { label: say("report.figures.repaired"), value: number(done.repaired) },
    { label: say("report.figures.signed-off"), value: number(done.signedOff) },
    { label: say("report.figures.closed-no-fault"), value: number(done.noFault) },
  ];
  // A figure that begins 'of these' has to be under the one it refers to: three columns, for defects, days and work done.
  const placed = columns === 3 ? [0, 1, 6, 2, 3, 7, 4, 5, 8].flatMap((place) => rows[place] ?? []) : rows;
  return { kind: "facts", columns, rows: [...placed, ...more] };
};

/** What the figures count, and by what days were lost. */
export const figureNotes = (phrases: Phrases, { service }: PeriodFigures): Block[] => {
  const { say } = phrases;
  const { lostDays } = service;
  const causes = {
    grounded: inDays(phrases, lostDays.grounded),
    papers: inDays(phrases, lostDays.papersExpired),
    inspection: inDays(phrases, lostDays.inspectionOverdue),
  };
  return [
    ...(lostDays.all > 0 ? [small(say("report.figures.causes", causes))] : []),
    small(say("report.figures.note", { least: leastMachineDays })),
  ];
};

/** The same figures out of the answer about rates. */
export const figuresOfRates = (rates: DefectRates): PeriodFigures => ({
  service: rates,
  defects: { found: rates.all.defects, open: rates.timeToClear.all.open, noFault: rates.noFault },
  done: rates.done,
  rate: rates.all,
});
