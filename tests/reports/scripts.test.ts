// Names and signs of every script that a report is set in: drawn on real reports, read by two PDF readers that are not ours, and asked of the
// fonts by a reader of fonts that does not lay them out.
import { execFile } from "node:child_process";
import { mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { promisify } from "node:util";
import { beforeAll, describe, expect, it } from "vitest";
import { isolated } from "../../shared/words/isolate.ts";
import type { Block, ReportDocument } from "../../src/pdf/document.ts";
import { openFont } from "../../src/pdf/font-files.ts";
import { hasGlyph, shapeRun } from "../../src/pdf/shaping.ts";
import { type Line, layOut, layOutOne, type TextMeasure } from "../../src/pdf/text-layout.ts";
import { composeDefectReport } from "../../src/reports/index.ts";
import { bytesOf, type ReportRead, readPdf, readReport } from "./read-pdf.ts";
import * as sample from "./sample-facts.ts";

const run = promisify(execFile);
const hebrew = "\u05d9\u05e2\u05e7\u05d1 \u05db\u05d4\u05df";

/** Invented people: ordinary given names and family names of each language. */
const names = {
  Arabic: "\u0645\u062d\u0645\u062f \u0627\u0644\u062d\u0633\u0646",
  "Arabic with vowels and a joined lam and alef": "\u0645\u064f\u062d\u064e\u0645\u0651\u064e\u062f \u0628\u0644\u0627\u0644",
  "Persian with a joint that is kept open": "\u067e\u0631\u06cc\u0633\u0627 \u06af\u0644\u200c\u0646\u0648\u0634",
  Urdu: "\u0639\u0644\u06cc \u0679\u06a9\u0631",
  Hebrew: hebrew,
  "Hebrew with points": "\u05e9\u05b8\u05c1\u05dc\u05d5\u05b9\u05dd",
  Chinese: "\u5f20\u4f1f",
  "Chinese of Taiwan": "\u9673\u6021\u541b",
  Japanese: "\u5c71\u7530 \u3055\u304f\u3089",
  Korean: "\uae40\ubbfc\uc218",
  Georgian: "\u10d2\u10d8\u10dd\u10e0\u10d2\u10d8 \u10d1\u10d4\u10e0\u10d8\u10eb\u10d4",
  Armenian: "\u0531\u0580\u0561\u0574 \u054a\u0565\u057f\u0580\u0578\u057d\u0575\u0561\u0576",
  "Bengali, whose vowels stand before what they follow":
    "\u09b8\u09cc\u09ae\u09bf\u09a4\u09cd\u09b0 \u099a\u099f\u09cd\u099f\u09cb\u09aa\u09be\u09a7\u09cd\u09af\u09be\u09af\u09bc",
  Tamil: "\u0bae\u0bc1\u0bb0\u0bc1\u0b95\u0ba9\u0bcd \u0b95\u0bcc\u0bb0\u0bbf",
  Hindi: "\u092a\u094d\u0930\u093f\u092f\u093e \u0936\u0930\u094d\u092e\u093e",
  Thai: "\u0e19\u0e49\u0e33\u0e17\u0e34\u0e1e\u0e22\u0e4c \u0e1b\u0e34\u0e48\u0e19",
  "Vietnamese and Yoruba, whose dots below the font sets by themselves": "Nguy\u1ec5n Th\u1ecb \u1ecc\u1e63\u1eb9 \u1ecd\u1ee5",
  "marks that no letter has in one piece": "Gu\u0323\u0308nther \u1eb9\u0301",
  "signs of measure": "slack \u2264 30 mm, play \u2265 20 mm, gap \u2260 0, about \u2248 25",
  arrows: "up \u2191 to \u2192 and \u21d2 and \u2194",
  "ticks, warnings and boxes": "yes \u2713 no \u2717 \u26a0 \u2610 \u2611",
  emoji: "\u{1f6f5} \u{1f44d}\u{1f3fd} \u{1f600}",
};
const all = Object.values(names);

/** As the fonts say, without pdfkit. */
const lacking: string[] = [];
const measure: TextMeasure = {
  widthOf: (font, text, sizePt, isRightToLeft) => (shapeRun(font, text, isRightToLeft).width / 1000) * sizePt,
  covers: hasGlyph,
  lacks: (character) => lacking.push(character),
};
const style = { sizePt: 10, bold: false };
const lineOf = (text: string, bold = false): Line => {
  const [line, ...more] = layOut(text, 10_000, { ...style, bold }, measure);
  if (line === undefined || more.length > 0) throw new Error(`${text} takes ${more.length + 1} lines`);
  return line;
};
/** Runs from the left, as they are seen. */
const seen = (line: Line): string[] => [...line.runs].sort((a, b) => a.fromPt - b.fromPt).map(({ text }) => text);

const head = composeDefectReport(sample.defectReport()).head;
const reportOf = (...blocks: Block[]): ReportDocument => ({ head, blocks });
const paragraph = (text: string, bold = false): Block => ({ kind: "paragraph", text, bold });

/** Direction marks that pdftotext puts around what it turns round. */
const plain = (text: string): string => text.replace(/[\u202a-\u202e\u2066-\u2069]/g, "").replace(/\s+/g, " ");

const asFile = async <T>(bytes: Buffer, use: (path: string) => Promise<T>): Promise<T> => {
  const folder = await mkdtemp(join(tmpdir(), "ferrule-scripts-"));
  try {
    await writeFile(join(folder, "report.pdf"), bytes);
    return await use(join(folder, "report.pdf"));
  } finally {
    await rm(folder, { recursive: true });
  }
};
const outputOf = async (tool: string, ...options: string[]): Promise<string | null> => {
  try {
    return (await run(tool, options)).stdout;
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== "ENOENT" || process.env["CI"] !== undefined) throw error;
    console.info(`${tool} is not installed: this check was not made`);
    return null;
  }
};
/** The names of the embedded fonts, without what marks them as subsets. */
const fontsIn = (bytes: Buffer): string[] => [
  ...new Set((bytes.toString("latin1").match(/\/FontName \/[A-Z]{6}\+\S+/g) ?? []).map((one) => one.slice(one.indexOf("+") + 1))),
];

describe("a paper with names of every script", () => {
  let bytes: Buffer;
  let read: ReportRead;
  beforeAll(async () => {
    bytes = await bytesOf(
      reportOf(
        ...all.flatMap((name) => [paragraph(name), paragraph(name, true)]),
        ...all.map((name) => paragraph(`Machine of ${name}, 3 defects`)),
      ),
    );
    read = await readPdf(bytes);
  });

  it.each(Object.entries(names))("%s: can be found in the file as it was typed, alone, bold and in a sentence", async (_, name) => {
    const typed = name.normalize("NFC");
    // The first reader takes vowel points for letters of their own where the text is turned round.
    if (!/[\u0591-\u05c7\u064b-\u065f]/u.test(typed)) {
      expect(plain(read.text).split(typed).length - 1).toBeGreaterThanOrEqual(3);
      expect(read.spoken).toContain(typed);
    }
    const text = await asFile(bytes, (path) => outputOf("pdftotext", "-enc", "UTF-8", path, "-"));
    if (text === null) return;
    const found = plain(text);
    expect(found.split(typed).length - 1).toBeGreaterThanOrEqual(3);
    expect(found.replaceAll(`${typed} ,`, `${typed},`)).toContain(`Machine of ${typed}, 3 defects`);
  });

  it("is a sound file with every font embedded as a subset", async () => {
    await asFile(bytes, async (path) => {
      const checked = await outputOf("qpdf", "--check", path);
      if (checked !== null) expect(checked).toContain("No syntax or stream encoding errors found");
      const fonts = await outputOf("pdffonts", path);
      const rows = fonts?.trim().split("\n").slice(2) ?? [];
      for (const row of rows) expect(row).toMatch(/CID TrueType\s+Identity-H\s+yes yes yes/);
    });
  });

  it("says nothing of signs that could not be drawn", () => {
    expect(read.text).not.toContain("\ufffd");
    expect(read.text).not.toContain("no font here has");
  });
});

it.each(Object.entries(names))(
  "%s: every character has a glyph, by a reader of fonts that is not the one that lays them out",
  async (_, name) => {
    const readerName = "fontkit";
    const reader = (await import(readerName)) as { create(bytes: Uint8Array): { hasGlyphForCodePoint(codePoint: number): boolean } };
    for (const bold of [false, true]) {
      const { runs } = lineOf(name, bold);
      expect(runs.map(({ text }) => text).join("")).toBe(name.normalize("NFC"));
      for (const { font, text, isRightToLeft } of runs) {
        const letters = reader.create(openFont(font).bytes);
        const drawn = Array.from(text).filter((character) => !/\p{Join_Control}/u.test(character));
        for (const character of drawn)
          expect([character, letters.hasGlyphForCodePoint(character.codePointAt(0) ?? 0)]).toEqual([character, true]);
        for (const { glyphId } of shapeRun(font, text, isRightToLeft).glyphs) expect(glyphId).toBeGreaterThan(0);
      }
    }
    expect(lacking).toEqual([]);
  },
);

it("a paper has the fonts that its letters need and no others", async () => {
  expect(fontsIn(await bytesOf(reportOf(paragraph("The front brake cable is frayed"))))).toEqual(["NotoSans-Bold", "NotoSans-Regular"]);
  const inChinese = fontsIn(await bytesOf(reportOf(paragraph(names.Chinese))));
  expect(inChinese.filter((font) => !/^NotoSans(SC.*|-Bold|-Regular)$/.test(font))).toEqual([]);
  expect(inChinese.length).toBeGreaterThan(2);
});

it("bold letters of a font that holds all weights are other outlines than its regular ones", () => {
  const [plainKey, boldKey] = [false, true].map((bold) => lineOf(names.Chinese, bold).runs[0]?.font ?? "");
  expect(boldKey).not.toBe(plainKey);
  expect(Buffer.from(openFont(boldKey ?? "").bytes).equals(Buffer.from(openFont(plainKey ?? "").bytes))).toBe(false);
});

describe("directions", () => {
  it("a name that runs to the left turns nothing round in an English sentence, whatever follows it", () => {
    for (const name of [hebrew, isolated(hebrew)]) {
      expect(seen(lineOf(`Machine of ${name}, 3 defects`))).toEqual(["Machine of ", hebrew, ", 3 defects"]);
    }
    expect(seen(lineOf(`${isolated(hebrew)} (R001)`))).toEqual([hebrew, " (R001)"]);
  });

  it("a sentence put into a sentence keeps its order as well", () => {
    const inner = isolated(`Cable of ${hebrew}, 3 mm`);
    expect(seen(lineOf(`As at 5 Jul. ${inner}, seen`)).join("")).toBe(`As at 5 Jul. Cable of ${hebrew}, 3 mm, seen`);
  });

  it("a note in Hebrew runs to the left, with its numbers and a mark in it, and ends at the left", () => {
    const line = lineOf(`\u05d4\u05d1\u05dc\u05dd \u05e0\u05e9\u05d7\u05e7 3 \u05d1\u05d0\u05d5\u05e4\u05e0\u05d5\u05e2 KX21ABC.`);
    const places = new Map(line.runs.map(({ text, fromPt }) => [text.trim(), fromPt]));
    const [first, number, mark, stop] = ["\u05d4\u05d1\u05dc\u05dd \u05e0\u05e9\u05d7\u05e7", "3", "KX21ABC", "."].map(
      (part) => places.get(part) ?? -1,
    );
    expect(first).toBeGreaterThan(number ?? 0);
    expect(number).toBeGreaterThan(mark ?? 0);
    expect(mark).toBeGreaterThan(stop ?? 0);
    expect(stop).toBe(0);
  });

  it("a mark of direction without its other half turns nothing", () => {
    for (const odd of [
      `\u2068${hebrew}, 3 found by hand`,
      `\u2069${hebrew}, 3 found by hand`,
      `\u202e${hebrew}, 3 found by hand`,
      `\u2067${hebrew}, 3 found by hand`,
    ])
      expect(seen(lineOf(odd))).toEqual([hebrew, ", 3 found by hand"]);
  });

  it("a report by somebody with such a name says its sentences in their order", async () => {
    const by = { name: hebrew, staffNumber: "R021" };
    const sightings = [{ ...sample.defect().sightings[0], by }] as const;
    const { text } = await readReport(composeDefectReport(sample.defectReport({ defect: sample.defect({ sightings }) })));
    expect(text).toContain(`${hebrew} (R021)`);
  });
});

describe("lines", () => {
  const chinese = "\u524d\u5239\u8f66\u7ebf\u78e8\u635f\u3002\u9700\u8981\u7acb\u5373\u66f4\u6362\uff0c\u4e0d\u80fd\u9a91\u3002".repeat(4);
  const japanese =
    "\u30d6\u30ec\u30fc\u30ad\u306e\u30ef\u30a4\u30e4\u30fc\u304c\u3001\u300c\u307b\u3064\u308c\u3066\u300d\u3044\u307e\u3059\u3002".repeat(
      4,
    );

  it.each([
    ["Chinese", chinese],
    ["Japanese", japanese],
    ["Thai", names.Thai.replace(" ", "").repeat(8)],
    ["Hebrew", `${hebrew} `.repeat(12).trim()],
    ["Bengali", `${names["Bengali, whose vowels stand before what they follow"]} `.repeat(6).trim()],
  ])("%s breaks into lines that fit, and none of it is lost", (_, text) => {
    const lines = layOut(text, 90, style, measure);
    expect(lines.length).toBeGreaterThan(2);
    for (const line of lines) {
      expect(line.widthPt).toBeLessThanOrEqual(90);
      const shaped = line.runs.reduce(
        (sum, { font, text: letters, isRightToLeft }) => sum + shapeRun(font, letters, isRightToLeft).width,
        0,
      );
      expect(shaped / 100).toBeCloseTo(line.widthPt, 5);
    }
    const said = lines.map(({ runs }) => runs.map((one) => one.text).join("")).join("");
    expect(said.replaceAll(" ", "")).toBe(text.replaceAll(" ", ""));
  });

  it("no line begins with what closes, or ends with what opens", () => {
    for (const text of [chinese, japanese]) {
      for (let width = 40; width < 130; width += 7) {
        for (const { text: said } of layOut(text, width, style, measure))
          expect(said).not.toMatch(/^[\u3001\u3002\uff0c\u300d\u30fc]|\u300c$/u);
      }
    }
  });

  it("what is too long for one line ends in an ellipsis and fits with it, in either direction", () => {
    const toTheLeft = `${hebrew} `.repeat(9);
    for (const text of [toTheLeft, chinese, `Machine of ${toTheLeft}`, names.Tamil.repeat(5), "x".repeat(90)]) {
      for (const width of [14, 40, 97]) {
        const line = layOutOne(text, width, style, measure);
        expect(line?.widthPt ?? 0).toBeLessThanOrEqual(width);
        const said = line?.runs.map((one) => one.text).join("") ?? "";
        expect(said.endsWith("\u2026")).toBe(true);
        expect(text.startsWith(said.slice(0, -1).trimEnd())).toBe(true);
      }
    }
    expect(layOutOne(hebrew, 400, style, measure)?.runs.map((one) => one.text)).toEqual([hebrew]);
  });
});

it("Han characters take the forms of what is written beside them, and one country's where nothing tells", () => {
  const fontOf = (text: string): string | undefined =>
    lineOf(text)
      .runs.find((one) => one.text.includes("\u76f4"))
      ?.font.split("/")[0];
  expect(fontOf("\u76f4")).toBe("sc");
  expect(fontOf("\u76f4\u3055\u304f\u3089")).toBe("jp");
  expect(fontOf("\u76f4 \uae40")).toBe("kr");
  expect(fontOf("\u76f4 \u3114")).toBe("tc");
});
