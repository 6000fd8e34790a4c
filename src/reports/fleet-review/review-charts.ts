// The review's charts and tables of machines: from day to day, where defects are found, how far parts last, what to look at first.
import { categorySchema } from "../../../shared/contracts/common.ts";
import type { Rate } from "../../../shared/contracts/insight.ts";
import { nameOfItem } from "../../../shared/words/say-reason.ts";
import { type Block, type ControlChart, type IntervalPlot, roundPlaces } from "../../pdf/index.ts";
import { median } from "../../statistics/index.ts";
import { small } from "../small-print.ts";
import type { FleetReviewFacts } from "./review-facts.ts";
import { dash, type ReviewPhrases } from "./review-phrases.ts";

/** A reader can do nothing with more items than this; the service's JSON answer has all of them. */
const mostItems = 10;
const gravestFirst = [...categorySchema.options].reverse();
/** The u-chart is per 100 machine-days, which gives numbers of a familiar size. */
const perDays = 100;

const side = ({ say }: ReviewPhrases, outside: "above" | "below"): string => say(`report.review.side.${outside}`);

/** What lies outside its limits, a sentence each. */
export const outsideLines = (phrases: ReviewPhrases, charts: FleetReviewFacts["charts"]): string[] => {
  const { say, day, number } = phrases;
  const days = (charts.checksWithDefect?.samples ?? []).flatMap(({ outside, ...at }) =>
    outside === null
      ? []
      : [
          say("report.review.outside-day", {
            ...{ day: day(at.day), count: number(at.withDefect), of: number(at.checks), side: side(phrases, outside) },
          }),
        ],
  );
  const weeks = (charts.defectsPerMachineDay?.samples ?? []).flatMap(({ outside, ...at }) =>
    outside === null
      ? []
      : [
          say("report.review.outside-week", {
            ...{ from: day(at.from), to: day(at.to), count: number(at.defects), days: number(Math.round(at.machineDays)) },
            side: side(phrases, outside),
          }),
        ],
  );
  return [...days, ...weeks];
};

interface Sample {
  readonly value: number;
  readonly low: number;
  readonly high: number;
  readonly outside: "above" | "below" | null;
}

const controlChart = (
  { say }: ReviewPhrases,
  own: Pick<ControlChart, "title" | "alt">,
  chart: { readonly samples: readonly (Sample & { readonly xText: string })[] },
  centre: { readonly value: number; readonly text: string },
  scale: { readonly size: number; readonly text: (value: number) => string },
): ControlChart => {
  const { samples } = chart;
  // A small sample has limits so wide that they would flatten all others, so they may leave the plot at its top.
  const usualLimit = median(samples.map(({ high }) => high)) ?? 0;
  const places = roundPlaces(Math.max(usualLimit * 1.2, ...samples.map(({ value }) => value * 1.1)) * scale.size);
  return {
    kind: "control",
    ...own,
    centre: { y: centre.value, text: centre.text },
    points: samples.map(({ value, low, high, outside, xText }) => ({ y: value, low, high, isOutside: outside !== null, xText })),
    axis: places.map((place) => ({ y: place / scale.size, text: scale.text(place) })),
    legend: { inside: say("report.review.inside"), outside: say("report.review.outside"), limits: say("report.review.limits") },
  };
};

export const controlBlocks = (phrases: ReviewPhrases, { charts }: FleetReviewFacts): Block[] => {
  const { say, percent, oneDecimal, number, shortDay } = phrases;
  const { checksWithDefect: shares, defectsPerMachineDay: rates } = charts;
  const outside = outsideLines(phrases, charts).join(" ") || say("report.review.all-inside");
  const blocks: Block[] = [
    { kind: "page-break" },
    { kind: "heading", level: 2, text: say("report.review.charts") },
    small(say("report.review.charts-note")),
  ];
  if (shares === null) blocks.push({ kind: "paragraph", text: say("report.review.no-checks") });
  else {
    const centre = percent(shares.centre);
    blocks.push(
      controlChart(
        phrases,
        { title: say("report.review.p-chart"), alt: say("report.review.p-chart-alt", { centre, outside }) },
        { samples: shares.samples.map((sample) => ({ ...sample, xText: shortDay(sample.day) })) },
        { value: shares.centre, text: say("report.review.centre", { value: centre }) },
        { size: 100, text: (value) => percent(value / 100) },
      ),
    );
  }
  if (rates !== null) {
    const centre = oneDecimal(rates.centre * perDays);
    blocks.push(
      controlChart(
        phrases,
        { title: say("report.review.u-chart"), alt: say("report.review.u-chart-alt", { centre, outside }) },
        { samples: rates.samples.map((sample) => ({ ...sample, xText: shortDay(sample.from) })) },
        { value: rates.centre, text: say("report.review.centre-weeks", { value: centre }) },
        { size: perDays, text: number },
      ),
    );
  }
  return blocks;
};

/** The figures name items in English; here they are named in the language of the paper. */
const nameOf = ({ say, language }: ReviewPhrases, itemId: string | null): string =>
  itemId === null ? say("insight.no-item") : nameOfItem(itemId, language);

export const rateBlocks = (phrases: ReviewPhrases, { rates }: FleetReviewFacts): Block[] => {
  const { say, rateText, number } = phrases;
  if (rates.machineDays <= 0) return [];
  const rowOf = (label: string, rate: Rate): IntervalPlot["groups"][number]["rows"][number] => ({
    label,
    text: rateText(rate),
    value: rate.per1000,
    low: rate.low ?? 0,
    high: rate.high ?? 0,
  });
  const items = rates.byItem.slice(0, mostItems);
  const plot = (title: string, groups: IntervalPlot["groups"]): Block[] => {
    const rows = groups.flatMap((group) => group.rows);
    if (rows.length === 0) return [];
    // The wide interval of something rare would press everything else into a corner, so its whisker is left open at the end of the scale.
    const highest = Math.max(...rows.map(({ value }) => value ?? 0));
    const most = Math.min(Math.max(...rows.map(({ high }) => high)), highest > 0 ? 3 * highest : Number.POSITIVE_INFINITY);
    const alt = say("report.review.rates-alt", { rows: rows.map(({ label, text }) => `${label} ${text}`).join("; ") });
    return [{ kind: "intervals", title, alt, groups, axis: roundPlaces(most).map((x) => ({ x, text: number(x) })) }];
  };
  return [
    { kind: "heading", level: 2, text: say("report.review.rates") },
    small(say("report.review.rates-note")),
    ...plot(say("report.review.rates-title"), [
      { title: say("report.review.by-depot"), rows: rates.byDepot.map((row) => rowOf(row.name, row)) },
      { title: say("report.review.by-model"), rows: rates.byModel.map((row) => rowOf(row.modelName, row)) },
    ]),
    // Items are far rarer than all defects together, so they have a scale of their own.
    ...plot(
      say("report.review.rates-title"),
      items.length === 0
        ? []
        : [
            {
              title: say("report.review.by-item", { count: items.length }),
              rows: items.map((row) => rowOf(nameOf(phrases, row.itemId), row)),
            },
          ],
    ),
  ];
};

export const lifeBlocks = (phrases: ReviewPhrases, { life }: FleetReviewFacts): Block[] => {
  const { say, number, km, percent } = phrases;
  const known = life.components.filter(({ parts }) => parts > 0);
  const curves = known.filter(({ renewed }) => renewed > 0);
  return [
    { kind: "heading", level: 2, text: say("report.review.life") },
    small(say("report.review.life-note")),
    {
      kind: "table",
      alt: say("report.review.life-alt"),
      columns: [
        { head: say("report.review.part"), share: 26 },
        { head: say("report.review.parts"), share: 13, align: "right" },
        { head: say("report.review.renewed"), share: 13, align: "right" },
        { head: say("report.review.running-parts"), share: 13, align: "right" },
        { head: say("report.review.median-km"), share: 19, align: "right" },
        { head: say("report.review.longest-km"), share: 16, align: "right" },
      ],
      rows: known.map(({ component, parts, renewed, running, medianKm, longestKm }) => [
        { text: say(`insight.component.${component}`), bold: true },
        number(parts),
        number(renewed),
        number(running),
        medianKm === null ? say("report.review.not-yet") : km(medianKm),
        longestKm === null ? dash : km(longestKm),
      ]),
      empty: say("report.review.no-life"),
    },
    ...curves.map(({ component, parts, renewed, medianKm, longestKm, steps }): Block => {
      const part = say(`insight.component.${component}`);
      const median = medianKm === null ? say("report.review.not-yet") : km(medianKm);
      return {
        kind: "steps",
        title: say("report.review.life-chart", { part }),
        alt: say("report.review.life-chart-alt", { part, renewed, parts, median }),
        steps: steps.map(({ atKm, survival, se }) => ({
          x: atKm,
          y: survival,
          low: Math.max(0, survival - se),
          high: Math.min(1, survival + se),
        })),
        end: longestKm ?? 0,
        xAxis: roundPlaces(longestKm ?? 0).map((x) => ({ x, text: km(x) })),
        yAxis: [0, 0.5, 1].map((y) => ({ y, text: percent(y) })),
      };
    }),
  ];
};

export const riskBlocks = (phrases: ReviewPhrases, { risk, honesty }: FleetReviewFacts): Block[] => {
  const { say, oneDecimal, number } = phrases;
  const severalDepots = honesty.depots.length > 1;
  const machines = risk.machines.filter(({ score }) => score !== null && score > 0);
  type Year = (typeof machines)[number]["years"][number];
  const counts = (years: readonly Year[]): string => {
    const found = gravestFirst.flatMap((category) => {
      const count = years.reduce((sum, year) => sum + year[category], 0);
      return count === 0 ? [] : [say(`report.review.counted.${category}`, { count: number(count) })];
    });
    return found.length === 0 ? dash : found.join(", ");
  };
  return [
    { kind: "heading", level: 2, text: say("report.review.risk") },
    small(say("report.review.risk-note")),
    {
      kind: "table",
      alt: say("report.review.risk-alt"),
      columns: [
        { head: say("report.label.machine"), share: 27 },
        { head: say("report.review.score"), share: 9, align: "right" },
        { head: say("report.review.last-year"), share: 27 },
        { head: say("report.review.earlier"), share: 27 },
        { head: say("report.review.inspections"), share: 12, align: "right" },
      ],
      rows: machines.map(({ registrationMark, modelName, depotName, score, inspections, years }) => [
        {
          text: registrationMark,
          bold: true,
          note: severalDepots ? say("report.of-depot", { model: modelName, depot: depotName }) : modelName,
        },
        { text: oneDecimal(score ?? 0), bold: true },
        counts(years.slice(0, 1)),
        counts(years.slice(1)),
        number(inspections),
      ]),
      empty: say("report.review.no-risk"),
    },
  ];
};
