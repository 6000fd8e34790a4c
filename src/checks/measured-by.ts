// Who looked and measured: for an answer that is submitted as somebody gave it in the draft, that person; else the one who signs.

import { isDeepStrictEqual } from "node:util";
import type { InspectionDraftBody, WeeklyInspectionBody } from "../../shared/contracts/checks.ts";
import { groupBy } from "../../shared/group-by.ts";
import type { Database } from "../platform/index.ts";
import { findAnswersOfDraft } from "./store.ts";

type DraftAnswer = InspectionDraftBody["answers"][number];

export interface Measured {
  readonly staffId: string;
  readonly itemIds: readonly string[];
}

type GivenBy = Readonly<Record<string, string>>;

const workedAt = ({ actions, asLeft }: DraftAnswer): boolean => (actions?.length ?? 0) > 0 || asLeft !== undefined;

/**
 * Whether an answer still stands as it was given. A word or a photo that somebody adds does not make it theirs; where work was entered, nor
 * does a corrected reading or result: whoever did the work still did it, and may not be the one who signs it off.
 */
function standsAsGiven(given: DraftAnswer, sent: DraftAnswer): boolean {
  if (given.itemId !== sent.itemId) return false;
  if (workedAt(given)) return workedAt(sent) && isDeepStrictEqual(new Set(given.actions), new Set(sent.actions));
  const said = ({ note: _note, photoIds: _photoIds, observationIds: _observationIds, ...rest }: DraftAnswer) => rest;
  return isDeepStrictEqual(said(given), said(sent));
}

/** Who gave each answer, by item: whoever gave it before, where it stands as it did; else the one who sends it now. */
export function givenBy(
  before: { readonly answers: readonly DraftAnswer[]; readonly answeredBy: GivenBy } | null,
  sent: readonly DraftAnswer[],
  senderId: string,
): GivenBy {
  const of = (answer: DraftAnswer): string => {
    const stands = before?.answers.some((given) => standsAsGiven(given, answer)) ?? false;
    return stands && before && Object.hasOwn(before.answeredBy, answer.itemId) ? (before.answeredBy[answer.itemId] ?? senderId) : senderId;
  };
  return Object.fromEntries(sent.map((answer) => [answer.itemId, of(answer)]));
}

/** People other than the signer who answered items of this inspection, and which items, in the order of its answers. */
export async function measuredBy(db: Database, body: WeeklyInspectionBody, signerId: string): Promise<Measured[]> {
  const draft = await findAnswersOfDraft(db, body.id, body.machineId);
  const byOthers = Object.entries(givenBy(draft, body.answers, signerId)).filter(([, by]) => by !== signerId);
  return [...groupBy(byOthers, ([, by]) => by)].map(([staffId, given]) => ({ staffId, itemIds: given.map(([itemId]) => itemId) }));
}
