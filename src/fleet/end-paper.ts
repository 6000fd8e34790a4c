// A paper ends before its last day, or was entered by mistake. What was recorded stays; the machine's papers are taken together anew.
import { failedTests } from "../../shared/catalogue/rule-sets.ts";
import type { PaperEnded, PaperEndingBody } from "../../shared/contracts/papers.ts";
import type { Said } from "../../shared/records/index.ts";
import { localDay } from "../../shared/rules/calendar.ts";
import { groundedNow } from "../../shared/rules/findings.ts";
import { type EndingRefusal, endingRefused, heldOf, newlyAgainst, type PaperEnding, withHeld } from "../../shared/rules/papers.ts";
import { standingAt } from "../../shared/rules/standing.ts";
import { word } from "../../shared/words/index.ts";
import { sayReason } from "../../shared/words/say-reason.ts";
import { type AppContext, actOnMachine, depotRulesOf, type KnownEntry, type MachineFacts } from "../acts/index.ts";
import { type Actor, type Database, type ProblemError, platformErrors } from "../platform/index.ts";
import { wordsIfRead } from "../readiness/index.ts";
import { fleetErrors } from "./errors.ts";
import { findPaper, type PaperRow, papersOfKind } from "./paper-store.ts";
import { paperSummary } from "./paper-summary.ts";
import { paperEndingRows } from "./row-store.ts";
import { mustBeOfTheFleet } from "./rules.ts";

/** Throws `not-found`, `other-depot`, `paper-ended`, `machine-disposed`, `ending-outside-paper`, `not-a-failed-test`, and what actOnMachine throws. */
export async function endPaper(
  context: AppContext,
  actor: Actor,
  paperId: string,
  body: PaperEndingBody,
): Promise<{ receipt: PaperEnded; repeated: boolean }> {
  const found = await findPaper(context.db, paperId);
  if (!found) throw platformErrors.problem("not-found", "There is no paper with this id.");
  const { machineId, kind } = found;
  const submitted = { ...body, paperId };
  const submission = body.id === undefined ? {} : { submission: { id: body.id, kinds: ["paper-ended" as const], body: submitted } };
  const id = body.id ?? context.newId();
  const { entry, repeated } = await actOnMachine(context, { machineId, actor, ...submission }, async (facts, recordedAt) => {
    mustBeOfTheFleet(facts);
    const papers = await papersOfKind(context.db, machineId, kind);
    const asked = papers.find((paper) => paper.id === paperId);
    if (!asked) throw platformErrors.problem("not-found", "There is no paper with this id.");
    const decided = decide(facts, papers, asked, body, recordedAt);
    const { ending: _, ...paper } = asked;
    const data: Said<"paper-ended"> = { paper, submitted, outcome: decided.outcome, ...(decided.grounded ? { grounded: true } : {}) };
    const { day, reason } = body;
    const row = { id, paperId, machineId, day, reason, grounds: decided.outcome.grounds, staffId: actor.staffId, recordedAt };
    return {
      entries: [{ id, kind: "paper-ended", performedAt: recordedAt, data }],
      state: decided.state,
      rows: [paperEndingRows([row])],
    };
  });
  return { receipt: await endedReceipt(context.db, entry, actor), repeated };
}

function decide(facts: MachineFacts, papers: readonly PaperRow[], asked: PaperRow, { day, reason }: PaperEndingBody, recordedAt: Date) {
  const depotRules = depotRulesOf(facts);
  const today = localDay(recordedAt, depotRules.timeZone);
  const refused = endingRefused(asked, { day, reason }, today);
  if (refused !== null) throw refusal(refused, asked);
  const ending: PaperEnding = { day, reason, grounds: reason === "failed" && failedTests[facts.depot.ruleSet].grounds };
  const held = heldOf(
    asked.kind,
    papers.map((paper) => (paper.id === asked.id ? { ...paper, ending } : paper)),
  );
  const after = withHeld(facts.state, asked.kind, held);
  const grounded = newlyAgainst(facts.state.papers, after.papers, today);
  const state = grounded ? groundedNow(after, recordedAt) : after;
  return { state, grounded, outcome: { grounds: ending.grounds, held, ...standingAt(state, recordedAt, depotRules) } };
}

function refusal(why: EndingRefusal, { validFrom, validTo, ending }: PaperRow): ProblemError {
  switch (why) {
    case "ended":
      return fleetErrors.problem(
        "paper-ended",
        `It was ended from ${ending?.day} on (${word(`paper-ending.${ending?.reason ?? "mistaken"}`)}). Nothing was stored. If a paper like it counts, record that one.`,
      );
    case "before-it-began":
      return fleetErrors.problem(
        "ending-outside-paper",
        `The paper begins on ${validFrom}: it cannot end before that. If it never was right, end it as mistaken.`,
        { issues: [{ pointer: "/day", message: `is before ${validFrom}` }] },
      );
    case "after-it-ran-out":
      return fleetErrors.problem(
        "ending-outside-paper",
        `The paper runs out after ${validTo} by itself, so it cannot be ended later than that.`,
        {
          issues: [{ pointer: "/day", message: `is after ${validTo}` }],
        },
      );
    case "only-a-test-fails":
      return fleetErrors.problem(
        "not-a-failed-test",
        "Only a roadworthiness test is failed. This paper was cancelled, replaced or mistaken.",
        {
          issues: [{ pointer: "/reason", message: "is of a roadworthiness test only" }],
        },
      );
    case "not-failed-yet":
      return fleetErrors.problem("not-a-failed-test", "That day is still to come: a test is failed on the day on which it was made.", {
        issues: [{ pointer: "/day", message: "is still to come" }],
      });
  }
}

/** The answer, made from the entry alone: the same the first time and every time it is sent again. */
async function endedReceipt(db: Database, { id, data, staffId, recordedAt }: KnownEntry<"paper-ended">, actor: Actor): Promise<PaperEnded> {
  const { paper, submitted, outcome, grounded } = data;
  const inWords = await wordsIfRead(db, outcome.reasons);
  const ending = {
    ...{ id, day: submitted.day, reason: submitted.reason, note: submitted.note ?? null, grounds: outcome.grounds },
    ...{ staffId: staffId ?? "", staffNumber: actor.staffNumber, staffName: actor.name, recordedAt: recordedAt.toISOString() },
  };
  return {
    ...ending,
    paperId: paper.id,
    machineId: paper.machineId,
    paper: paperSummary({ ...paper, ending }, actor),
    clearancesEnded: grounded === true,
    standing: outcome.standing,
    reasons: inWords(outcome.reasons).map((reason) => sayReason(reason)),
    caution: word("caution.line"),
  };
}
