import { describe, expect, it } from "vitest";
import { itemsFor, mayNotApply } from "../../shared/catalogue/sheet.ts";
import type { Standing } from "../../shared/contracts/common.ts";
import { word } from "../../shared/words/index.ts";
import { observationText } from "../../shared/words/item-words.ts";
import type { ReportDocument } from "../../src/pdf/document.ts";
import type { Frame } from "../../src/reports/facts.ts";
import {
  composeBlankSheet,
  composeDefectReport,
  composeDefectSummary,
  composeFleetReview,
  composeFleetRoadworthiness,
  composeMachineRoadworthiness,
} from "../../src/reports/index.ts";
import { runsOfDays } from "../../src/reports/machine-roadworthiness/day-calendar.ts";
import { phrasesFor } from "../../src/reports/phrases.ts";
import { blocksOf, headings, tableUnder, textOf } from "./blocks.ts";
import * as sample from "./sample-facts.ts";
import * as reviews from "./sample-review.ts";
import * as roadworthy from "./sample-roadworthiness.ts";
import * as sheets from "./sample-sheets.ts";

const papers: [string, () => ReportDocument][] = [
  ["defect report", () => composeDefectReport(sample.defectReport())],
  ["closed defect report", () => composeDefectReport(sample.defectReport({ defect: sample.closedDefect() }))],
  ["machine roadworthiness", () => composeMachineRoadworthiness(roadworthy.fullMachine())],
  ["machine roadworthiness of nothing", () => composeMachineRoadworthiness(roadworthy.emptyMachine())],
  ["defect summary", () => composeDefectSummary(sample.summary(30, 3))],
  ["defect summary of nothing", () => composeDefectSummary(sample.summary(0, 0))],
  ["fleet roadworthiness", () => composeFleetRoadworthiness(roadworthy.fleet(30))],
  ["fleet roadworthiness of nothing", () => composeFleetRoadworthiness(roadworthy.fleet(0))],
  ["fleet review", () => composeFleetReview({ ...reviews.review(30), frame: sample.frame })],
  ["fleet review of nothing", () => composeFleetReview({ ...reviews.emptyReview(), frame: sample.frame })],
  ["daily sheet", () => composeBlankSheet(sheets.sheet("daily", sheets.fullFeatures))],
  ["weekly sheet", () => composeBlankSheet(sheets.sheet("weekly", sheets.fullFeatures))],
];

const pastPapers = (frame: Frame): Record<string, ReportDocument> => ({
  "defect report": composeDefectReport(sample.defectReport({ frame })),
  "machine roadworthiness": composeMachineRoadworthiness({ ...roadworthy.fullMachine(), frame }),
  "defect summary": composeDefectSummary({ ...sample.summary(0, 0), frame }),
  "fleet roadworthiness": composeFleetRoadworthiness({ ...roadworthy.fleet(3), frame }),
});

describe("every paper", () => {
  it.each(papers)("%s carries the caution, and names firm, depot, period and the time zone once", (_, compose) => {
    const paper = compose();
    expect(paper.head.caution).toBe(word("caution.line"));
    expect(paper.head).toMatchObject({ firmName: sample.frame.firmName, depotName: sample.frame.depotName, language: "en-GB" });
    expect(paper.head.period).not.toBe("");
    // 06:02 UTC in July is 07:02 on a clock in London.
    expect(paper.head.printedAt).toBe("Printed 14 Jul 2026, 07:02, times in Europe/London");
    expect(textOf(paper.blocks)).not.toContain("Europe/London");
    expect(textOf(paper)).not.toMatch(/undefined|null|NaN|Invalid|\[object/);
  });

  it.each(papers)("%s is the same document for the same facts", (_, compose) => {
    expect(compose()).toEqual(compose());
  });

  it.each(papers.filter(([name]) => !/sheet|review/.test(name)))(
    "%s of a past moment says so in its title, its heading and its box",
    (name) => {
      const frame = { ...sample.frame, asAt: new Date("2026-07-10T04:30:00Z") };
      const paper = pastPapers(frame)[name.replace(/^closed | of nothing$/g, "")];
      if (paper === undefined) throw new Error(`no past paper for ${name}`);
      expect(paper.head.title).toMatch(/, as at 10 Jul 2026, 05:30$/);
      expect(headings(paper)[0]).toMatch(/, as at 10 Jul 2026, 05:30$/);
      expect(blocksOf(paper, "badge")[0]?.note).toMatch(/^As at 10 Jul 2026, 05:30\./);
      expect(paper.head.depotName).toBe("North Yard");
      expect(textOf(paper.blocks)).not.toMatch(/\bnow\b|\btoday\b|day of printing/);
    },
  );

  it("each time says its clock where a paper covers depots of several zones", () => {
    const far = { name: "Riverside", timeZone: "Asia/Bangkok" };
    const [one] = sample.manyDefects(1);
    if (one === undefined) throw new Error("the sample has one");
    const frame = { ...sample.frame, timeZone: "UTC", clocks: "each-depot" as const };
    const fleet = roadworthy.fleet(9);
    const machines = fleet.machines.map((machine) => ({ ...machine, machine: { ...machine.machine, depot: far } }));
    const papersOfAll = [
      composeFleetRoadworthiness({ ...fleet, frame, machines }),
      composeDefectSummary({ ...sample.summary(0, 0), frame, defects: [{ ...one, machine: { ...one.machine, depot: far } }] }),
    ];
    for (const paper of papersOfAll) {
      const times = textOf(paper).match(/\d{4}, \d\d:\d\d( \S+)?/g) ?? [];
      expect(times.length).toBeGreaterThan(1);
      for (const time of times) expect(time).toMatch(/\d (UTC|GMT\+7)[.;)]?$/);
    }
  });

  it("prints the time of the depot, not of the machine that prints", () => {
    const facts = sample.defectReport({ frame: { ...sample.frame, timeZone: "Asia/Bangkok", depotName: "Riverside" } });
    const paper = composeDefectReport(facts);
    expect(paper.head.printedAt).toContain("13:02");
    expect(textOf(blocksOf(paper, "course"))).toContain("13 Jul 2026, 11:31");
    // The year is the Gregorian one everywhere, whatever calendar the place uses.
    expect(textOf(paper)).not.toContain("2569");
  });
});

describe("defect report", () => {
  it("tells the whole course: who, when, what was seen, grading, repair with parts and minutes, readings, second person, sign-off", () => {
    const text = textOf(composeDefectReport(sample.defectReport({ defect: sample.closedDefect() })));
    for (const said of [
      sample.people.accented.name,
      sample.people.cyrillic.name,
      sample.people.thai.name,
      sample.people.long.name,
      "strands frayed at the lever",
      "Lever comes almost to the grip.",
      "Reached the service on 13 Jul 2026, 08:58.",
      "arrived late: made without a signal",
      "Graded from Major to Dangerous",
      "Reason: More than half of the strands are gone.",
      "New front brake cable fitted",
      "Working time: 35 min",
      "1 x Front brake cable (no. 45450-K), 2 x Cable tie",
      "found 42 mm, left 25 mm",
      "20 mm to 30 mm",
      "The maker's handbook of the model",
      "kept: repaired by",
      "Lever firm, wheel runs free",
      "yes: the same item again",
    ])
      expect(text).toContain(said);
  });

  it("a reading taken after the work stands as left, never as found", () => {
    const paper = composeDefectReport(sample.defectReport({ defect: sample.closedDefect() }));
    const rows = tableUnder(paper, "Readings against their limits").rows.map((row) => row.map((cell) => textOf(cell)));
    expect(rows.map((row) => row.slice(1, 3))).toEqual([
      ["42 mm", "25 mm"],
      ["\u2013", "25 mm"],
    ]);
    expect(textOf(blocksOf(paper, "course"))).toContain("Chain slack: left 25 mm (within");
  });

  it("puts the steps in order of time", () => {
    const [course] = blocksOf(composeDefectReport(sample.defectReport({ defect: sample.closedDefect() })), "course");
    expect(course?.steps.map((step) => step.title.split(" by ")[0])).toEqual([
      "Found on a daily check",
      "Noticed again outside a check",
      "Graded from Major to Dangerous",
      "Repaired",
      "Signed off",
    ]);
  });

  it("names the source of the category, and says so where it was only a free note", () => {
    expect(textOf(composeDefectReport(sample.defectReport()))).toContain("Common practice of the trade");
    const noted = sample.defect({ categorySource: null, category: "major" });
    expect(textOf(composeDefectReport(sample.defectReport({ defect: noted })))).toContain("a free note: major until a mechanic has looked");
  });

  it("never looks cleared while the defect grounds: a repair without a sign-off stays red", () => {
    const [repair] = sample.closedDefect().repairs;
    if (repair === undefined) throw new Error("the sample has a repair");
    for (const defect of [sample.defect(), sample.defect({ status: "repaired", repairs: [repair] })]) {
      const [badge] = blocksOf(composeDefectReport(sample.defectReport({ defect })), "badge");
      expect(badge?.tone).toBe("bad");
      expect(badge?.title).toContain("grounds KX21ABC");
      expect(badge?.reasons).toEqual(sample.defectReport().standingNow.reasons);
    }
  });

  it("a closed defect does not hide that something else grounds the machine", () => {
    const standingNow = { standing: "grounded" as const, reasons: ["Rear tyre: cords show (dangerous)", "Horn: silent (major)"] };
    const badges = blocksOf(composeDefectReport(sample.defectReport({ defect: sample.closedDefect(), standingNow })), "badge");
    expect(badges.map((badge) => badge.tone)).toEqual(["good", "bad"]);
    expect(badges[1]?.reasons).toEqual(standingNow.reasons);
  });

  it("says so where one person repaired and signed off", () => {
    const closed = sample.closedDefect();
    const [repair] = closed.repairs;
    if (repair === undefined || closed.signOff === null) throw new Error("the sample is repaired and signed off");
    const defect = { ...closed, repairs: [{ ...repair, by: closed.signOff.by }] };
    expect(textOf(composeDefectReport(sample.defectReport({ defect })))).toContain("the same person repaired and signed off");
  });
});

describe("defect summary", () => {
  it("says what is grounded and why before anything else, longest first", () => {
    const facts = sample.summary(40, 5);
    const paper = composeDefectSummary(facts);
    expect(blocksOf(paper, "badge")[0]).toMatchObject({ tone: "bad", title: "5 machines are grounded" });
    expect(headings(paper).slice(1, 3)).toEqual(["Grounded, and why", "Totals of the period"]);
    const table = tableUnder(paper, "Grounded, and why");
    expect(table.rows).toHaveLength(5);
    for (const { reasons } of facts.grounded) for (const reason of reasons) expect(textOf(table)).toContain(reason);
    const since = facts.grounded.map((one) => one.since.getTime());
    expect(textOf(table.rows[0])).toContain(facts.grounded[since.indexOf(Math.min(...since))]?.machine.registrationMark);
  });

  it("counts every defect once in each chart and once in the table", () => {
    const paper = composeDefectSummary(sample.summary(73, 2));
    for (const chart of blocksOf(paper, "bars"))
      expect(chart.bars.flatMap((bar) => bar.parts).reduce((sum, part) => sum + part.value, 0)).toBe(73);
    expect(tableUnder(paper, "All defects of the period").rows).toHaveLength(73);
  });

  it("keeps what does not fit into twelve bars in one bar of its own", () => {
    const facts = sample.summary(40, 0);
    const defects = facts.defects.map((defect, index) => ({ ...defect, itemName: `Item ${index}` }));
    const chart = blocksOf(composeDefectSummary({ ...facts, defects }), "bars")[1];
    expect(chart?.bars).toHaveLength(13);
    expect(chart?.bars.at(-1)?.parts.reduce((sum, part) => sum + part.value, 0)).toBe(28);
  });

  it("lists dangerous before major before minor", () => {
    const rows = tableUnder(composeDefectSummary(sample.summary(40, 0)), "All defects of the period").rows;
    const weights = rows.map((row) => ["Dangerous", "Major", "Minor"].findIndex((name) => textOf(row).includes(`\n${name}\n`)));
    expect(weights).not.toContain(-1);
    expect(weights).toEqual(weights.toSorted((a, b) => a - b));
  });

  it("says that nothing is grounded, and that nothing was found, in words", () => {
    const paper = composeDefectSummary(sample.summary(0, 0));
    expect(blocksOf(paper, "badge")[0]).toMatchObject({ tone: "good", title: "No machine is grounded" });
    expect(blocksOf(paper, "bars")).toEqual([]);
    expect(tableUnder(paper, "All defects of the period").rows).toEqual([]);
  });

  it("a time is told to the minute and never as less than it was", () => {
    const { duration } = phrasesFor(sample.frame);
    const hours = (count: number) => duration(count * 3_600_000);
    expect([0.5, 28.98, 28, 47.999, 52.99].map((count) => hours(count).replaceAll("\u00a0", " "))).toEqual([
      "30 min",
      "28 h 59 min",
      "28 h",
      "2 d 0 h",
      "2 d 5 h",
    ]);
  });
});

describe("fleet roadworthiness", () => {
  it("names every machine once, with what stands against it first and every reason", () => {
    const facts = roadworthy.fleet(60);
    const paper = composeFleetRoadworthiness(facts);
    expect(headings(paper).slice(1)).toEqual(["May not be ridden, and why", "Not checked yet", "Fit", "Papers"]);
    const tables = blocksOf(paper, "table").slice(0, 3);
    const marks = tables.flatMap((table) => table.rows.map((row) => textOf(row[0]).split("\n")[0]));
    expect(marks).toHaveLength(60);
    expect(new Set(marks)).toEqual(new Set(facts.machines.map((one) => one.machine.registrationMark)));
    for (const machine of facts.machines) for (const reason of machine.reasons) expect(textOf(tables)).toContain(reason);
    const against = new Set<Standing>(["grounded", "inspection-overdue", "papers-expired", "withdrawn"]);
    expect(tables[0]?.rows).toHaveLength(facts.machines.filter((one) => against.has(one.standing)).length);
    expect(textOf(tables[0]?.rows[0])).toContain("Grounded");
  });

  it("tells of every machine until when its papers count, and what was ended of late by whom", () => {
    const facts = roadworthy.fleet(9);
    const table = blocksOf(composeFleetRoadworthiness(facts), "table").at(-1);
    expect(table?.rows.map((row) => textOf(row[0]))).toEqual(facts.machines.map((one) => one.machine.registrationMark).sort());
    const lines = (table?.rows ?? []).map((row) => row.map((cell) => textOf(cell)).join(" | "));
    expect(lines[0]).toContain("Insurance: ran out on Tue 30 Jun 2026");
    expect(lines[0]).toContain("Insurance P-7782: entered by mistake, counts for nothing (recorded by");
    expect(lines[0]).not.toContain("2036");
    expect(lines[1]).toContain("Insurance: until Thu 31 Dec 2026\nRoadworthiness test: from Sat 1 Aug 2026");
    expect(lines[2]).toContain("Roadworthiness test: failed on Fri 10 Jul 2026");
  });

  it("a machine with many reasons says the first three and how many more", () => {
    const facts = roadworthy.fleet(1);
    const reasons = Array.from({ length: 67 }, (_, index) => `Reason ${index + 1}.`);
    const machines = facts.machines.map((machine) => ({ ...machine, standing: "grounded" as const, reasons }));
    const text = textOf(tableUnder(composeFleetRoadworthiness({ ...facts, machines }), "May not be ridden, and why").rows);
    expect(text).toContain("Reason 1.\nReason 2.\nReason 3.\nand 64 more");
    expect(text).not.toContain("Reason 4.");
  });

  it("shows totals that add up to the fleet", () => {
    const facts = roadworthy.fleet(60);
    const [bar] = blocksOf(composeFleetRoadworthiness(facts), "share-bar");
    expect(bar?.parts.reduce((sum, part) => sum + part.value, 0)).toBe(60);
  });

  it("does not look well while machines are unchecked", () => {
    const facts = roadworthy.fleet(60);
    const only = (standing: Standing) =>
      blocksOf(composeFleetRoadworthiness({ ...facts, machines: facts.machines.filter((one) => one.standing === standing) }), "badge")[0]
        ?.tone;
    expect(only("fit")).toBe("good");
    expect(only("unchecked")).toBe("quiet");
    expect(only("withdrawn")).toBe("bad");
  });
});

describe("blank sheet", () => {
  it.each(["daily", "weekly"] as const)("%s: every item and every observation of the sheet is on it, with its category mark", (kind) => {
    const paper = composeBlankSheet(sheets.sheet(kind, sheets.fullFeatures));
    const printed = blocksOf(paper, "check-rows").flatMap((block) => block.items);
    const items = itemsFor(sheets.fullFeatures, kind);
    expect(printed).toHaveLength(items.length);
    const marks = { advisory: "a", minor: "m", major: "M", dangerous: "D" };
    for (const item of items)
      for (const seen of item.observations)
        expect(printed.flatMap((one) => one.observations)).toContainEqual(
          expect.objectContaining({ text: observationText(seen.id), mark: marks[seen.category] }),
        );
  });

  it.each(["daily", "weekly"] as const)("%s: 'not applicable' has its box exactly where sheet and service take it", (kind) => {
    const printed = blocksOf(composeBlankSheet(sheets.sheet(kind, sheets.fullFeatures)), "check-rows").flatMap((block) => block.items);
    const offered = itemsFor(sheets.fullFeatures, kind).map((item) => mayNotApply(item));
    expect(printed.map((item) => item.mayNotApply)).toEqual(offered);
    expect(new Set(offered).size).toBe(2);
  });

  it("what concerns the rider says so", () => {
    expect(textOf(composeBlankSheet(sheets.sheet("daily", sheets.fullFeatures)))).toContain("(this stops the rider, not the machine)");
  });

  it("a weekly sheet lists its tools and has two boxes and the limit for each measured item; a daily one measures only its proof", () => {
    const weekly = composeBlankSheet(sheets.sheet("weekly", sheets.fullFeatures));
    expect(textOf(weekly)).toContain("Tools: ");
    const measured = itemsFor(sheets.fullFeatures, "weekly").filter((item) => item.quantity !== undefined);
    const boxes = blocksOf(weekly, "check-rows").flatMap((block) =>
      block.items.filter((item) => item.readings.length === 2 && item.limit !== undefined),
    );
    expect(boxes).toHaveLength(measured.length);
    const daily = composeBlankSheet(sheets.sheet("daily", sheets.fullFeatures));
    expect(blocksOf(daily, "check-rows").flatMap((block) => block.items.flatMap((item) => item.readings))).toEqual([]);
    expect(textOf(daily)).toContain("Front tyre pressure (kPa / psi / bar)");
    expect(textOf(daily)).toContain("Cold, before riding");
  });
});

it("days that follow each other are one run, over the end of a month as well", () => {
  expect(runsOfDays(["2026-06-29", "2026-06-30", "2026-07-01", "2026-07-03"])).toEqual([
    ["2026-06-29", "2026-07-01"],
    ["2026-07-03", "2026-07-03"],
  ]);
});

describe("a defect that waits for a part", () => {
  it("says in its facts what it waits for, and tells the wait and the notes in its course", () => {
    const blocks = composeDefectReport(sample.defectReport({ defect: sample.defect(sample.waitingForPart) }));
    const [facts] = blocksOf(blocks, "facts");
    expect(facts?.rows).toContainEqual({ label: "Part", value: "waiting for Front brake cable, expected Mon 20 Jul 2026" });
    const said = JSON.stringify(blocksOf(blocks, "course"));
    expect(said).toContain("Let wait for Front brake cable, expected Mon 20 Jul 2026, by");
    expect(said).toContain("Note: The maker has none before Friday.");
  });
});

describe("a minor defect whose last day is over", () => {
  it("is headed as what grounds the machine, not as deferred", () => {
    const defect = sample.defect({ category: "minor", status: "deferred", grounds: true, dueDay: "2026-07-10" });
    const [badge] = blocksOf(composeDefectReport(sample.defectReport({ defect })), "badge");
    expect(badge).toMatchObject({ tone: "bad", title: "Not put right in time: it grounds KX21ABC" });
  });
});
