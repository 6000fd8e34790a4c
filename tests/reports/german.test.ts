// Every paper in German: nothing on it is in English, and it falls on its pages as the English one does.
import { describe, expect, it } from "vitest";
import type { ReportDocument } from "../../src/pdf/document.ts";
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
import { englishIn } from "../support/english.ts";
import { lookAtBytes } from "../support/look-at-report.ts";
import { hasTool } from "../support/tools.ts";
import { blocksOf, textOf } from "./blocks.ts";
import { inGerman } from "./in-german.ts";
import { bytesOf, readPdf } from "./read-pdf.ts";
import * as checks from "./sample-checks.ts";
import * as sample from "./sample-facts.ts";
import { notice } from "./sample-notice.ts";
import { photosOf } from "./sample-photos.ts";
import * as reviews from "./sample-review.ts";
import * as roadworthy from "./sample-roadworthiness.ts";
import * as sheets from "./sample-sheets.ts";

const seen = await hasTool("pdftotext");
const photos = await photosOf([800, 300], null, [500, 200]);
const checkpoint = { number: 12, takenAt: new Date("2026-07-13T22:00:00Z"), records: 12_345, sha256: "0123456789abcdef".repeat(4) };
const labels = Array.from({ length: 12 }, () => ({ registrationMark: "KX21ABC", modelName: "Courier 110", depotName: "North Yard" }));

const papers: [string, () => ReportDocument][] = [
  ["Mängelbericht", () => composeDefectReport(inGerman(sample.defectReport({ photos })))],
  ["Mängelbericht, geschlossen", () => composeDefectReport(inGerman(sample.defectReport({ defect: sample.closedDefect() })))],
  ["Verkehrssicherheit einer Maschine", () => composeMachineRoadworthiness(inGerman(roadworthy.fullMachine()))],
  ["Verkehrssicherheit einer Maschine ohne Geschichte", () => composeMachineRoadworthiness(inGerman(roadworthy.emptyMachine()))],
  ["Verkehrssicherheit der Flotte", () => composeFleetRoadworthiness(inGerman(roadworthy.fleet(24)))],
  ["Verkehrssicherheit eines leeren Standorts", () => composeFleetRoadworthiness(inGerman(roadworthy.fleet(0)))],
  ["Tagesblatt", () => composeBlankSheet(inGerman(sheets.sheet("daily", sheets.fullFeatures)))],
  ["Wochenblatt", () => composeBlankSheet(inGerman(sheets.sheet("weekly", sheets.fullFeatures)))],
  ["Aushang", () => composeNotice(inGerman(notice({ reasons: ["Bremszug vorn: Litzen gerissen (gefährlich)"] })))],
  ["Etiketten", () => composeLabels(inGerman({ frame: sample.frame, origin: "https://bikes.example", labels }))],
  ["Übersicht der Mängel", () => composeDefectSummary(inGerman(sample.summary(90, 7)))],
  ["Übersicht ohne Mängel", () => composeDefectSummary(inGerman(sample.summary(0, 0)))],
  ["Sturz", () => composeFallReport(inGerman(sample.fallReport({ photos })))],
  ["Tägliche Kontrolle", () => composeDailyCheckReport(inGerman(checks.oddCheck("de")))],
  ["Wocheninspektion", () => composeWeeklyInspectionReport(inGerman(checks.inspection("de")))],
  ["Aktion", () => composeCampaignReport(inGerman(sample.campaignReport(24)))],
  ["Rückblick", () => composeFleetReview(inGerman(reviews.review(40)))],
  ["Rückblick auf nichts", () => composeFleetReview(inGerman(reviews.emptyReview()))],
];

describe.each(papers)("%s", (_, compose) => {
  it("says nothing in English", () => expect(englishIn([textOf(compose())])).toEqual([]));

  it("writes numbers and days as German does, and no raw ones", () => {
    const text = textOf(compose());
    expect(text.match(/\d\d\d\d-\d\d-\d\d(?!T)/g) ?? []).toEqual([]);
    // A decimal point; a thousand is parted by one too, before three digits.
    expect(text.match(/(?<![\d.])\d+\.\d{1,2}(?![\d.])(?=\u00a0| (?:mm|kPa|bar|psi|km|%))/g) ?? []).toEqual([]);
  });

  it.skipIf(!seen)("no heading alone, no page left empty or to a signature, no text over text, past the margin or cut", async () => {
    const paper = compose();
    const bytes = await bytesOf(paper);
    expect((await lookAtBytes(paper, bytes)).flaws).toEqual([]);
    // A word that is broader than its column is broken wherever its line is full. A table without rows has no heads.
    const words = new Set((await readPdf(bytes)).text.split(/\s+/));
    const heads = blocksOf(paper, "table").flatMap(({ columns, rows }) =>
      rows.length === 0 ? [] : columns.flatMap(({ head }) => head.split(/\s+/)),
    );
    expect(heads.filter((word) => !words.has(word))).toEqual([]);
  });
});

it("the file says its language, and its title is in it", async () => {
  const paper = composeDefectReport(inGerman(sample.defectReport({ frame: { ...sample.frame, checkpoint } })));
  const bytes = await bytesOf(paper);
  expect(bytes.includes("/Lang (de)")).toBe(true);
  const { info, xmpTitle } = await readPdf(bytes);
  expect(info["Title"]).toContain("Mängelbericht");
  expect(xmpTitle).toBe(info["Title"]);
});

it("a daily sheet stays on two pages", async () => {
  const { pages } = await readPdf(await bytesOf(composeBlankSheet(inGerman(sheets.sheet("daily", sheets.fullFeatures)))));
  expect(pages.length).toBe(2);
});
