// The month in review: a few sentences first, then the charts, rates, lives and risks behind them, and the questions.
import type { Block, ReportDocument } from "../../pdf/index.ts";
import { figureFacts, figureNotes, figuresOfRates, inDays } from "../figure-blocks.ts";
import { categoryTone, headOf, periodText, phrasesFor } from "../phrases.ts";
import { small } from "../small-print.ts";
import { controlBlocks, lifeBlocks, outsideLines, rateBlocks, riskBlocks } from "./review-charts.ts";
import type { FleetReviewFacts } from "./review-facts.ts";
import { honestyBlocks } from "./review-honesty.ts";
import { dash, type ReviewPhrases, reviewPhrases } from "./review-phrases.ts";

/** Tones that differ in grey as well. */
const barTones = { dangerous: "bad", major: "plain", minor: "warn", advisory: "quiet" } as const;

const totals = (phrases: ReviewPhrases, { rates, honesty }: FleetReviewFacts): Block[] => {
  const { say, number, percent, hours } = phrases;
  const { nil } = honesty.all;
  const figures = figuresOfRates(rates);
  return [
    figureFacts(phrases, figures, [
      { label: say("report.review.median"), value: hours(rates.timeToClear.all.medianHours) },
      { label: say("report.review.checks"), value: number(nil.of) },
      { label: say("report.review.nil"), value: nil.share === null ? dash : `${number(nil.count)} (${percent(nil.share)})` },
    ]),
    ...figureNotes(phrases, figures),
  ];
};

/** The month in sentences that need no statistics to be read. */
const sentences = ({ say, percent, oneDecimal, hours }: ReviewPhrases, { rates, honesty }: FleetReviewFacts): string[] => {
  const { all, timeToClear, machineDays, lostDays } = rates;
  const { nil } = honesty.all;
  const { medianHours, upperQuartileHours, found } = timeToClear.all;
  const said: string[] = [];
  if (machineDays > 0) {
    const share = oneDecimal((lostDays.all / machineDays) * 100);
    said.push(lostDays.all > 0 ? say("report.review.say-grounded", { share }) : say("report.review.say-not-grounded"));
  }
  if (nil.share !== null) {
    said.push(say("report.review.say-nil", { share: percent(nil.share), low: percent(nil.low), high: percent(nil.high) }));
  }
  if (all.per1000 !== null && all.low !== null && all.high !== null) {
    said.push(say("report.review.say-rate", { rate: oneDecimal(all.per1000), low: oneDecimal(all.low), high: oneDecimal(all.high) }));
  }
  if (found > 0 && medianHours === null) said.push(say("report.review.say-clear-not"));
  else if (found > 0 && upperQuartileHours === null) said.push(say("report.review.say-clear-half", { median: hours(medianHours) }));
  else if (found > 0) {
    said.push(say("report.review.say-clear", { median: hours(medianHours), quartile: hours(upperQuartileHours) }));
  }
  return said;
};

/** What is outside its limits on the charts, said on the first page. */
const outsideBlocks = (phrases: ReviewPhrases, { charts }: FleetReviewFacts): Block[] => {
  const { say } = phrases;
  if (charts.checksWithDefect === null && charts.defectsPerMachineDay === null) return [];
  const lines = outsideLines(phrases, charts);
  if (lines.length === 0) return [{ kind: "paragraph", text: say("report.review.say-inside") }];
  return [{ kind: "badge", tone: "warn", title: say("report.review.say-outside"), reasons: lines }];
};

const categoryBars = (phrases: ReviewPhrases, { rates }: FleetReviewFacts): Block => {
  const { say, category } = phrases;
  const parts = rates.byCategory.map((row) => `${category(row.category)} ${row.defects}`).join(", ");
  return {
    kind: "bars",
    title: say("report.review.by-category"),
    alt: say("report.review.by-category-alt", { parts }),
    bars: rates.byCategory.map((row) => ({
      label: category(row.category),
      parts: [{ value: row.defects, tone: barTones[row.category] }],
    })),
    legend: [],
  };
};

const clearTable = ({ say, number, category, hours }: ReviewPhrases, { rates }: FleetReviewFacts): Block => ({
  kind: "table",
  alt: say("report.review.clear-alt"),
  columns: [
    { head: say("report.label.category"), share: 22 },
    { head: say("report.review.found"), share: 12, align: "right" },
    { head: say("report.review.cleared"), share: 12, align: "right" },
    { head: say("report.review.quarter"), share: 16, align: "right" },
    { head: say("report.review.half"), share: 16, align: "right" },
    { head: say("report.review.three-quarters"), share: 22, align: "right" },
  ],
  rows: rates.timeToClear.byCategory
    .filter(({ found }) => found > 0)
    .map((row) => [
      { text: category(row.category), tone: categoryTone(row.category) },
      number(row.found),
      number(row.cleared),
      hours(row.lowerQuartileHours),
      hours(row.medianHours),
      hours(row.upperQuartileHours),
    ]),
  empty: say("report.review.no-defects"),
});

/** The report for a month. Facts in, document out; draws nothing. */
export const composeFleetReview = (facts: FleetReviewFacts): ReportDocument => {
  const { frame, month, from, to, rates, honesty } = facts;
  const phrases = reviewPhrases(phrasesFor(frame));
  const { say, number, day } = phrases;
  const title = say("report.review.title");
  const counts = { days: inDays(phrases, rates.machineDays), checks: number(honesty.all.checks), defects: number(rates.all.defects) };
  const subject = say("report.review.subject", counts);
  const nothing = rates.machineDays === 0 && honesty.all.checks === 0 && rates.all.defects === 0;
  const blocks: Block[] = [
    { kind: "heading", level: 1, text: `${title}: ${phrases.month(month)}` },
    { kind: "paragraph", size: "lead", text: nothing ? say("report.review.nothing") : subject },
    ...(facts.isOver ? [] : [{ kind: "paragraph" as const, tone: "quiet" as const, text: say("report.review.running", { day: day(to) }) }]),
  ];
  if (!nothing) {
    blocks.push(
      { kind: "heading", level: 2, text: say("report.review.month") },
      ...totals(phrases, facts),
      ...sentences(phrases, facts).map((text): Block => ({ kind: "paragraph", text })),
      ...outsideBlocks(phrases, facts),
      ...(rates.all.defects === 0 ? [] : [categoryBars(phrases, facts)]),
      { kind: "heading", level: 2, text: say("report.review.clear") },
      clearTable(phrases, facts),
      small(say("report.review.clear-note")),
      ...controlBlocks(phrases, facts),
      ...rateBlocks(phrases, facts),
      ...lifeBlocks(phrases, facts),
      ...riskBlocks(phrases, facts),
      ...honestyBlocks(phrases, facts),
    );
  }
  return { head: headOf(phrases, frame, { title, subject, period: periodText(phrases, from, to) }), blocks };
};
