// Defects of a depot or the fleet over a period: what is grounded and why comes first, then the totals, then every defect.

import { type Category, categorySchema } from "../../../shared/contracts/common.ts";
import { groupBy } from "../../../shared/group-by.ts";
import type { BarChart, Block, Facts, ReportDocument, Table } from "../../pdf/index.ts";
import { median } from "../../statistics/index.ts";
import type { DefectCourse, DefectSummaryFacts } from "../defect-facts.ts";
import { categoryCell, itemCell, statusCell } from "../defect-parts.ts";
import { figureFacts, figureNotes } from "../figure-blocks.ts";
import {
  categoryTone,
  gravestFirst,
  headOf,
  notedAsAt,
  type Phrases,
  periodText,
  phrasesFor,
  reasonsInRow,
  timeToClearMs,
  titledAsAt,
} from "../phrases.ts";

/** The gravest first. */
const categories = [...categorySchema.options].reverse();
/** Nobody reads more bars than this at seven in the morning; the rest is one bar. */
const mostItemBars = 12;

const clearTimes = (defects: readonly DefectCourse[]): number[] =>
  defects
    .map(timeToClearMs)
    .filter((time) => time !== null)
    .sort((a, b) => a - b);

const groundedBlocks = (phrases: Phrases, { frame, grounded }: DefectSummaryFacts): Block[] => {
  const { say, sayCounted } = phrases;
  const count = grounded.length;
  const title = count === 0 ? say("report.summary.grounded.none") : sayCounted("report.summary.grounded", count);
  const longestFirst = [...grounded].sort(
    (a, b) => a.since.getTime() - b.since.getTime() || (a.machine.registrationMark < b.machine.registrationMark ? -1 : 1),
  );
  const badge: Block = {
    kind: "badge",
    tone: count === 0 ? "good" : "bad",
    title,
    note: notedAsAt(phrases, frame, say(count === 0 ? "report.summary.grounded.empty" : "report.summary.grounded.note")),
    reasons: [],
  };
  if (count === 0) return [badge];
  return [
    badge,
    { kind: "heading", level: 2, text: say("report.summary.grounded.heading") },
    {
      kind: "table",
      alt: say("report.summary.grounded.alt"),
      columns: [
        { head: say("report.label.machine"), share: 24 },
        { head: say("report.label.since"), share: 20 },
        { head: say("report.label.reasons"), share: 56 },
      ],
      rows: longestFirst.map(({ machine, since, reasons }) => [
        { text: machine.registrationMark, tone: "bad" as const, bold: true, note: phrases.modelOf(machine) },
        phrases.whenAt(since, machine),
        reasonsInRow(phrases, reasons),
      ]),
      empty: say("report.summary.grounded.empty"),
    },
  ];
};

const totals = (phrases: Phrases, { defects, closed, figures }: DefectSummaryFacts): Facts => {
  const { say } = phrases;
  const times = clearTimes(closed);
  const middle = median(times);
  const longest = times.at(-1);
  const none = "\u2013";
  return figureFacts(phrases, figures, [
    { label: say("report.summary.recurring"), value: String(defects.filter((defect) => defect.isRecurring).length) },
    { label: say("report.summary.median"), value: middle === null ? none : phrases.duration(middle) },
    { label: say("report.summary.longest"), value: longest === undefined ? none : phrases.duration(longest) },
  ]);
};

/** Each category has a look of their own here, so that a bar of one category is told from a bar of another. */
const barTones = { dangerous: "bad", major: "plain", minor: "warn", advisory: "quiet" } as const satisfies Record<Category, string>;
const partsOf = (defects: readonly DefectCourse[]): BarChart["bars"][number]["parts"] =>
  categories
    .map((category) => ({ value: defects.filter((defect) => defect.category === category).length, tone: barTones[category] }))
    .filter((part) => part.value > 0);

const charts = (phrases: Phrases, defects: readonly DefectCourse[]): Block[] => {
  const { say } = phrases;
  const spoken = (bars: readonly { label: string; of: readonly DefectCourse[] }[]) =>
    bars.map((bar) => `${bar.label} ${bar.of.length}`).join(", ");
  const byCategory = categories.map((category) => ({
    label: phrases.category(category),
    of: defects.filter((defect) => defect.category === category),
  }));
  const items = [...groupBy(defects, (defect) => defect.itemName)]
    .map(([label, of]) => ({ label, of }))
    .sort((a, b) => b.of.length - a.of.length || (a.label < b.label ? -1 : 1));
  const rest = items.slice(mostItemBars).flatMap((item) => item.of);
  const byItem = [...items.slice(0, mostItemBars), ...(rest.length === 0 ? [] : [{ label: say("report.summary.other-items"), of: rest }])];
  const legend = categories.map((category) => ({ tone: barTones[category], text: phrases.category(category) }));
  const bars = (groups: readonly { label: string; of: readonly DefectCourse[] }[]) =>
    groups.map(({ label, of }) => ({ label, parts: partsOf(of) }));
  return [
    {
      kind: "bars",
      title: say("report.summary.by-category"),
      alt: say("report.summary.by-category-alt", { parts: spoken(byCategory) }),
      bars: bars(byCategory),
      legend: [],
    },
    {
      kind: "bars",
      title: say("report.summary.by-item"),
      alt: say("report.summary.by-item-alt", { parts: spoken(byItem) }),
      bars: bars(byItem),
      legend,
    },
  ];
};

const clearTable = (phrases: Phrases, defects: readonly DefectCourse[]): Table => {
  const { say } = phrases;
  const rows = categories.flatMap((category) => {
    const times = clearTimes(defects.filter((defect) => defect.category === category));
    const middle = median(times);
    const longest = times.at(-1);
    if (middle === null || longest === undefined) return [];
    return [
      [
        { text: phrases.category(category), tone: categoryTone(category) },
        String(times.length),
        phrases.duration(middle),
        phrases.duration(longest),
      ],
    ];
  });
  return {
    kind: "table",
    alt: say("report.summary.clear-alt"),
    columns: [
      { head: say("report.label.category"), share: 30 },
      { head: say("report.summary.cleared"), share: 20, align: "right" },
      { head: say("report.summary.median"), share: 25, align: "right" },
      { head: say("report.summary.longest"), share: 25, align: "right" },
    ],
    rows,
    empty: say("report.summary.no-clear"),
  };
};

const defectTable = (phrases: Phrases, defects: readonly DefectCourse[], alt: string, empty: string): Table => {
  const { say, who } = phrases;
  return {
    kind: "table",
    alt,
    columns: [
      { head: say("report.label.machine"), share: 17 },
      { head: say("report.label.found"), share: 22 },
      { head: say("report.label.item"), share: 30 },
      { head: say("report.label.category"), share: 14 },
      { head: say("report.label.status"), share: 28 },
    ],
    rows: [...defects].sort(gravestFirst).map((defect) => {
      const first = defect.sightings[0];
      return [
        { text: defect.machine.registrationMark, bold: true, note: phrases.modelOf(defect.machine) },
        { text: phrases.whenAt(first.at, defect.machine), note: who(first.by) },
        itemCell(phrases, defect),
        categoryCell(phrases, defect),
        statusCell(phrases, defect),
      ];
    }),
    empty,
  };
};

/** The report for all defects of a period. Facts in, document out; draws nothing. */
export const composeDefectSummary = (facts: DefectSummaryFacts): ReportDocument => {
  const { frame, from, to, defects, figures } = facts;
  const phrases = phrasesFor(frame);
  const { say } = phrases;
  const title = say("report.summary.title");
  const subject = say("report.summary.subject", { count: figures.defects.found, open: figures.defects.open });
  const recurring = defects.filter((defect) => defect.isRecurring);
  const blocks: Block[] = [
    { kind: "heading", level: 1, text: titledAsAt(phrases, frame, title) },
    { kind: "paragraph", size: "lead", text: subject },
    ...groundedBlocks(phrases, facts),
    { kind: "heading", level: 2, text: say("report.summary.totals") },
    totals(phrases, facts),
    ...figureNotes(phrases, facts.figures),
    ...(defects.length === 0 ? [] : charts(phrases, defects)),
    { kind: "heading", level: 2, text: say("report.summary.clear-heading") },
    clearTable(phrases, facts.closed),
    { kind: "heading", level: 2, text: say("report.summary.recurring-heading") },
    defectTable(phrases, recurring, say("report.summary.recurring-alt"), say("report.summary.no-recurring")),
    { kind: "heading", level: 2, text: say("report.summary.all") },
    defectTable(phrases, defects, say("report.summary.all-alt"), say("report.summary.no-defects")),
  ];
  return { head: headOf(phrases, frame, { title, subject, period: periodText(phrases, from, to) }), blocks };
};
