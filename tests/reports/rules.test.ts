// Since when a machine is grounded, and what a file is called: pure, over facts written down here.
import { describe, expect, test } from "vitest";
import { asAtInName, fileNameOf, groundsSince } from "../../src/reports/rules.ts";

const at = (text: string): Date => new Date(text);

describe("since when a defect grounds", () => {
  const now = at("2026-07-20T12:00:00Z");
  const raised = { at: at("2026-07-13T05:00:00Z"), category: "minor" } as const;
  test("a major one from its arrival on, a re-graded one from its re-grading on", () => {
    expect(groundsSince([{ ...raised, category: "major" }], null, "UTC", now)).toEqual(raised.at);
    const regraded = { at: at("2026-07-15T05:00:00Z"), category: "major" } as const;
    expect(groundsSince([raised, regraded], null, "UTC", now)).toEqual(regraded.at);
    expect(groundsSince([raised, regraded, { ...regraded, at: now, category: "dangerous" }], null, "UTC", now)).toEqual(regraded.at);
  });
  test("a minor one from the end of its last day on, on the depot's clock", () => {
    expect(groundsSince([raised], "2026-07-19", "Europe/London", now)).toEqual(at("2026-07-19T23:00:00Z"));
    expect(groundsSince([raised], "2026-07-20", "Europe/London", now)).toBeNull();
  });
});

test("the file of a paper about a past moment is named by it, to the second", () => {
  expect(fileNameOf("pdf", "defects", "North", asAtInName(at("2026-07-13T04:31:07.123Z")))).toBe(
    "defects-North-as-at-2026-07-13T04-31-07Z.pdf",
  );
  expect(fileNameOf("pdf", "defects", "North", asAtInName(null))).toBe("defects-North.pdf");
});

test("a file name holds nothing but letters, digits and hyphens, whatever the mark and depot are called", () => {
  expect(fileNameOf("pdf", "defect-report", 'A"B\r\n../1', "\u0e01\u0e02")).toBe("defect-report-A-B-1.pdf");
});
