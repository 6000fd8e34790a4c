// What a rider puts right on the spot: air, fuel, oil, a cap. It is kept with the check and is no defect, unless a reading after it is missing or
// outside its limits. The same three times in four weeks is a question for the workshop: a tyre that is pumped up every other day leaks.
import { samePart } from "../catalogue/parts.ts";
import { type Proof, readOnWalkAt } from "../catalogue/proof.ts";
import { takesReading } from "../catalogue/sheet.ts";
import type { Item } from "../catalogue/types.ts";
import type { DailyAnswer } from "../contracts/checks.ts";
import type { AnswerIssue, WeighedFinding } from "./answers.ts";
import { addDays, localDay } from "./calendar.ts";
import { isReadOnWalk, judgeOnWalk, resultOf } from "./judge-on-walk.ts";
import type { JudgedMachine } from "./judge-reading.ts";
import type { MachineState, PutRightOnce } from "./machine-state.ts";
import { oddOnWalk, type ProofVerdict } from "./proof-reading.ts";
import type { Load } from "./tyre.ts";
import type { ReadingVerdict } from "./verdict.ts";

/** Something that a rider did about what was seen. */
export interface PutRight {
  readonly itemId: string;
  readonly observationIds: readonly string[];
  readonly note: string | null;
  /** it is right, and no defect; false where the reading after it is outside its limits, so that it is one */
  readonly isRight: boolean;
  /** which handbook pressure the tyre was set to; null where nothing was read */
  readonly load: Load | null;
  /** of the reading after it; null where nothing is read there, or nothing was */
  readonly verdict: ProofVerdict | null;
}

export interface WeighedPutRight {
  readonly done: readonly PutRight[];
  /** left outside its limits: what was seen is a finding, as heavy as the reading makes it */
  readonly outside: readonly WeighedFinding[];
  /** nothing shows that it is right: asked about, and a finding where nobody can be asked */
  readonly unproven: readonly WeighedFinding[];
  readonly verdicts: readonly ProofVerdict[];
  readonly issues: readonly AnswerIssue[];
}

/** Weighs what was answered as put right, and offered so by the sheet. The reading after it is judged as any reading of a rider is. */
export function weighPutRight(
  machine: JudgedMachine,
  said: readonly WeighedFinding[],
  answers: readonly DailyAnswer[],
  sheet: ReadonlyMap<string, Item>,
): WeighedPutRight {
  const done: PutRight[] = [];
  const outside: WeighedFinding[] = [];
  const unproven: WeighedFinding[] = [];
  const verdicts: ProofVerdict[] = [];
  const issues: AnswerIssue[] = [];
  for (const finding of said) {
    const { itemId, observationIds, note, index } = finding;
    const item = sheet.get(itemId);
    const asked = readOnWalkAt(itemId, machine);
    const reading = answers[index]?.reading;
    const odd = asked === null || reading === undefined ? null : oddOnWalk(asked, reading);
    const judged = asked === null || reading === undefined || odd !== null ? null : verdictAfter(machine, asked, reading);
    const verdict = judged === null ? null : { itemId, ...judged };
    if (verdict !== null) verdicts.push(verdict);
    const message = odd ?? "read it again after it was put right, and send the reading; or answer defect";
    const isRight = verdict?.result !== "defect";
    if (!isRight) outside.push(finding);
    if (odd !== null || (verdict === null && item !== undefined && takesReading(item, observationIds))) {
      unproven.push(finding);
      issues.push({ index, field: "reading", message });
    } else done.push({ itemId, observationIds, note, isRight, load: verdict && (reading?.load ?? "solo"), verdict });
  }
  return { done, outside, unproven, verdicts, issues };
}

/** The verdict on a reading after something was put right; null where nothing is read on a walk. */
export function verdictAfter(
  machine: JudgedMachine,
  { quantity, unit: usual }: Proof,
  { value, unit = usual, load }: NonNullable<DailyAnswer["reading"]>,
): ReadingVerdict | null {
  if (!isReadOnWalk(quantity)) return null;
  const after = judgeOnWalk(quantity, value, unit, { ...machine, load });
  // How it was found nobody read: the one value stands for both.
  return { quantity, reading: { asFound: value, unit }, asFound: after, asLeft: null, ...resultOf(quantity, after, after) };
}

/** How often the same may be put right before the workshop is asked, and within how many days. */
const oftenTimes = 3;
const oftenWithinDays = 28;

/** Something that riders put right so often that the workshop is asked for the cause. */
export interface PutRightOften {
  readonly itemId: string;
  readonly observationId: string;
  readonly times: number;
  /** of the first and the last time within those days */
  readonly firstAt: string;
  readonly lastAt: string;
}

/** The state with what a check put right in it; what is too old to count goes. */
export function withPutRight(
  state: MachineState,
  done: readonly Pick<PutRight, "itemId" | "observationIds" | "isRight">[],
  { at, recordedAt }: { readonly at: Date; readonly recordedAt: Date },
): MachineState {
  const { putRight: before = [], ...others } = state;
  const right = done.filter(({ isRight }) => isRight);
  if (right.length === 0 && before.length === 0) return state;
  // A day more than the days that count, since those are the depot's.
  const since = new Date(recordedAt.getTime() - (oftenWithinDays + 1) * 86_400_000).toISOString();
  const now = right.flatMap(({ itemId, observationIds }) =>
    observationIds.map((observationId): PutRightOnce => ({ itemId, observationId, at: at.toISOString() })),
  );
  const putRight = [...before, ...now].filter((once) => once.at >= since).sort((one, other) => (one.at < other.at ? -1 : 1));
  return putRight.length === 0 ? others : { ...others, putRight };
}

/**
 * What was put right three times within four weeks up to a moment, and not looked at by the workshop since the last time: an inspection, or a
 * defect of that part that was closed, answers it until it is put right again.
 */
export function putRightTooOften(
  state: Pick<MachineState, "putRight" | "closed" | "lastInspectionAt">,
  at: Date,
  timeZone: string,
): PutRightOften[] {
  const since = addDays(localDay(at, timeZone), 1 - oftenWithinDays);
  const recent = (state.putRight ?? []).filter((once) => localDay(new Date(once.at), timeZone) >= since);
  const ids = [...new Set(recent.map(({ observationId }) => observationId))];
  return ids.flatMap((observationId): PutRightOften[] => {
    const times = recent.filter((once) => once.observationId === observationId);
    const [first, last] = [times[0], times.at(-1)];
    if (first === undefined || last === undefined || times.length < oftenTimes) return [];
    const { itemId } = first;
    const looked = (state.lastInspectionAt ?? "") > last.at || wasClosedSince(state, { itemId, observationIds: [observationId] }, last.at);
    return looked ? [] : [{ itemId, observationId, times: times.length, firstAt: first.at, lastAt: last.at }];
  });
}

const wasClosedSince = (
  { closed }: Pick<MachineState, "closed">,
  found: { readonly itemId: string; readonly observationIds: readonly string[] },
  since: string,
): boolean =>
  closed.some(
    ({ itemId, observationIds = [], closedAt }) =>
      closedAt > since && (itemId === found.itemId || samePart({ itemId, observationIds }, found)),
  );
