// Papers taken together: what counts on which day, with endings, whatever the order in which things were recorded.
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { failedTests } from "../../shared/catalogue/rule-sets.ts";
import { sources } from "../../shared/catalogue/sources.ts";
import { ruleSetSchema } from "../../shared/contracts/machine-model.ts";
import { addDays } from "../../shared/rules/calendar.ts";
import { type HeldPapers, newMachineState } from "../../shared/rules/machine-state.ts";
import {
  endingRefused,
  endsAfter,
  heldOf,
  heldOn,
  isUnusuallyLong,
  type KnownPaper,
  lastDayOf,
  type PaperEnding,
  papersAgainst,
  whatFollows,
  withHeld,
  withPaper,
} from "../../shared/rules/papers.ts";

const insurance = (validFrom: string, validTo: string, ending: PaperEnding | null = null): KnownPaper => ({
  ...{ kind: "insurance", validFrom, validTo, ending },
});
const mot = (validFrom: string, validTo: string, ending: PaperEnding | null = null): KnownPaper => ({
  ...insurance(validFrom, validTo, ending),
  kind: "roadworthiness-test",
});
const ended = (day: string, reason: PaperEnding["reason"] = "cancelled", grounds = false): PaperEnding => ({ day, reason, grounds });
const against = (papers: readonly KnownPaper[], day: string): string[] => {
  const [first] = papers;
  const held = first ? heldOf(first.kind, papers) : null;
  return papersAgainst(held === null ? [] : [held], day).map(({ code, day: since }) => `${code} ${since}`);
};

describe("an ending", () => {
  test("counts from its day on, and leaves the days before as they were", () => {
    const papers = [insurance("2026-01-01", "2026-12-31", ended("2026-12-01"))];
    expect(against(papers, "2026-11-30")).toEqual([]);
    expect(against(papers, "2026-12-01")).toEqual(["papers-expired 2026-11-30"]);
  });

  test("of a mistake takes the paper away from the start, and what it hid comes to light", () => {
    const real = insurance("2025-11-29", "2026-11-28");
    const mistyped = insurance("2026-11-29", "2036-11-28");
    expect(against([real, mistyped], "2026-11-29")).toEqual([]);
    expect(against([real, { ...mistyped, ending: ended("2026-11-29", "mistaken") }], "2026-11-29")).toEqual(["papers-expired 2026-11-28"]);
    // Alone it is as if no paper had ever been recorded: no obstacle, as before it.
    expect(heldOf("insurance", [{ ...mistyped, ending: ended("2026-11-29", "mistaken") }])).toBeNull();
  });

  test("on the paper's first day leaves the machine without one, and says so", () => {
    const atOnce = insurance("2026-11-20", "2027-11-19", ended("2026-11-20"));
    expect(against([atOnce], "2026-11-20")).toEqual(["papers-expired 2026-11-19"]);
    expect(against([atOnce, insurance("2026-12-01", "2027-11-30")], "2026-11-25")).toEqual(["papers-expired 2026-11-19"]);
    expect(against([atOnce, insurance("2026-11-20", "2026-11-30")], "2026-11-25")).toEqual([]);
    // Another one ran out before: that is the day which is told.
    expect(against([insurance("2026-01-01", "2026-11-10"), atOnce], "2026-11-25")).toEqual(["papers-expired 2026-11-10"]);
  });

  test("of one paper leaves another that covers the same day alone", () => {
    const papers = [insurance("2026-01-01", "2026-12-31", ended("2026-06-01", "replaced")), insurance("2026-06-01", "2027-05-31")];
    for (const day of ["2026-05-31", "2026-06-01", "2027-05-31"]) expect(against(papers, day), day).toEqual([]);
  });
});

describe("a failed test", () => {
  const failed = mot("2026-01-01", "2026-12-31", ended("2026-11-20", "failed", true));

  test("grounds at once where the rule set says so, and until the first day of a test that began then or later", () => {
    expect(against([failed], "2026-11-19")).toEqual([]);
    expect(against([failed], "2026-11-20")).toEqual(["test-failed 2026-11-20"]);
    const passed = [failed, mot("2026-11-23", "2027-11-22")];
    expect(against(passed, "2026-11-22")).toEqual(["test-failed 2026-11-20"]);
    expect(against(passed, "2026-11-23")).toEqual([]);
  });

  test("is not undone by a test from before it, though that one still runs", () => {
    expect(against([failed, mot("2026-06-01", "2027-05-31")], "2026-11-25")).toEqual(["test-failed 2026-11-20"]);
  });

  test("comes back when the test that ended it turns out to have been entered by mistake", () => {
    expect(against([failed, mot("2026-11-23", "2027-11-22", ended("2026-11-24", "mistaken"))], "2026-11-25")[0]).toBe(
      "test-failed 2026-11-20",
    );
  });

  test("ends its paper and no more where the rule set says nothing", () => {
    const silent = mot("2026-01-01", "2026-12-31", ended("2026-11-20", "failed", false));
    expect(against([silent], "2026-11-20")).toEqual(["papers-expired 2026-11-19"]);
  });

  test("says for every rule set whether it grounds, with a source and how far that may be leaned on", () => {
    expect(Object.keys(failedTests).sort()).toEqual([...ruleSetSchema.options].sort());
    // Directive 2014/45/EU Art. 9, from memory; no federal rule of the USA is known to us.
    expect(Object.entries(failedTests).map(([id, { grounds, source }]) => [id, grounds, sources[source].basis])).toEqual([
      ["gb", true, "from-memory"],
      ["eu", true, "from-memory"],
      ["us-model", false, "from-memory"],
    ]);
  });
});

const day = fc.integer({ min: 0, max: 40 }).map((days) => addDays("2026-11-01", days));
const anyPaper = fc
  .record({
    from: day,
    days: fc.integer({ min: 0, max: 25 }),
    endAfter: fc.integer({ min: 0, max: 25 }),
    how: fc.integer({ min: 0, max: 5 }),
  })
  .map(({ from, days, endAfter, how }): KnownPaper => {
    const validTo = addDays(from, days);
    const reason = (["cancelled", "mistaken", "failed"] as const)[how];
    const ending = reason === undefined ? null : ended(addDays(from, Math.min(endAfter, days)), reason, reason === "failed");
    return mot(from, validTo, ending);
  });

test("whatever papers and endings there are, a day is covered exactly where one of them counts on it; the order does not matter", () => {
  fc.assert(
    fc.property(fc.array(anyPaper, { minLength: 1, maxLength: 6 }), day, fc.nat(), (papers, asked, turn) => {
      const held = heldOf("roadworthiness-test", papers);
      const lasts = papers.flatMap((paper) => {
        const last = lastDayOf(paper);
        return last === null ? [] : [{ first: paper.validFrom, last }];
      });
      const covered = lasts.some(({ first, last }) => first <= asked && asked <= last);
      const hadOne = lasts.some(({ last }) => last < asked);
      const told = papersAgainst(held === null ? [] : [held], asked);
      const failed = told.some(({ code }) => code === "test-failed");
      // Of a failed test it goes without saying that its paper is over.
      expect(told.some(({ code }) => code === "papers-expired")).toBe(!failed && hadOne && !covered);

      // Nobody can record the failure of a day to come.
      const since =
        papers
          .flatMap(({ ending }) => (ending?.grounds ? [ending.day] : []))
          .sort()
          .at(-1) ?? "";
      if (since <= asked) {
        const passed = lasts.some(({ first, last }) => first <= last && first >= since && first <= asked);
        expect(failed).toBe(since !== "" && !passed);
      }

      const turned = [...papers.slice(turn % papers.length), ...papers.slice(0, turn % papers.length)];
      expect(heldOf("roadworthiness-test", turned)).toEqual(held);
    }),
    { numRuns: 3000 },
  );
});

test("a paper added to what is held gives the same as all of them taken together: the state and the records agree", () => {
  fc.assert(
    fc.property(fc.array(anyPaper, { minLength: 0, maxLength: 5 }), anyPaper, (papers, added) => {
      const one = { ...added, ending: null };
      const start = withHeld(newMachineState(0, "2026-11-01T00:00:00.000Z"), one.kind, heldOf(one.kind, papers));
      const together = heldOf(one.kind, [...papers, one]) as HeldPapers;
      const [held] = withPaper(start, one).papers;
      for (let at = "2026-10-25"; at < "2027-01-15"; at = addDays(at, 1))
        expect(papersAgainst(held ? [held] : [], at).map(({ code }) => code)).toEqual(
          papersAgainst([together], at).map(({ code }) => code),
        );
    }),
    { numRuns: 1000 },
  );
});

test("what would follow is told before it is done: from which day on, whether it is so anyhow, and whether a failed test grounds", () => {
  const today = "2026-11-29";
  const ran = insurance("2025-11-29", "2026-11-28");
  const runs = insurance("2026-01-01", "2026-12-31");
  const follows = (papers: readonly KnownPaper[], asked: KnownPaper, ending: PaperEnding) => whatFollows(papers, asked, ending, today);
  expect(follows([runs], runs, ended(today))).toEqual({ from: today, already: false, grounded: false });
  expect(follows([runs], runs, ended("2026-12-10"))).toEqual({ from: "2026-12-10", already: false, grounded: false });
  expect(follows([runs], runs, ended(today, "mistaken"))).toEqual({ from: null, already: false, grounded: false });
  expect(follows([ran, runs], runs, ended(today, "mistaken"))).toEqual({ from: today, already: false, grounded: false });
  // Another one covers the days: nothing changes before that one runs out.
  const next = insurance("2026-06-01", "2027-05-31");
  expect(follows([runs, next], runs, ended(today, "replaced"))).toEqual({ from: "2027-06-01", already: true, grounded: false });
  expect(follows([ran], ran, ended("2026-11-01"))).toEqual({ from: today, already: true, grounded: false });
  const test = mot("2026-01-01", "2026-12-31");
  expect(follows([test], test, ended(today, "failed", true))).toEqual({ from: today, already: false, grounded: true });
});

test("how the papers of a kind stand on a day, and when they end: a break to come is told as one", () => {
  const held = heldOf("insurance", [
    insurance("2026-01-01", "2026-12-31", ended("2026-12-10")),
    insurance("2026-12-20", "2027-12-19"),
  ]) as HeldPapers;
  expect(heldOn(held, "2025-12-31")).toEqual({ how: "later", day: "2026-01-01" });
  expect(heldOn(held, "2026-11-29")).toEqual({ how: "counts", day: "2026-12-09" });
  expect(heldOn(held, "2026-12-15")).toEqual({ how: "ended", day: "2026-12-09" });
  expect(heldOn(held, "2026-12-20")).toEqual({ how: "counts", day: "2027-12-19" });
  expect(heldOn(held, "2028-01-01")).toEqual({ how: "ended", day: "2027-12-19" });
  expect(endsAfter(held, "2026-11-29")).toEqual(["2026-12-09", "2027-12-19"]);
  expect(endsAfter(held, "2026-12-20")).toEqual(["2027-12-19"]);
  const failed = heldOf("roadworthiness-test", [mot("2026-01-01", "2026-12-31", ended("2026-11-20", "failed", true))]) as HeldPapers;
  expect(heldOn(failed, "2026-11-29")).toEqual({ how: "failed", day: "2026-11-20" });
});

test("which endings are refused", () => {
  const paper = insurance("2026-01-01", "2026-12-31");
  const today = "2026-11-29";
  const asked = (on: string, reason: PaperEnding["reason"] = "cancelled") => ({ day: on, reason });
  expect(endingRefused(paper, asked("2025-12-31"), today)).toBe("before-it-began");
  expect(endingRefused(paper, asked("2026-01-01"), today)).toBeNull();
  expect(endingRefused(paper, asked("2026-12-31"), today)).toBeNull();
  expect(endingRefused(paper, asked("2027-01-01"), today)).toBe("after-it-ran-out");
  // A mistake may be noticed before the paper's first day, and long after its last.
  for (const on of ["2025-06-01", "2028-01-01"]) expect(endingRefused(paper, asked(on, "mistaken"), today), on).toBeNull();
  expect(endingRefused(paper, asked("2026-11-29", "failed"), today)).toBe("only-a-test-fails");
  expect(endingRefused({ ...paper, kind: "roadworthiness-test" }, asked("2026-11-30", "failed"), today)).toBe("not-failed-yet");
  expect(endingRefused({ ...paper, kind: "roadworthiness-test" }, asked("2026-11-29", "failed"), today)).toBeNull();
  expect(endingRefused({ ...paper, ending: ended("2026-06-01") }, asked("2026-07-01"), today)).toBe("ended");
});

// Common practice, no source: an insurance, tax or test for more than five years is a mistyped year.
test("a paper that is said to count for more than five years is asked about; a registration is not", () => {
  const long = { kind: "insurance", validFrom: "2026-11-29" };
  expect(isUnusuallyLong({ ...long, validTo: "2031-11-29" })).toBe(false);
  expect(isUnusuallyLong({ ...long, validTo: "2031-11-30" })).toBe(true);
  expect(isUnusuallyLong({ ...long, validTo: "2036-11-28" })).toBe(true);
  expect(isUnusuallyLong({ ...long, kind: "registration", validTo: "2099-12-31" })).toBe(false);
});
