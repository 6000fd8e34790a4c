// What the file of a report is called: pure, over facts written down here.
import { expect, test } from "vitest";
import { asAtInName, fileNameOf } from "../../src/reports/rules.ts";

const at = (text: string): Date => new Date(text);

test("the file of a paper about a past moment is named by it, to the second", () => {
  expect(fileNameOf("pdf", "defects", "North", asAtInName(at("2026-07-13T04:31:07.123Z")))).toBe(
    "defects-North-as-at-2026-07-13T04-31-07Z.pdf",
  );
  expect(fileNameOf("pdf", "defects", "North", asAtInName(null))).toBe("defects-North.pdf");
});

test("a file name holds nothing but letters, digits and hyphens, whatever the mark and depot are called", () => {
  expect(fileNameOf("pdf", "defect-report", 'A"B\r\n../1', "\u0e01\u0e02")).toBe("defect-report-A-B-1.pdf");
});
