// The monthly review: what it says first, what it draws, and that it asks about people and judges nobody.
import { describe, expect, test } from "vitest";
import { roundPlaces } from "../../src/pdf/axis.ts";
import type { Block, ReportDocument } from "../../src/pdf/document.ts";
import { mostPeople } from "../../src/reports/fleet-review/review-honesty.ts";
import { composeFleetReview } from "../../src/reports/index.ts";
import { daysOfMonth, monthIsOver } from "../../src/reports/month/month.ts";
import { nodesOf, readReport } from "./read-pdf.ts";
import * as sample from "./sample-review.ts";

const paper = composeFleetReview(sample.review());
const blocksOf = <K extends Block["kind"]>(of: ReportDocument, kind: K): Extract<Block, { kind: K }>[] =>
  of.blocks.filter((block): block is Extract<Block, { kind: K }> => block.kind === kind);
const textOf = (value: unknown): string => JSON.stringify(value).replaceAll("\u00a0", " ");
const tableOf = (of: ReportDocument, alt: string) => blocksOf(of, "table").find((table) => table.alt === alt);

describe("the first page", () => {
  test("says in plain sentences what the month was, before any chart", () => {
    const firstPage = paper.blocks.slice(
      0,
      paper.blocks.findIndex(({ kind }) => kind === "page-break"),
    );
    const text = textOf(firstPage);
    expect(text).toContain("Machine-days 340, checks 104, defects 9");
    // 4 of 340 machine-days
    expect(text).toContain("Out of every 100 machine-days, 1.2 were lost");
    expect(text).toContain("94.2 % of the checks found nothing");
    // 9 in 340: 26.5; exact Poisson by hand with the chi-square quantiles of 18 and 20 degrees: 12.1 to 50.2
    expect(text).toContain("26.5 defects were found in 1,000 machine-days. Chance alone moves that between 12.1 and 50.2");
    expect(text).toContain("Half of the defects were cleared within 5 h, three in four within 30 h");
    expect(text).toContain("Wed 17 Jun 2026: of 40 checks 20 found a defect, above the limits.");
  });
  test("says that a month is not over, and that nothing was there", () => {
    expect(textOf(composeFleetReview({ ...sample.review(), isOver: false }))).toContain("The month is not over");
    const empty = composeFleetReview(sample.emptyReview());
    expect(textOf(empty)).toContain("nothing to review");
    expect(textOf(empty)).not.toMatch(/NaN|Infinity|null|undefined/);
  });
});

describe("charts", () => {
  test("hold every sample with its own limits, and mark the one outside", () => {
    const [shares, rates] = blocksOf(paper, "control");
    expect(shares?.points).toHaveLength(30);
    expect(shares?.points.filter(({ isOutside }) => isOutside).map(({ xText }) => xText)).toEqual(["17 Jun"]);
    expect(rates?.points).toHaveLength(5);
    for (const { axis, points } of blocksOf(paper, "control")) {
      expect(axis[0]?.y).toBe(0);
      expect(axis.at(-1)?.y).toBeGreaterThanOrEqual(Math.max(...points.map(({ y }) => y)));
    }
  });
  test("one small sample with wide limits does not press the others flat", () => {
    const facts = sample.review();
    const { checksWithDefect } = facts.charts;
    if (checksWithDefect === null) throw new Error("no chart");
    const wide = { ...checksWithDefect, samples: checksWithDefect.samples.map((row, index) => (index === 3 ? { ...row, high: 1 } : row)) };
    const [shares] = blocksOf(composeFleetReview({ ...facts, charts: { ...facts.charts, checksWithDefect: wide } }), "control");
    expect(shares?.axis.at(-1)?.y).toBeLessThan(0.7);
  });
  test("rates stand with their whiskers, all of them in words too", () => {
    const rows = blocksOf(paper, "intervals").flatMap(({ groups }) => groups.flatMap((group) => group.rows));
    expect(rows.map(({ label }) => label)).toEqual(expect.arrayContaining(["Quay", "Yard", "Wren 110", "Finch E"]));
    for (const { value, low, high, text } of rows) {
      expect(low).toBeLessThanOrEqual(value ?? 0);
      expect(high).toBeGreaterThan(value ?? 0);
      expect(text).toMatch(/^\d+ found: [\d.,]+ \([\d.,]+ to [\d.,]+\)$/);
    }
    const [chart] = blocksOf(paper, "intervals");
    expect(chart?.alt).toContain("Quay 9 found: 36");
  });
  test("life is drawn where parts were renewed, and told where they were not", () => {
    expect(blocksOf(paper, "steps").map(({ title, end }) => [title, end])).toEqual([
      ["Rear tyre: share still running, by kilometres", 9000],
    ]);
    const rows = tableOf(paper, "Life of parts")?.rows.map((row) => textOf(row)) ?? [];
    expect(rows.find((row) => row.includes("Rear tyre"))).toContain("7,000 km");
    expect(rows.find((row) => row.includes("Chain"))).toContain("not yet known");
  });
});

test("the machine to look at first stands with what its score is made of", () => {
  const [row] = tableOf(paper, "Machines by risk, the highest first")?.rows ?? [];
  // (40 x 3 + 20 x 2) / 4 inspections
  expect(textOf(row)).toContain('"40"');
  expect(textOf(row)).toContain("1 dangerous");
  expect(textOf(row)).toContain("2 major");
});

describe("the page of questions", () => {
  test("has a question beside each figure, the caution, and people by staff number", () => {
    const figures = tableOf(paper, "Figures of all checks, each with its question");
    expect(figures?.rows).toHaveLength(7);
    for (const row of figures?.rows ?? []) expect(row[2]).toMatch(/^A question to ask: /);
    const people = tableOf(paper, "Checks by person, by staff number");
    expect(people?.rows.map(([person]) => textOf(person))).toEqual([1, 2, 3, 4].map((n) => expect.stringContaining(`R00${n}`)));
    expect(textOf(people?.rows[1])).toContain("26 of 26");
    expect(textOf(paper.blocks)).toContain("never a verdict on a person");
    expect(textOf(paper)).not.toMatch(/suspic|cheat|guilty|lazy/i);
  });
  test("shows the digits, how many end in 0, and how often that is chance", () => {
    const [gauge] = tableOf(paper, "Last digits of gauge readings by person")?.rows ?? [];
    expect(gauge?.slice(1, 4)).toEqual(["96", "60", "4"]);
    expect(textOf(gauge)).toContain("62.5 %");
    expect(gauge?.at(-1)).toBe("under 1 in 1,000");
  });
  test("leaves people to the review of one depot where they are too many", () => {
    const crowd = composeFleetReview(sample.review(mostPeople + 1));
    expect(tableOf(crowd, "Checks by person, by staff number")).toBeUndefined();
    expect(textOf(crowd)).toContain("Ask for the review of one depot");
  });
});

test("drawn, each chart is a figure that says in words what it shows, and nothing runs off the page", async () => {
  const read = await readReport(paper);
  const alts = nodesOf(read.trees, "Figure").map(({ alt }) => alt ?? "");
  for (const part of ["Control chart by day", "Control chart by week", "Dots with whiskers", "Steps. Rear tyre"]) {
    expect(
      alts.some((alt) => alt.startsWith(part)),
      part,
    ).toBe(true);
  }
  expect(read.text).toContain("A question to ask");
  expect(read.pages.length).toBeLessThan(8);
});

describe("small things", () => {
  test("a month ends with its last day, or with today while it runs", () => {
    expect(daysOfMonth("2028-02", "2028-03-15")).toEqual({ from: "2028-02-01", to: "2028-02-29" });
    expect(daysOfMonth("2026-12", "2027-01-01")).toEqual({ from: "2026-12-01", to: "2026-12-31" });
    expect(daysOfMonth("2026-07", "2026-07-13")).toEqual({ from: "2026-07-01", to: "2026-07-13" });
    expect([monthIsOver("2026-07", "2026-07-31"), monthIsOver("2026-07", "2026-08-01")]).toEqual([false, true]);
    expect(() => daysOfMonth("2026-08", "2026-07-31")).toThrow("still to come");
  });
  test.each([
    [0, [0, 1]],
    [1, [0, 0.5, 1]],
    [7, [0, 2, 4, 6, 8]],
    [0.183, [0, 0.05, 0.1, 0.15, 0.2]],
    [134, [0, 50, 100, 150]],
    [20_000, [0, 5000, 10_000, 15_000, 20_000]],
  ])("a scale for %d has round places", (most, places) => {
    expect(roundPlaces(most)).toEqual(places);
  });
});
