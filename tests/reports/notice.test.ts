// What a notice has to do where it hangs: be read from three metres, fit its sheet, and open the walk round its machine.
import { expect, test } from "vitest";
import type { ReportDocument } from "../../src/pdf/document.ts";
import { composeNotice } from "../../src/reports/index.ts";
import { inGerman } from "./in-german.ts";
import { bytesOf, nodesOf, readPdf, setOn } from "./read-pdf.ts";
import { fullNotice, longNotice, notice } from "./sample-notice.ts";

const mmPerPt = 25.4 / 72;
/** Height of a capital in the letters that reports are set in: OS/2.sCapHeight of Noto Sans, 714 of 1000. */
const capital = 0.714;

// A three-hundredth of the distance (common practice, no source).
const leastMm = 3_000 / 300;

const notices: [string, () => ReportDocument][] = [
  ["of one reason", () => composeNotice(notice())],
  ["of many reasons", () => composeNotice(fullNotice())],
  ["of long words", () => composeNotice(longNotice())],
  ["in German", () => composeNotice(inGerman(fullNotice()))],
];

test.each(notices)("%s: what not to do and the machine's mark are read from three metres, on one sheet of A5", async (_, compose) => {
  const document = compose();
  const [block] = document.blocks;
  if (block?.kind !== "notice") throw new Error("a notice is one block");
  const bytes = await bytesOf(document);
  const { pages, trees } = await readPdf(bytes);
  expect(pages).toHaveLength(1);
  expect(nodesOf(trees, "H1")).toHaveLength(1);
  const { widthPt, heightPt, runs } = await setOn(bytes, 1);
  // ISO 216
  expect([widthPt, heightPt].map((pt) => Math.round(pt * mmPerPt))).toEqual([148, 210]);
  const fromAfar = runs.filter(({ text, sizePt }) => text.trim() !== "" && sizePt * capital * mmPerPt >= leastMm);
  // A long mark is set in two lines.
  expect(
    fromAfar
      .map(({ text }) => text)
      .join("")
      .replaceAll(" ", ""),
  ).toBe(`${block.title}${block.mark}`.replaceAll(" ", ""));
});
