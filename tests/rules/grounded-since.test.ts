// Since when a defect and its machine stand still: pure, over facts written down here.
import { describe, expect, test } from "vitest";
import { groundedSince, groundsSince, type Weight } from "../../shared/rules/grounded-since.ts";
import type { Reason } from "../../shared/rules/standing.ts";

const at = (text: string): Date => new Date(text);
const now = at("2026-07-20T12:00:00Z");

describe("since when a defect grounds", () => {
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

describe("since when a machine stands still", () => {
  const weights: Readonly<Record<string, readonly Weight[]>> = {
    first: [{ at: at("2026-07-13T05:00:00Z"), category: "major" }],
    second: [{ at: at("2026-07-15T05:00:00Z"), category: "dangerous" }],
    overdue: [{ at: at("2026-07-10T05:00:00Z"), category: "minor" }],
  };
  const since = (reasons: readonly Reason[], state: Partial<Parameters<typeof groundedSince>[0]> = {}) =>
    groundedSince({ withdrawn: null, groundedAt: null, ...state }, reasons, (id) => weights[id] ?? [], {
      at: now,
      timeZone: "Europe/London",
    });
  const grounding = (defectId: string): Reason => ({ code: "grounding-defect", defectId });

  test("since the first of the defects that are still open, whatever grounded it last", () => {
    expect(since([grounding("second"), grounding("first")], { groundedAt: "2026-07-18T09:00:00.000Z" })).toEqual(
      at("2026-07-13T05:00:00Z"),
    );
  });
  test("since the end of a minor defect's last day where only time grounds it, and not since an act that is put right", () => {
    const overdue: Reason = { code: "minor-defect-overdue", defectId: "overdue", day: "2026-07-17" };
    expect(since([overdue], { groundedAt: "2026-07-11T09:00:00.000Z" })).toEqual(at("2026-07-17T23:00:00Z"));
    expect(since([overdue, { code: "minor-defect", defectId: "first" }])).toEqual(at("2026-07-17T23:00:00Z"));
  });
  test("since a failed test was told where that was on its own day, else since the beginning of that day", () => {
    const failed: Reason = { code: "test-failed", day: "2026-07-16" };
    expect(since([failed], { groundedAt: "2026-07-16T09:00:00.000Z" })).toEqual(at("2026-07-16T09:00:00Z"));
    expect(since([failed], { groundedAt: "2026-07-18T09:00:00.000Z" })).toEqual(at("2026-07-15T23:00:00Z"));
  });
  test("since it was told that it fell, until the inspection after that", () => {
    const falls = [{ recordId: "fall", happenedAt: "2026-07-16T05:30:00.000Z", recordedAt: "2026-07-16T09:00:00.000Z" }];
    const fell: Reason = { code: "fall-inspection", fallId: "fall", day: "2026-07-16" };
    expect(since([fell], { falls, groundedAt: "2026-07-18T09:00:00.000Z" })).toEqual(at("2026-07-16T09:00:00Z"));
  });
  test("since it left for another workshop, and since its sale whatever else was wrong with it", () => {
    const away = { recordId: "work", workshop: "Harbour Street", since: "2026-07-16T05:30:00.000Z", expectedDay: "2026-07-17" };
    const late: Reason = { code: "away-late", workId: "work", day: "2026-07-16", expectedDay: "2026-07-17" };
    expect(since([late], { away, groundedAt: "2026-07-18T09:00:00.000Z" })).toEqual(at(away.since));
    expect(since([late, grounding("first")], { away })).toEqual(at("2026-07-13T05:00:00Z"));
    const disposed = { since: "2026-07-19T09:00:00.000Z", how: "sold" } as const;
    expect(since([{ code: "sold" }, grounding("first")], { disposed, away })).toEqual(at(disposed.since));
  });
  test("since its withdrawal, whatever was wrong with it before", () => {
    const withdrawn = { since: "2026-07-19T09:00:00.000Z", reason: "Sold" };
    expect(since([{ code: "withdrawn" }, grounding("first")], { withdrawn })).toEqual(at(withdrawn.since));
  });
  test("since what its state says where a defect's weights are forgotten or its state cannot be read", () => {
    const groundedAt = "2026-07-18T09:00:00.000Z";
    expect(since([grounding("forgotten")], { groundedAt })).toEqual(at(groundedAt));
    expect(since([{ code: "cannot-be-judged" }], { groundedAt })).toEqual(at(groundedAt));
  });
  test("since never where nothing grounds it", () => {
    expect(
      since([{ code: "unchecked" }, { code: "papers-expired", day: "2026-07-17" }], { groundedAt: "2026-07-18T09:00:00.000Z" }),
    ).toBeNull();
  });
});
