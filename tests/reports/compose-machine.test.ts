import { describe, expect, it } from "vitest";
import type { ReadingVerdict } from "../../shared/rules/verdict.ts";
import { composeMachineRoadworthiness } from "../../src/reports/index.ts";
import { blocksOf, headings, positionOf, tableUnder, textOf } from "./blocks.ts";
import * as sample from "./sample-facts.ts";
import * as roadworthy from "./sample-roadworthiness.ts";

describe("machine roadworthiness", () => {
  it("opens with the standing and every reason, then the open defects", () => {
    const facts = roadworthy.fullMachine();
    const paper = composeMachineRoadworthiness(facts);
    const [badge] = blocksOf(paper, "badge");
    expect(badge).toMatchObject({ title: "Grounded", tone: "bad", reasons: facts.standingNow.reasons });
    expect(positionOf(paper, (block) => block.kind === "badge")).toBeLessThan(positionOf(paper, (block) => block.kind === "table"));
    expect(headings(paper)[1]).toBe("Open defects");
    expect(tableUnder(paper, "Open defects").rows).toHaveLength(2);
  });

  it("never confuses a check that found nothing with a check that was not made", () => {
    const verdicts = ["nil", "missing", "defect", "missing", "missing", "nil", "ridden", "not-in-use", "outside"] as const;
    const paper = composeMachineRoadworthiness({
      ...roadworthy.emptyMachine(),
      days: roadworthy.days("2026-07-08", 9, (index) => verdicts[index] ?? "outside"),
    });
    const [strip] = blocksOf(paper, "days");
    expect(strip?.rows).toEqual([{ label: "Jul 2026", days: [...Array(7).fill(null), ...verdicts.slice(0, 7), "outside", null] }]);
    expect(strip?.legend.map((entry) => entry.text)).toEqual([
      "checked, nothing found (2)",
      "checked, defect found (1)",
      "ridden without a check (1)",
      "no check, use not ruled out (3)",
      "not in use (1)",
    ]);
    expect(strip?.alt).toContain("2 days with a check that found nothing");
    expect(strip?.alt).toContain("1 days ridden without a check");
    expect(strip?.alt).toContain("3 days without a check on which use is not ruled out");
    expect(textOf(paper)).toContain("No check, use not ruled out: 9 Jul; 11 Jul to 12 Jul");
    expect(textOf(paper)).toContain("Ridden without a check: 14 Jul");
  });

  it("keeps a place empty for each day of a month before the period", () => {
    const paper = composeMachineRoadworthiness({ ...roadworthy.emptyMachine(), days: roadworthy.days("2026-06-29", 4, () => "nil") });
    expect(blocksOf(paper, "days")[0]?.rows.map((row) => [row.label, row.days.length])).toEqual([
      ["Jun 2026", 30],
      ["Jul 2026", 2],
    ]);
  });

  it("shows each reading with its limit, its source and how far off it is", () => {
    const text = textOf(composeMachineRoadworthiness(roadworthy.fullMachine()));
    for (const said of ["52 mm", "20 mm to 30 mm", "outside by 22 mm", "corrected: found outside, left within"])
      expect(text).toContain(said);
  });

  it("an inspection that found nothing while defects were open found nothing new, and one that put a reading right says so", () => {
    const rows = tableUnder(composeMachineRoadworthiness(roadworthy.fullMachine()), "Weekly inspections").rows.map((row) => textOf(row[3]));
    expect(rows).toEqual([
      "defects: 1\nwarn",
      "nothing new; still open: 2\nwarn",
      "defects: 2\nwarn",
      "defects: 1\nwarn",
      "no defect; corrected: 1\ngood",
    ]);
    const full = roadworthy.fullMachine();
    const asRead = full.inspections.map((one) => ({ ...one, readings: one.readings.slice(0, 1) }));
    const nothing = tableUnder(composeMachineRoadworthiness({ ...full, inspections: asRead }), "Weekly inspections").rows.at(-1);
    expect(textOf(nothing?.[3])).toBe("nothing found\ngood");
  });

  it("a chain is told by its length, its percent and the longest that is allowed", () => {
    const judged = {
      ...({ outcome: "within", category: null, offBy: 0, compared: { value: 1.1417, unit: "percent" } } as const),
      limit: { kind: "common-practice", least: null, most: 2, unit: "percent", source: "chain-common-limit" } as const,
    };
    const verdict: ReadingVerdict = {
      ...{
        quantity: "chain-length",
        reading: { asFound: 256.9, unit: "mm" },
        asFound: judged,
        asLeft: null,
        result: "within",
        category: null,
      },
    };
    const taken = { at: new Date("2026-07-13T15:40:00Z"), by: sample.people.cyrillic, verdict };
    const facts = roadworthy.fullMachine();
    const [inspection] = facts.inspections;
    if (inspection === undefined) throw new Error("the sample has inspections");
    const text = textOf(composeMachineRoadworthiness({ ...facts, inspections: [{ ...inspection, readings: [taken] }] }));
    expect(text).toContain("256.9 mm (1.1 %)");
    // A new chain of 254 mm may be 2 % longer: 259.08 mm.
    expect(text).toContain("at most 2 % longer: at most 259.08 mm");
  });

  it("draws wear against every limit of the series", () => {
    const [line] = blocksOf(composeMachineRoadworthiness(roadworthy.fullMachine()), "line");
    expect(line?.points).toHaveLength(9);
    expect(line?.limits.map((limit) => limit.y)).toEqual([2, 1]);
    expect(line?.alt.replaceAll("\u00a0", " ")).toContain("1.62 mm at 18,000 km");
  });

  it("a new part breaks the line of wear and is marked where it was fitted, in the words of the chart too", () => {
    const facts = roadworthy.fullMachine();
    const [series] = facts.wear;
    if (series === undefined) throw new Error("the sample has wear");
    const points = [...series.points, { at: new Date("2026-07-13T12:00:00Z"), odometerKm: 18_432, value: 6, isRenewed: true as const }];
    const [line] = blocksOf(composeMachineRoadworthiness({ ...facts, wear: [{ ...series, points }] }), "line");
    expect(line?.points.map(({ mark }) => mark)).toEqual([...series.points.map(() => undefined), "renewed"]);
    expect(line?.alt.replaceAll("\u00a0", " ")).toContain("6 mm at 18,432 km");
    expect(line?.alt.replaceAll("\u00a0", " ")).toContain("renewed at 18,432 km");
  });

  it("marks a paper as expired from the day after its last", () => {
    const facts = roadworthy.fullMachine();
    const withTo = (validTo: string) =>
      textOf(
        tableUnder(
          composeMachineRoadworthiness({ ...facts, papers: [{ kindName: "Insurance", number: null, validFrom: "2026-01-01", validTo }] }),
          "Papers",
        ),
      );
    expect(withTo("2026-07-14")).not.toContain("expired");
    expect(withTo("2026-07-13")).toContain("expired");
  });

  it("tells how a paper was ended, until when it counted and who recorded it; one entered by mistake is told last and never as valid", () => {
    const rows = tableUnder(composeMachineRoadworthiness(roadworthy.fullMachine()), "Papers").rows;
    const lines = rows.map((row) => row.map((cell) => (typeof cell === "string" ? cell : `${cell.text} (${cell.note ?? ""})`)).join(" | "));
    const mistaken = lines.at(-1) ?? "";
    expect(mistaken).toContain("P-7782");
    expect(mistaken).toContain("Entered by mistake, counts for nothing");
    expect(mistaken).toMatch(/recorded by .+, 13 Jul 2026, 09:02/);
    expect(mistaken).not.toContain("2036,");
    expect(mistaken).not.toMatch(/Dec 2036/);
    const cancelled = lines.find((line) => line.includes("Road tax")) ?? "";
    expect(cancelled).toContain("Tue 30 Jun 2026: cancelled");
    expect(cancelled).toContain("would have lasted until Thu 31 Dec 2026");
  });

  it.each(["grounded", "unchecked", "inspection-overdue", "papers-expired", "withdrawn"] as const)(
    "the statement says that a signature does not clear a machine that is %s",
    (standing) => {
      const paper = composeMachineRoadworthiness({ ...roadworthy.fullMachine(), standingNow: { standing, reasons: ["a reason"] } });
      expect(blocksOf(paper, "signatures")[0]?.statement).toContain("this signature does not clear it");
    },
  );

  it("has nothing to warn of where the machine is fit", () => {
    const paper = composeMachineRoadworthiness({ ...roadworthy.fullMachine(), standingNow: { standing: "fit", reasons: [] } });
    expect(blocksOf(paper, "badge")[0]?.tone).toBe("good");
    expect(blocksOf(paper, "signatures")[0]?.statement).not.toContain("does not clear");
  });
});
