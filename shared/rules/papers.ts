// A machine's papers taken together: on which days each kind is covered, what ending a paper changes, and what stands against riding.
import { addDays } from "./calendar.ts";
import type { HeldPapers, MachineState, PaperGap } from "./machine-state.ts";

export const paperKinds = ["insurance", "registration", "road-tax", "roadworthiness-test"] as const;
export type PaperKind = (typeof paperKinds)[number];

export const endingReasons = ["cancelled", "replaced", "mistaken", "failed"] as const;
export type EndingReason = (typeof endingReasons)[number];

/** How a paper was ended. `day` is the first day on which it no longer counts; one entered by mistake never counted. */
export interface PaperEnding {
  readonly day: string;
  readonly reason: EndingReason;
  /** a failed test that grounds the machine, by the rule set of the depot at that time */
  readonly grounds: boolean;
}

/** A paper as it was recorded, with its ending where it has one. */
export interface KnownPaper {
  readonly kind: string;
  readonly validFrom: string;
  readonly validTo: string;
  readonly ending: PaperEnding | null;
}

type Span = Pick<HeldPapers, "kind" | "validFrom" | "validTo">;

/** The last day on which a paper counts: the day before its first where it was ended by then; null for one entered by mistake. */
export function lastDayOf({ validTo, ending }: Pick<KnownPaper, "validTo" | "ending">): string | null {
  if (ending === null) return validTo;
  return ending.reason === "mistaken" ? null : earlier(validTo, addDays(ending.day, -1));
}

/** The state with one more paper. A paper that begins after the others have ended leaves a gap, whichever is recorded first. */
export function withPaper(state: MachineState, paper: Span): MachineState {
  return withHeld(
    state,
    paper.kind,
    joined(
      state.papers.find((held) => held.kind === paper.kind),
      paper,
    ),
  );
}

/** The state in which these are the papers of the kind; null: there are none that ever counted. */
export const withHeld = (state: MachineState, kind: string, held: HeldPapers | null): MachineState => ({
  ...state,
  papers: [...state.papers.filter((other) => other.kind !== kind), ...(held === null ? [] : [held])],
});

/** The papers of one kind taken together, each as long as it counts. Null where none ever did. */
export function heldOf(kind: string, papers: readonly KnownPaper[]): HeldPapers | null {
  const spans = papers.flatMap((paper): (Span & { readonly validFrom: string })[] => {
    const validTo = paper.kind === kind ? lastDayOf(paper) : null;
    return validTo === null ? [] : [{ kind, validFrom: paper.validFrom, validTo }];
  });
  const counting = spans.filter(counts);
  // One that was ended on its first day never counted; still, the machine had a paper and no longer has it. Where another one counted
  // before, the end of that one already says so.
  const endedAtOnce = spans.filter((span) => !counts(span) && counting.every(({ validFrom }) => validFrom >= span.validFrom));
  const inOrder = [...counting, ...endedAtOnce].sort((one, other) => (one.validFrom < other.validFrom ? -1 : 1));
  const held = inOrder.reduce<HeldPapers | null>((known, span) => joined(known ?? undefined, span), null);
  const since = papers
    .flatMap(({ ending, ...paper }) => (paper.kind === kind && ending?.reason === "failed" && ending.grounds ? [ending.day] : []))
    .reduce<string | null>((last, day) => (last === null ? day : later(last, day)), null);
  if (held === null || since === null) return held;
  return counting.reduce<HeldPapers>(lifted, { ...held, failed: { since } });
}

const counts = ({ validFrom = "", validTo }: Span): boolean => validFrom <= validTo;

function joined(known: HeldPapers | undefined, { kind, validFrom = "", validTo }: Span): HeldPapers {
  if (!known) return { kind, validFrom, validTo };
  const from = known.validFrom ?? "";
  const between: PaperGap[] = [...(known.gaps ?? []), { after: known.validTo, before: validFrom }, { after: validTo, before: from }];
  const gaps = between
    .flatMap(({ after, before }) => [
      { after, before: earlier(before, validFrom) },
      { after: later(after, validTo), before },
    ])
    .filter(({ after, before }) => after < before && addDays(after, 1) < before);
  const held = { kind, validFrom: earlier(from, validFrom), validTo: later(known.validTo, validTo) };
  const { failed } = known;
  return lifted(
    { ...held, ...(gaps.length > 0 ? { gaps } : {}), ...(failed === undefined ? {} : { failed }) },
    { kind, validFrom, validTo },
  );
}

/** A test paper that begins on the day of the failed test, or later, lifts the grounding from its own first day on. */
function lifted(held: HeldPapers, span: Span): HeldPapers {
  const { failed } = held;
  const { validFrom = "" } = span;
  if (failed === undefined || !counts(span) || validFrom < failed.since) return held;
  return { ...held, failed: { ...failed, liftedFrom: earlier(failed.liftedFrom ?? validFrom, validFrom) } };
}

const earlier = (one: string, other: string): string => (one < other ? one : other);
const later = (one: string, other: string): string => (one > other ? one : other);

/** The last valid day before the day asked about, where no paper of the kind covers that day and one did before; else null. */
export function paperEndedBefore({ validTo, gaps = [] }: HeldPapers, day: string): string | null {
  if (validTo < day) return validTo;
  return gaps.find(({ after, before }) => after < day && day < before)?.after ?? null;
}

/** Since when a failed test stands against the machine on that day; null where none does. */
export function testFailedBefore({ failed }: HeldPapers, day: string): string | null {
  if (failed === undefined || failed.since > day) return null;
  return failed.liftedFrom !== undefined && failed.liftedFrom <= day ? null : failed.since;
}

/** How the papers of a kind stand on a day: until when they count, since when none does, or from when one will. */
export interface HeldOn {
  readonly how: "counts" | "ended" | "later" | "failed";
  /** the last day on which they count without a break; the last before it ended; the first to come; that of the failed test */
  readonly day: string;
}

export function heldOn(held: HeldPapers, day: string): HeldOn {
  const failed = testFailedBefore(held, day);
  if (failed !== null) return { how: "failed", day: failed };
  const ended = paperEndedBefore(held, day);
  if (ended !== null) return { how: "ended", day: ended };
  const { validFrom = "" } = held;
  return validFrom > day ? { how: "later", day: validFrom } : { how: "counts", day: endsAfter(held, day)[0] ?? held.validTo };
}

/** The days after which no paper of the kind counts, in order: those of breaks that are not over by `day`, and the last one of all. */
export const endsAfter = ({ validTo, gaps = [] }: HeldPapers, day: string): string[] =>
  [...gaps.filter(({ before }) => before > day).map(({ after }) => after), validTo].sort();

/**
 * What in its papers stands against the machine on that day: failed tests first, since they ground. That the paper of a failed test has
 * ended is not said as well.
 */
export function papersAgainst(
  papers: readonly HeldPapers[],
  day: string,
): { readonly code: "test-failed" | "papers-expired"; readonly paperKind: string; readonly day: string }[] {
  const found = (code: "test-failed" | "papers-expired", since: (held: HeldPapers, day: string) => string | null) =>
    papers.flatMap((held) => {
      const at = since(held, day);
      return at === null ? [] : [{ code, paperKind: held.kind, day: at }];
    });
  const failed = found("test-failed", testFailedBefore);
  const expired = found("papers-expired", paperEndedBefore).filter(({ paperKind }) => !failed.some((one) => one.paperKind === paperKind));
  return [...failed, ...expired];
}

/** Whether something in the papers `after` stands against riding on that day that did not in those `before`. */
export function newlyAgainst(before: readonly HeldPapers[], after: readonly HeldPapers[], day: string): boolean {
  const known = papersAgainst(before, day);
  return papersAgainst(after, day).some((one) => !known.some((other) => other.code === one.code && other.paperKind === one.paperKind));
}

/**
 * What an ending would lead to: from which day on the machine may not be ridden without such a paper, and whether that holds without the
 * ending too.
 */
export interface Following {
  /** null: never, since none of the kind would be on record */
  readonly from: string | null;
  /** without the ending it comes to that on the same day or earlier */
  readonly already: boolean;
  /** because of a failed test, not because a paper runs out */
  readonly grounded: boolean;
}

/** `papers` are all of the machine; `asked` is the one that would be ended. */
export function whatFollows<Paper extends KnownPaper>(
  papers: readonly Paper[],
  asked: Paper,
  ending: PaperEnding,
  today: string,
): Following {
  const before = heldOf(asked.kind, papers);
  const after = heldOf(
    asked.kind,
    papers.map((paper) => (paper === asked ? { ...paper, ending } : paper)),
  );
  const from = firstDayAgainst(after, today);
  const without = firstDayAgainst(before, today);
  return {
    from,
    already: from !== null && without !== null && without <= from,
    grounded: from !== null && after !== null && testFailedBefore(after, from) !== null,
  };
}

/** The first day from `today` on, on which the papers stand against the machine; null where they never do. */
export function firstDayAgainst(held: HeldPapers | null, today: string): string | null {
  if (held === null) return null;
  const ends = [held.validTo, ...(held.gaps ?? []).map(({ after }) => after)].map((day) => addDays(day, 1));
  const days = [today, ...ends, ...(held.failed ? [held.failed.since] : [])].filter((day) => day >= today).sort();
  return days.find((day) => papersAgainst([held], day).length > 0) ?? null;
}

/**
 * An insurance, tax or test for longer than this is more likely a mistyped year: common practice, no source. A registration may have no
 * end.
 */
export const longestUsualYears = 5;

/** Whether a paper is entered for longer than such papers run. It is kept all the same, and asked about. */
export const isUnusuallyLong = ({ kind, validFrom, validTo }: Pick<KnownPaper, "kind" | "validFrom" | "validTo">): boolean =>
  kind !== "registration" && validTo > `${String(Number(validFrom.slice(0, 4)) + longestUsualYears).padStart(4, "0")}${validFrom.slice(4)}`;

/** Why an ending is refused. */
export type EndingRefusal = "ended" | "before-it-began" | "after-it-ran-out" | "only-a-test-fails" | "not-failed-yet";

export function endingRefused(
  paper: KnownPaper,
  asked: { readonly day: string; readonly reason: EndingReason },
  today: string,
): EndingRefusal | null {
  if (paper.ending !== null) return "ended";
  // What was never right may be said at any time, of any paper.
  if (asked.reason === "mistaken") return null;
  if (asked.reason === "failed" && paper.kind !== "roadworthiness-test") return "only-a-test-fails";
  if (asked.day < paper.validFrom) return "before-it-began";
  if (asked.day > paper.validTo) return "after-it-ran-out";
  return asked.reason === "failed" && asked.day > today ? "not-failed-yet" : null;
}
