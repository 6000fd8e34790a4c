// How reports fall on pages, looked at with poppler: those of the samples, of a hostile firm, and of every length in between.
import { readFileSync } from "node:fs";
import type { Readable } from "node:stream";
import { describe, expect, it } from "vitest";
import type { Block, ReportDocument } from "../../src/pdf/document.ts";
import { Pen } from "../../src/pdf/pen.ts";
import * as door from "../../src/reports/index.ts";
import {
  composeBlankSheet,
  composeCampaignReport,
  composeDailyCheckReport,
  composeDefectReport,
  composeDefectSummary,
  composeFallReport,
  composeFleetReview,
  composeFleetRoadworthiness,
  composeLabels,
  composeMachineRoadworthiness,
  composeNotice,
  composeWeeklyInspectionReport,
} from "../../src/reports/index.ts";
import { lookAt, lookAtBytes } from "../support/look-at-report.ts";
import { hasTool } from "../support/tools.ts";
import * as checks from "./sample-checks.ts";
import * as sample from "./sample-facts.ts";
import * as hostile from "./sample-hostile.ts";
import { fullNotice, longNotice, notice } from "./sample-notice.ts";
import { photosOf } from "./sample-photos.ts";
import * as reviews from "./sample-review.ts";
import * as roadworthy from "./sample-roadworthiness.ts";
import * as sheets from "./sample-sheets.ts";

const twentyPhotos = await photosOf(
  ...Array.from({ length: 20 }, (_, index): [number, number] | null => (index === 7 ? null : [800 - 37 * index, 90 + 35 * index])),
);
const papers: [string, () => ReportDocument][] = [
  ["a defect report", () => composeDefectReport(sample.defectReport())],
  ["a closed defect", () => composeDefectReport(sample.defectReport({ defect: sample.closedDefect() }))],
  ["a defect with 20 photos", () => composeDefectReport(sample.defectReport({ photos: twentyPhotos }))],
  [
    "a defect of a machine with 67 reasons",
    () => composeDefectReport(sample.defectReport({ standingNow: { standing: "grounded", reasons: hostile.reasons(67) } })),
  ],
  [
    "a defect with notes of 4000 characters",
    () => composeDefectReport(sample.defectReport({ frame: hostile.longFrame, defect: hostile.wordyDefect("a", 4_000) })),
  ],
  ["a fall", () => composeFallReport(sample.fallReport({ photos: twentyPhotos }))],
  ["a fall that waits for its inspection", () => composeFallReport(sample.fallReport({ inspection: null, told: null }))],
  [
    "a fall told in 4000 characters",
    () =>
      composeFallReport({
        ...sample.fallReport({ frame: hostile.longFrame, machine: hostile.longMachine }),
        told: { hit: hostile.wordsOf("hit", 120), bent: ["Fork"], note: hostile.wordsOf("a", 4_000), odometerKm: null },
      }),
  ],
  ["a check", () => composeDailyCheckReport(checks.nilCheck())],
  ["an odd check", () => composeDailyCheckReport(checks.oddCheck())],
  ["a forgotten check", () => composeDailyCheckReport(checks.forgottenCheck())],
  ["a check of endless words", () => composeDailyCheckReport(checks.hostileCheck())],
  ["an inspection", () => composeWeeklyInspectionReport(checks.inspection())],
  ["a forgotten inspection", () => composeWeeklyInspectionReport(checks.forgottenInspection())],
  ["an inspection of nothing", () => composeWeeklyInspectionReport(checks.emptyInspection())],
  ["an inspection of endless words", () => composeWeeklyInspectionReport(checks.hostileInspection())],
  ["a campaign", () => composeCampaignReport(sample.campaignReport(24))],
  ["a campaign over no machine here", () => composeCampaignReport(sample.campaignReport(0))],
  [
    "a campaign of 200 machines in 1000 characters that was ended",
    () =>
      composeCampaignReport(
        sample.campaignReport(200, {
          ...{ frame: hostile.longFrame, name: hostile.wordsOf("name", 120), job: hostile.wordsOf("job", 1_000) },
          ended: { at: new Date("2026-07-13T08:00:00Z"), by: hostile.longNames.person, reason: hostile.wordsOf("why", 1_000) },
          depots: [hostile.longNames.depot],
        }),
      ),
  ],
  ["a machine", () => composeMachineRoadworthiness(roadworthy.fullMachine())],
  ["a machine without history", () => composeMachineRoadworthiness(roadworthy.emptyMachine())],
  ["a machine with 67 reasons", () => composeMachineRoadworthiness(hostile.groundedMachine(67))],
  ["a machine with notes of 1000 characters", () => composeMachineRoadworthiness(hostile.wordyMachine(1_000))],
  ["a machine with notes of 4000 characters", () => composeMachineRoadworthiness(hostile.wordyMachine(4_000))],
  ["a summary", () => composeDefectSummary(sample.summary(90, 7))],
  ["a summary of nothing", () => composeDefectSummary(sample.summary(0, 0))],
  [
    "a summary of a machine with 67 reasons and notes of 4000 characters",
    () =>
      composeDefectSummary({
        ...sample.summary(20, 1),
        frame: hostile.longFrame,
        grounded: [{ machine: hostile.longMachine, since: new Date("2026-07-13T04:40:00.000Z"), reasons: hostile.reasons(67) }],
        defects: [hostile.wordyDefect("a", 4_000), hostile.wordyDefect("b", 4_000)],
      }),
  ],
  ["a fleet", () => composeFleetRoadworthiness(roadworthy.fleet(24))],
  ["a depot of no machine", () => composeFleetRoadworthiness(roadworthy.fleet(0))],
  ["a depot of 200 machines", () => composeFleetRoadworthiness(hostile.crowdedFleet(200))],
  ["a review", () => composeFleetReview(reviews.review(120))],
  ["a review of nothing", () => composeFleetReview(reviews.emptyReview())],
  ["a daily sheet", () => composeBlankSheet(sheets.sheet("daily", sheets.fullFeatures))],
  ["a weekly sheet", () => composeBlankSheet(sheets.sheet("weekly", sheets.fullFeatures))],
  ["a daily sheet of an electric machine", () => composeBlankSheet(sheets.sheet("daily", sheets.electricFeatures))],
  ["a weekly sheet of an electric machine", () => composeBlankSheet(sheets.sheet("weekly", sheets.electricFeatures))],
  [
    "a sheet with long names",
    () => composeBlankSheet({ ...sheets.sheet("daily", sheets.fullFeatures), frame: hostile.longFrame, machine: hostile.longMachine }),
  ],
  ["a notice", () => composeNotice(notice())],
  ["a notice of many reasons", () => composeNotice(fullNotice())],
  ["a notice of long words", () => composeNotice(longNotice())],
  [
    "labels of long names",
    () =>
      composeLabels({
        frame: hostile.longFrame,
        origin: "https://bikes.example",
        labels: [
          { registrationMark: "ABCDEFGHIJKLMNOPQRST", modelName: hostile.wordsOf("model", 80), depotName: hostile.wordsOf("depot", 80) },
        ],
      }),
  ],
  [
    "labels",
    () =>
      composeLabels({
        frame: sample.frame,
        origin: "https://bikes.example",
        labels: Array.from({ length: 30 }, () => ({ registrationMark: "KX21ABC", modelName: "Courier 110", depotName: "North Yard" })),
      }),
  ],
];

const seen = await hasTool("pdftotext");

it("every report of the door is looked at here", () => {
  const rows = readFileSync(new URL(import.meta.url), "utf8");
  const reports = Object.keys(door).filter((name) => name.startsWith("compose"));
  expect(
    reports.filter((name) => !rows.includes(`${name}(`)),
    "a row for each in `papers`, with its samples: src/reports/README.md",
  ).toEqual([]);
});

it.skipIf(!seen).each(papers)(
  "%s: no heading alone, no page left empty or to a signature, no text over text, past the margin or cut",
  async (_, compose) => {
    const paper = compose();
    expect((await lookAt(paper)).flaws).toEqual([]);
  },
);

it.skipIf(!seen)(
  "however long its course is, a defect's place to sign has no page to itself",
  async () => {
    const [sighting] = sample.defect().sightings;
    // Half a page of lengths, two lines at a time: somewhere in it the signature falls over the foot.
    for (let lines = 12; lines <= 34; lines += 2) {
      const note = Array.from({ length: lines }, (_, index) => `Line ${index}`).join("\n");
      const paper = composeDefectReport(sample.defectReport({ defect: sample.defect({ sightings: [{ ...sighting, note }] }) }));
      expect((await lookAt(paper)).flaws, `${lines} lines`).toEqual([]);
    }
  },
  300_000,
);

it.skipIf(!seen)("what a little less air brings onto one page stands on one page", async () => {
  const [sighting] = sample.defect().sightings;
  const pagesOf = async (lines: number): Promise<number> => {
    const note = Array.from({ length: lines }, (_, index) => `Line ${index}`).join("\n");
    return (await lookAt(composeDefectReport(sample.defectReport({ defect: sample.defect({ sightings: [{ ...sighting, note }] }) }))))
      .pages;
  };
  expect([await pagesOf(12), await pagesOf(15), await pagesOf(40)]).toEqual([1, 1, 2]);
});

describe.skipIf(!seen)("the looker sees", () => {
  const { head } = composeDefectReport(sample.defectReport());
  const style = { sizePt: 9, bold: false };
  const line = (pen: Pen, text: string, x: number, y: number, sizePt = 9) =>
    pen.set(pen.layOut(text, 10_000, { ...style, sizePt }), x, y, style);
  /** What is wrong with a report whose pages are drawn like this. */
  const flawsOf = async (blocks: readonly Block[], ...pages: readonly ((pen: Pen) => void)[]): Promise<readonly string[]> => {
    const pen = new Pen(head);
    for (const [index, draw] of pages.entries()) {
      if (index > 0) await pen.turnPage();
      draw(pen);
    }
    pen.finish();
    const chunks: Buffer[] = [];
    for await (const chunk of pen.doc as unknown as Readable) chunks.push(chunk as Buffer);
    return (await lookAtBytes({ head, blocks }, Buffer.concat(chunks))).flaws;
  };
  const full = (pen: Pen) => {
    for (let y = pen.y; y < pen.bottom - 60; y += 14) line(pen, "Something to read", pen.left, y);
  };
  const heading: Block = { kind: "heading", level: 2, text: "A heading" };
  const signing: Block = { kind: "signatures", statement: "I state this.", boxes: [{ title: "Box", fields: [{ label: "Name" }] }] };
  const sign = (pen: Pen) => {
    line(pen, "I state this.", pen.left, pen.y + 20);
    line(pen, "Box", pen.left, pen.y + 40);
    line(pen, "Name", pen.left, pen.y + 60);
  };

  it("nothing in a page that is sound", async () => expect(await flawsOf([], full)).toEqual([]));
  it.each<[string, RegExp, readonly Block[], ((pen: Pen) => void)[]]>([
    [
      "a heading alone",
      /a heading alone at the foot: A heading/,
      [heading],
      [
        (pen) => {
          full(pen);
          pen.set(pen.layOut("A heading", 400, { sizePt: 11.5, bold: true }), pen.left, pen.bottom - 20, { sizePt: 11.5, bold: true });
        },
      ],
    ],
    ["a page that is left empty", /only \d+ % full, and the paper goes on/, [], [(pen) => line(pen, "One line", pen.left, pen.y), full]],
    ["a page of nothing but head and foot", /nothing but head and foot/, [], [full, () => undefined]],
    ["a page of nothing but a signature", /nothing on it but a signature/, [signing], [full, sign]],
    ["a page of one row", /nothing on it but a row/, [], [full, (pen) => line(pen, "One line", pen.left, pen.y)]],
    [
      "text over text",
      /text over text: over and under|text over text: under and over/,
      [],
      [
        (pen) => {
          full(pen);
          line(pen, "under", 300, 300);
          line(pen, "over", 303, 303);
        },
      ],
    ],
    [
      "text past the margin",
      /past the margin: \w+/,
      [],
      [
        (pen) => {
          full(pen);
          line(pen, "Something that is too broad", pen.right - 60, 300);
        },
      ],
    ],
    [
      "text in the foot",
      /in the foot: low/,
      [],
      [
        (pen) => {
          full(pen);
          line(pen, "low", pen.left, pen.bottom);
        },
      ],
    ],
    ["a text that is missing", /cut or missing: lost/, [{ kind: "paragraph", text: "Something lost" }], [full]],
    [
      "a text that is cut",
      /cut: Someth\u2026/,
      [{ kind: "paragraph", text: "Something" }],
      [
        (pen) => {
          full(pen);
          line(pen, "Someth\u2026", 300, 300);
        },
      ],
    ],
  ])("%s", async (_, flaw, blocks, pages) => expect((await flawsOf(blocks, ...pages)).join("; ")).toMatch(flaw));
});
