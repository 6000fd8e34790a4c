// Labels to scan: each code is read back from the drawn report by a decoder that shares nothing with the one that made it (ISO/IEC 18004).
import jsqr from "jsqr";
import { expect, test } from "vitest";
import { word } from "../../shared/words/index.ts";
import { composeLabels } from "../../src/reports/index.ts";
import { bytesOf, nodesOf, pageAsPicture, readPdf } from "./read-pdf.ts";
import { frame } from "./sample-facts.ts";

// A CommonJS module that names its function `default`.
type Decode = (pixels: Uint8ClampedArray, width: number, height: number, options: object) => { readonly data: string } | null;
const decode = (jsqr as unknown as { default?: Decode }).default ?? (jsqr as unknown as Decode);
const origin = "https://ferrule.example";
const labelsOf = (marks: readonly string[], modelName = "Model A", depotName = "Depot") =>
  composeLabels({ frame, origin, labels: marks.map((registrationMark) => ({ registrationMark, modelName, depotName })) });

/** What each code of a page says to a phone that is held over it: it stands to the left of its sentence, whose foot is its own. */
async function codesOn(bytes: Buffer, pageNumber: number): Promise<(string | null)[]> {
  const scale = 2;
  const { canvas, places } = await pageAsPicture(bytes, pageNumber, scale, word("report.labels.scan"));
  return places.map(([x, baseline]) => {
    const size = 118 * scale;
    const seen = canvas.getContext("2d").getImageData((x - 120) * scale, (baseline - 103) * scale, size, size);
    return decode(seen.data, size, size, { inversionAttempts: "dontInvert" })?.data ?? null;
  });
}

test("each label's code opens the walk round its own machine, whatever its mark holds", async () => {
  const marks = ["AB12 CDE", "51F-123.45", "\u0e01\u0e02 1234", "M", "A/B?C#D", "W".repeat(16)];
  const bytes = await bytesOf(labelsOf(marks));
  expect(new Set(await codesOn(bytes, 1))).toEqual(new Set(marks.map((mark) => `${origin}/#/walk/${encodeURIComponent(mark)}`)));
});

test("a label says its mark, model and depot, names its code for those who hear it, and a fleet's labels go over as many pages as it takes", async () => {
  const marks = Array.from({ length: 23 }, (_, index) => `LAB${index + 10}`);
  const bytes = await bytesOf(labelsOf(marks, "A model with quite a long name of its own, second series", "North yard"));
  const { text, spoken, trees, pages } = await readPdf(bytes);
  for (const mark of marks) {
    expect(text).toContain(mark);
    expect(spoken).toContain(mark);
  }
  expect(text.match(/North yard/g)?.length).toBeGreaterThanOrEqual(marks.length);
  expect(nodesOf(trees, "Figure").map(({ alt }) => alt)).toEqual(marks.map((mark) => `Code that opens the walk round ${mark}`));
  expect(pages.length).toBe(3);
  const all = (await Promise.all(pages.map((_, index) => codesOn(bytes, index + 1)))).flat();
  expect(new Set(all)).toEqual(new Set(marks.map((mark) => `${origin}/#/walk/${mark}`)));
});

test("where no machine is in service the paper says so and holds no label", async () => {
  const { text, trees } = await readPdf(await bytesOf(labelsOf([])));
  expect(text).toContain("No machine is in service here.");
  expect(nodesOf(trees, "Figure")).toEqual([]);
});
