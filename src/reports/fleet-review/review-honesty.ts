// The review's page of questions: how honest the checks are. People stand by staff number, nobody has a score.
import type { Figure } from "../../../shared/contracts/insight.ts";
import { nameOfItem } from "../../../shared/words/say-reason.ts";
import type { Block, Cell } from "../../pdf/index.ts";
import { small } from "../small-print.ts";
import type { FleetReviewFacts } from "./review-facts.ts";
import { dash, type ReviewPhrases } from "./review-phrases.ts";

/** More people than this are too many for a report; one depot's are not. */
export const mostPeople = 200;

type Conduct = FleetReviewFacts["honesty"]["all"];
type Gauge = FleetReviewFacts["honesty"]["gauges"][number];

const countCell = ({ say, number }: ReviewPhrases, { count, of }: Figure): string =>
  of === 0 ? dash : say("report.review.of", { count: number(count), of: number(of) });

const intervalText = ({ say, number }: ReviewPhrases, { of, low, high }: Figure): string =>
  of === 0 ? "" : say("report.review.between", { low: number(Math.round(low * 100)), high: number(Math.round(high * 100)) });

/** The count with its interval under it. */
const figureCell = (phrases: ReviewPhrases, figure: Figure): Cell => {
  const note = intervalText(phrases, figure);
  return { text: countCell(phrases, figure), ...(note === "" ? {} : { note }) };
};

const figuresTable = (phrases: ReviewPhrases, { honesty }: FleetReviewFacts): Block => {
  const { say, number } = phrases;
  const { nil, foundAfterNil, tooFast, proof } = honesty.all;
  const bars = { seconds: number(honesty.bars.tooFastSeconds) };
  const itemBar = { seconds: number(honesty.bars.tooFastSecondsPerItem) };
  // The figures come with their questions in English; here they are asked in the language of the paper.
  const rows: readonly (readonly [string, Figure, string])[] = [
    [say("report.review.honest.nil"), nil, say("insight.question.nil")],
    [say("report.review.honest.found-after-nil"), foundAfterNil, say("insight.question.found-after-nil")],
    [say("report.review.honest.too-fast", bars), tooFast.inAll, say("insight.question.too-fast")],
    [say("report.review.honest.per-item", itemBar), tooFast.perItem, say("insight.question.too-fast-item")],
    [say("report.review.honest.half-median"), tooFast.underHalfMedian, say("insight.question.half-median")],
    [say("report.review.honest.missing"), proof.missing, say("insight.question.proof-missing")],
    [say("report.review.honest.implausible"), proof.implausible, say("insight.question.proof-implausible")],
  ];
  return {
    kind: "table",
    alt: say("report.review.figures-alt"),
    columns: [
      { head: say("report.review.figure"), share: 30 },
      { head: say("report.review.all"), share: 20 },
      { head: say("report.review.question"), share: 50 },
    ],
    rows: rows.map(([name, figure, question]) => [{ text: name, bold: true }, figureCell(phrases, figure), question]),
    empty: say("report.review.no-people"),
  };
};

const peopleTable = (phrases: ReviewPhrases, { honesty }: FleetReviewFacts): Block => {
  const { say, number } = phrases;
  const bars = { seconds: number(honesty.bars.tooFastSeconds) };
  const itemBar = { seconds: number(honesty.bars.tooFastSecondsPerItem) };
  const figures: readonly (readonly [string, (conduct: Conduct) => Figure])[] = [
    [say("report.review.column.nil"), ({ nil }) => nil],
    [say("report.review.column.after"), ({ foundAfterNil }) => foundAfterNil],
    [say("report.review.column.fast", bars), ({ tooFast }) => tooFast.inAll],
    [say("report.review.column.item", itemBar), ({ tooFast }) => tooFast.perItem],
    [say("report.review.column.half"), ({ tooFast }) => tooFast.underHalfMedian],
    [say("report.review.column.missing"), ({ proof }) => proof.missing],
  ];
  return {
    kind: "table",
    alt: say("report.review.people-alt"),
    columns: [{ head: say("report.review.person"), share: 25 }, ...figures.map(([head]) => ({ head, share: 15 }))],
    rows: honesty.people.map((person) => [
      { text: person.name, note: person.staffNumber },
      ...figures.map(([, of]) => figureCell(phrases, of(person))),
    ]),
    empty: say("report.review.no-people"),
  };
};

/** A probability below this is only said to be below it: more digits would claim a precision that the test does not have. */
const leastP = 0.001;

const chanceText = ({ say, percent }: ReviewPhrases, { evenness }: Gauge): string => {
  if (evenness === null) return say("report.review.too-few");
  return evenness.p < leastP ? say("report.review.chance-small") : percent(evenness.p);
};

const gaugeTable = (phrases: ReviewPhrases, { honesty }: FleetReviewFacts): Block => {
  const { say, number } = phrases;
  return {
    kind: "table",
    alt: say("report.review.gauges-alt"),
    columns: [
      { head: say("report.review.person"), share: 25 },
      { head: say("report.review.readings"), share: 12, align: "right" },
      ...Array.from({ length: 10 }, (_, digit) => ({ head: String(digit), share: 5.4, align: "right" as const })),
      { head: say("report.review.zeros"), share: 18, align: "right" },
      { head: say("report.review.chance"), share: 14, align: "right" },
    ],
    rows: honesty.gauges.map((gauge) => [
      { text: gauge.name, note: gauge.staffNumber },
      number(gauge.readings),
      ...gauge.digits.map((times) => number(times)),
      { text: phrases.percent(gauge.zeros.share ?? 0), note: intervalText(phrases, gauge.zeros) },
      chanceText(phrases, gauge),
    ]),
    empty: say("report.review.no-gauges"),
  };
};

export const honestyBlocks = (phrases: ReviewPhrases, facts: FleetReviewFacts): Block[] => {
  const { say, language } = phrases;
  const { honesty } = facts;
  return [
    { kind: "page-break" },
    { kind: "heading", level: 2, text: say("report.review.honesty") },
    { kind: "paragraph", bold: true, text: say("insight.caution") },
    small(say("report.review.honesty-note")),
    figuresTable(phrases, facts),
    { kind: "heading", level: 2, text: say("report.review.people") },
    honesty.people.length > mostPeople
      ? { kind: "paragraph", text: say("report.review.many-people", { most: mostPeople }) }
      : peopleTable(phrases, facts),
    { kind: "heading", level: 2, text: say("report.review.gauges") },
    small(say("report.review.gauges-note", { least: 50 })),
    gaugeTable(phrases, facts),
    ...(honesty.gauges.length > 0 ? [{ kind: "paragraph" as const, text: say("insight.question.zeros") }] : []),
    ...(honesty.notApplicable.length > 0 ? [{ kind: "heading" as const, level: 2 as const, text: say("report.review.features") }] : []),
    ...honesty.notApplicable.map(({ modelName, itemId }) => ({
      kind: "paragraph" as const,
      text: say("insight.question.not-applicable", { model: modelName, item: nameOfItem(itemId, language) }),
    })),
  ];
};
