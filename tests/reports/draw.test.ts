import { execFile } from "node:child_process";
import { mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { promisify } from "node:util";
import { beforeAll, describe, expect, it } from "vitest";
import type { Block, ReportDocument } from "../../src/pdf/document.ts";
import { drawPdf } from "../../src/pdf/index.ts";
import {
  composeBlankSheet,
  composeDefectReport,
  composeDefectSummary,
  composeFleetReview,
  composeFleetRoadworthiness,
  composeMachineRoadworthiness,
} from "../../src/reports/index.ts";
import { hasTool } from "../support/tools.ts";
import { bytesOf, nodesOf, type ReportRead, readPdf, readReport } from "./read-pdf.ts";
import * as sample from "./sample-facts.ts";
import { photosOf } from "./sample-photos.ts";
import * as reviews from "./sample-review.ts";
import * as roadworthy from "./sample-roadworthiness.ts";
import * as sheets from "./sample-sheets.ts";

const run = promisify(execFile);
const withFile = async (bytes: Buffer, use: (path: string) => Promise<void>): Promise<void> => {
  const folder = await mkdtemp(join(tmpdir(), "ferrule-paper-"));
  try {
    const path = join(folder, "report.pdf");
    await writeFile(path, bytes);
    await use(path);
  } finally {
    await rm(folder, { recursive: true });
  }
};

const mixedPhotos = await photosOf([800, 600], [450, 800], null, [640, 480], [30, 20], [800, 90], [90, 800]);
const papers: [string, () => ReportDocument][] = [
  ["defect report", () => composeDefectReport(sample.defectReport())],
  ["closed defect report", () => composeDefectReport(sample.defectReport({ defect: sample.closedDefect() }))],
  ["defect report with photos", () => composeDefectReport(sample.defectReport({ photos: mixedPhotos }))],
  ["machine roadworthiness", () => composeMachineRoadworthiness(roadworthy.fullMachine())],
  ["machine roadworthiness of nothing", () => composeMachineRoadworthiness(roadworthy.emptyMachine())],
  ["defect summary", () => composeDefectSummary(sample.summary(90, 7))],
  ["defect summary of nothing", () => composeDefectSummary(sample.summary(0, 0))],
  ["fleet roadworthiness", () => composeFleetRoadworthiness(roadworthy.fleet(120))],
  ["fleet roadworthiness of nothing", () => composeFleetRoadworthiness(roadworthy.fleet(0))],
  ["fleet review", () => composeFleetReview(reviews.review(120))],
  ["fleet review of nothing", () => composeFleetReview(reviews.emptyReview())],
  ["daily sheet", () => composeBlankSheet(sheets.sheet("daily", sheets.fullFeatures))],
  ["daily sheet, electric", () => composeBlankSheet(sheets.sheet("daily", sheets.electricFeatures))],
  ["weekly sheet", () => composeBlankSheet(sheets.sheet("weekly", sheets.fullFeatures))],
];

/** A report of these blocks, with the head of a real one. */
const reportOf = (...blocks: Block[]): ReportDocument => ({ head: composeDefectReport(sample.defectReport()).head, blocks });

describe.each(papers)("%s", (_, compose) => {
  let bytes: Buffer;
  let read: ReportRead;
  beforeAll(async () => {
    bytes = await bytesOf(compose());
    read = await readPdf(bytes);
  });

  it("has firm, depot, period, time of printing, caution and 'page n of N' on each page", async () => {
    const paper = compose();
    const { pages } = read;
    pages.forEach((text, index) => {
      expect(text).toContain(`Page ${index + 1} of ${pages.length}`);
      const { firmName, depotName, title, period, printedAt, caution } = paper.head;
      for (const said of [firmName, depotName, `${title} \u00b7 ${period}`, printedAt, caution]) expect(text).toContain(said);
    });
  });

  it("has title, language, bookmarks and a structure tree with one first heading", async () => {
    const paper = compose();
    expect(read.info).toMatchObject({
      Title: `${paper.head.title} \u00b7 ${paper.head.subject}`,
      Language: "en-GB",
      Author: "Kestrel & Sons Parcels",
    });
    expect(read.xmpTitle).toBe(read.info["Title"]);
    expect(read.viewer).toMatchObject({ DisplayDocTitle: true });
    expect(read.marked).toMatchObject({ Marked: true });
    const bookmarks = paper.blocks.flatMap((block) => (block.kind === "heading" && block.level < 3 ? [block.text] : []));
    expect(read.outline).toEqual(bookmarks);
    expect(nodesOf(read.trees, "H1")).toHaveLength(1);
    for (const figure of nodesOf(read.trees, "Figure")) expect(figure.alt).toMatch(/\w/);
  });

  it("embeds every font that it uses", async () => {
    const text = bytes.toString("latin1");
    const fonts = text.match(/\/BaseFont \/[^\s/]+/g) ?? [];
    expect(fonts.length).toBeGreaterThan(0);
    // A subset of an embedded font has six letters and a plus before its name: ISO 32000-1, 9.6.4.
    for (const font of fonts) expect(font).toMatch(/\/BaseFont \/[A-Z]{6}\+Noto/);
    expect(text.match(/\/FontFile2 /g)?.length).toBe(text.match(/\/Type \/FontDescriptor/g)?.length);
  });

  it("gives the same bytes for the same facts", async () => {
    expect((await bytesOf(compose())).equals(bytes)).toBe(true);
  });

  it("is a sound file for qpdf", async () => {
    if (!(await hasTool("qpdf"))) return;
    await withFile(bytes, async (path) => {
      const { stdout } = await run("qpdf", ["--check", path]);
      expect(stdout).toContain("No syntax or stream encoding errors found");
    });
  });
});

describe("names and letters", () => {
  const { accented, cyrillic, thai, long } = sample.people;

  it("accented, Cyrillic, Thai and long names can be read and found in the file", async () => {
    const { text } = await readReport(composeDefectReport(sample.defectReport({ defect: sample.closedDefect() })));
    for (const person of [accented, cyrillic, thai, long]) expect(text).toContain(person.name);
  });

  it("are found by pdftotext too", async () => {
    if (!(await hasTool("pdftotext"))) return;
    await withFile(await bytesOf(composeDefectReport(sample.defectReport({ defect: sample.closedDefect() }))), async (path) => {
      const { stdout } = await run("pdftotext", ["-enc", "UTF-8", path, "-"]);
      for (const person of [accented, cyrillic, thai]) expect(stdout.replace(/\s+/g, " ")).toContain(person.name);
    });
  });

  it("firm, depot, title and past moment are whole on each page, however long they are", async () => {
    const frame = {
      ...sample.frame,
      firmName: `${"Worldwide Wheels and Parcels ".repeat(4)}Ltd`,
      depotName: `${"Upper Warehouse by the Water ".repeat(4)}North`,
      asAt: new Date("2026-07-10T04:30:00Z"),
    };
    const { pages } = await readReport(composeMachineRoadworthiness({ ...roadworthy.fullMachine(), frame }));
    expect(pages.length).toBeGreaterThan(2);
    for (const page of pages) {
      const text = page.replaceAll(/\s+/g, " ");
      for (const said of [frame.firmName, frame.depotName, "KX21ABC, as at 10 Jul 2026, 05:30"]) expect(text).toContain(said);
    }
  });

  it("a firm's name with signs of markup in it stays what it is, in the text and in the file's own properties", async () => {
    const firmName = 'A <b>& "B"</b> \u041a\u0443\u0440\u2019\u0454\u0440';
    const defect = sample.defect({ itemName: "Cable <left> & right" });
    const read = await readReport(composeDefectReport(sample.defectReport({ defect, frame: { ...sample.frame, firmName } })));
    expect(read.pages[0]).toContain(firmName);
    expect(read.info["Title"]).toContain("Cable <left> & right");
    expect(read.info["Author"]).toBe(firmName);
    expect(read.xmpTitle).toBe(read.info["Title"]);
  });

  it("what no font can show leaves a sign, and never stops a paper", async () => {
    // Runes and cuneiform, and half of a pair of surrogates.
    const note = "\u16a0\u{12000} \ud800 end";
    const [first] = sample.defect().sightings;
    const { text } = await readReport(
      composeDefectReport(sample.defectReport({ defect: sample.defect({ sightings: [{ ...first, note }] }) })),
    );
    expect(text).toContain("\ufffd\ufffd \ufffd end");
    expect(text).toContain(
      "\ufffd stands for a character that no font here has (U+16A0, U+12000, U+D800). The API and the month's NDJSON have it as it was written.",
    );
  });
});

it("a letter can be found whatever papers were drawn before", async () => {
  // All of Latin-1, Latin Extended-A and Cyrillic: many of their glyphs are put together from those of plain letters and marks.
  const composed = Array.from({ length: 0x460 - 0xa1 }, (_, index) => String.fromCodePoint(0xa1 + index)).filter((letter) =>
    /[\p{L}\p{P}]/u.test(letter),
  );
  await bytesOf(reportOf({ kind: "paragraph", text: `${composed.join(" ")} \u2026 : ; ! % \u201c` }));
  const letters = "A full stop. a comma, i and j; quotation 'marks'; \u00e9 \u0456 \u0439";
  expect((await readReport(reportOf({ kind: "paragraph", text: letters }))).text).toContain(letters);
});

describe("photos on the defect report", () => {
  const reportWith = (photos: Parameters<typeof sample.defectReport>[0]) => readReport(composeDefectReport(sample.defectReport(photos)));

  it("each is a picture with who sent it, when it arrived and the beginning of its hash; one that is gone is said to be", async () => {
    const read = await reportWith({ photos: mixedPhotos });
    // A long name may be broken at its hyphen.
    const spoken = read.spoken.replaceAll("- ", "-");
    mixedPhotos.shown.forEach(({ by, sha256 }, place) => {
      expect(spoken).toContain(`Photo ${place + 1} of 7, sent by ${by.name} (${by.staffNumber}), arrived 13 Jul 2026, 05:3${2 + place}.`);
      expect(spoken).toContain(`${sha256.slice(0, 16)}\u2026`);
    });
    expect(spoken).toContain("This photo is not kept any more");
    expect(nodesOf(read.trees, "Figure").map(({ alt }) => alt)).toEqual(
      [1, 2, 4, 5, 6, 7].map((number) => `Photo ${number} of 7 of the defect: Front brake cable`),
    );
  });

  it("are in the file as they were handed over, none cut and none twice", async () => {
    const bytes = await bytesOf(composeDefectReport(sample.defectReport({ photos: mixedPhotos })));
    const found = mixedPhotos.shown.flatMap(({ jpeg }) => (jpeg ? [bytes.indexOf(jpeg.bytes)] : []));
    expect(found.every((at) => at > 0)).toBe(true);
    expect(new Set(found).size).toBe(6);
  });

  it("without any it says so; what is not printed or has not arrived is counted", async () => {
    expect((await reportWith({})).text).toContain("Photos none");
    const { text } = await reportWith({ photos: { ...(await photosOf([60, 40])), count: 30, awaitedCount: 2 } });
    expect(text).toContain("The first 1 of 30 photos are printed.");
    expect(text).toContain("Named by its records and not arrived by the moment of this paper: 2.");
  });
});

describe("breaking over pages", () => {
  it("a chart of bars leaves no bar or two behind on the next page", async () => {
    const filled = new Set<number>();
    for (let lines = 29; lines <= 33; lines += 1) {
      const fill = Array.from({ length: lines }, (): Block => ({ kind: "paragraph", text: "A line" }));
      const names = Array.from({ length: 13 }, (_, index) => `Bar-${String(index).padStart(2, "0")}`);
      const bars = names.map((label) => ({ label, parts: [{ value: 1, tone: "plain" as const }] }));
      // What follows keeps less air from saving the page.
      const { pages } = await readReport(reportOf(...fill, { kind: "bars", title: "Bars", alt: "Bars", bars, legend: [] }, ...fill));
      const over = pages.slice(1).join(" ").match(/Bar-/g)?.length ?? 0;
      filled.add(over);
      expect(over === 0 || over >= 3, `${lines} lines: ${over} bars over`).toBe(true);
    }
    expect([...filled].some((over) => over >= 3 && over < 13)).toBe(true);
  });
  const columns = [
    { head: "Left column", share: 1 },
    { head: "Right column", share: 2 },
  ];
  const table = (rows: string[][]): Block => ({ kind: "table", alt: "a table", columns, rows, empty: "nothing" });

  it("repeats a table's head on each page, and reads it aloud only once", async () => {
    const rows = Array.from({ length: 200 }, (_, index) => [`row ${index} here`, "some words"]);
    const read = await readReport(reportOf(table(rows)));
    expect(read.pages.length).toBeGreaterThan(3);
    for (const page of read.pages) expect(page).toContain("Left column");
    expect(read.spoken.match(/Left column/g)).toHaveLength(1);
    expect(nodesOf(read.trees.slice(0, 1), "TH")).toHaveLength(2);
    for (const [name] of rows) expect(read.text).toContain(`${name} `);
  });

  it("never splits a row that fits on a page", async () => {
    const rows = Array.from({ length: 60 }, (_, index) => [
      `first ${index} end`,
      `begin${index} ${"filling words ".repeat(10 + (index % 23) * 6)} end${index}`,
    ]);
    const read = await readReport(reportOf(table(rows)));
    rows.forEach((_, index) => {
      const pages = read.pages
        .map((page, at) => (page.includes(`begin${index} `) || new RegExp(`end${index}\\b`).test(page) ? at : -1))
        .filter((at) => at >= 0);
      expect(pages).toHaveLength(1);
    });
  });

  it("carries a row that is taller than a page over to the next ones, and loses none of it", async () => {
    const words = Array.from({ length: 3_000 }, (_, index) => `w${index}`);
    const { pages, text } = await readReport(
      reportOf(
        table([
          ["before", "x"],
          ["tall", words.join(" ")],
          ["after", "y"],
        ]),
      ),
    );
    expect(pages.length).toBeGreaterThan(2);
    for (const word of words) expect(text).toContain(`${word}`);
    expect(text.indexOf("after")).toBeGreaterThan(text.indexOf("w2999"));
  });

  it("a heading never stands alone at the foot of a page, whatever follows it and wherever it falls", async () => {
    const machine = composeMachineRoadworthiness(roadworthy.fullMachine());
    const report = composeDefectReport(sample.defectReport({ defect: sample.closedDefect() }));
    const blocks = [...machine.blocks, ...report.blocks, ...composeDefectSummary(sample.summary(20, 2)).blocks];
    const followers = [...new Map(blocks.map((block) => [block.kind, block])).values()].filter(({ kind }) => kind !== "heading");
    expect(followers.length).toBeGreaterThan(6);
    for (const block of followers)
      for (const lines of [42, 47, 50]) {
        const fill: Block = { kind: "paragraph", text: Array.from({ length: lines }, () => "Fill").join("\n") };
        const headings: Block[] = [
          { kind: "heading", level: 2, text: "Heading alone" },
          { kind: "heading", level: 3, text: "And under it" },
        ];
        const { pages } = await readReport(reportOf(fill, ...headings, block));
        const [, under] = /Heading alone And under it(.*)$/s.exec(pages.find((text) => text.includes("Heading alone")) ?? "") ?? [];
        expect(under?.trim(), `${block.kind} after ${lines} lines`).toMatch(/./);
      }
  });

  it("names every reason however many there are", async () => {
    const reasons = Array.from({ length: 150 }, (_, index) => `reason number ${index}.`);
    const { text, pages } = await readReport(reportOf({ kind: "badge", tone: "bad", title: "Grounded", reasons }));
    expect(pages.length).toBeGreaterThan(1);
    for (const reason of reasons) expect(text).toContain(reason);
  });

  it("loses nothing of a long paragraph, a long course or a long list of days", async () => {
    const sentence = Array.from({ length: 2_500 }, (_, index) => `p${index}`).join(" ");
    const steps = Array.from({ length: 80 }, (_, index) => ({
      when: "1 Jul 2026",
      title: `step ${index}.`,
      details: [`detail ${index}.`],
      tone: "plain" as const,
    }));
    const { text } = await readReport(reportOf({ kind: "paragraph", text: sentence }, { kind: "course", steps }));
    for (let index = 0; index < 2_500; index += 1) expect(text).toContain(`p${index}`);
    for (const step of steps) expect(text).toContain(`${step.title} ${step.details[0]}`);
  });

  it("keeps the places to sign on one page with their statement", async () => {
    const filler: Block = { kind: "paragraph", text: "filler ".repeat(1_150) };
    const fields = [{ label: "Name" }, { label: "Signature" }];
    const { pages } = await readReport(
      reportOf(filler, { kind: "signatures", statement: "I state this.", boxes: [{ title: "Box one", fields }] }),
    );
    const page = pages.find((text) => text.includes("I state this."));
    expect(page).toContain("Box one");
  });

  it("a daily sheet takes no more than two pages, whatever the machine has", async () => {
    for (const features of [sheets.fullFeatures, sheets.electricFeatures])
      expect((await readReport(composeBlankSheet(sheets.sheet("daily", features)))).pages.length).toBeLessThanOrEqual(2);
  });
});

describe("reading aloud", () => {
  it("all that a paper says is reached by its structure, the answer before its reasons", async () => {
    const { spoken } = await readReport(composeMachineRoadworthiness(roadworthy.fullMachine()));
    const order = [
      "Machine roadworthiness",
      "Grounded",
      "Front brake cable: strands frayed",
      "Open defects",
      "Identity",
      "Daily checks",
      "Statement of the responsible person",
    ];
    const places = order.map((text) => spoken.indexOf(text));
    expect(places).not.toContain(-1);
    expect(places.slice(1)).toEqual([...places.slice(1)].sort((a, b) => a - b));
  });

  it("a head cell says that it heads a column", async () => {
    expect((await bytesOf(composeFleetRoadworthiness(roadworthy.fleet(9)))).toString("latin1")).toContain("/Scope /Column");
  });
});

describe("the stream", () => {
  it("gives other work its turn between pages", async () => {
    let turns = 0;
    const ticker = setInterval(() => {
      turns += 1;
    }, 0);
    await bytesOf(composeFleetRoadworthiness(roadworthy.fleet(900)));
    clearInterval(ticker);
    expect(turns).toBeGreaterThan(3);
  });

  it("ends quietly when the reader goes away", async () => {
    const stream = drawPdf(composeFleetRoadworthiness(roadworthy.fleet(900)));
    stream.destroy();
    await new Promise((resolve) => stream.once("close", resolve));
    expect(stream.destroyed).toBe(true);
  });

  it("fails with the error where a paper cannot be drawn", async () => {
    const broken = reportOf({ kind: "no such block" } as unknown as Block);
    await expect(bytesOf(broken)).rejects.toThrow("no drawing for");
  });
});

it("the reader of these tests sees what is there: a page of another paper does not pass for this one", async () => {
  const read = await readPdf(await bytesOf(reportOf({ kind: "paragraph", text: "only this" })));
  expect(read.text).toContain("only this");
  expect(read.text).not.toContain("Open defects");
});
