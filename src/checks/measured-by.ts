// Who looked and measured: whoever gave an answer in the draft that stands in what is submitted as they gave it; else the one who signs.
import { isDeepStrictEqual } from "node:util";
import type { InspectionDraftBody, WeeklyAnswer, WeeklyInspectionBody } from "../../shared/contracts/checks.ts";
import type { Database } from "../platform/index.ts";
import { findAnswersOfDraft } from "./store.ts";

type DraftAnswer = InspectionDraftBody["answers"][number];

export interface Measured {
  readonly staffId: string;
  readonly itemIds: readonly string[];
}

/** Whether an answer still tells what was measured and done: a word, a photo or a sign that the signer adds takes nobody's work over. */
function isSameWork(given: DraftAnswer, sent: WeeklyAnswer): boolean {
  const worked = given.actions !== undefined || given.asLeft !== undefined;
  const workOf = ({ itemId, result, asFound, asLeft, unit, places, actions }: DraftAnswer) => ({
    itemId,
    asFound,
    asLeft,
    unit,
    places,
    actions,
    ...(worked ? {} : { result }),
  });
  return isDeepStrictEqual(workOf(given), workOf(sent));
}

/** Others than the signer who answered items of this inspection, and which, in the order of its answers. */
export async function measuredBy(db: Database, body: WeeklyInspectionBody, signerId: string): Promise<Measured[]> {
  const draft = await findAnswersOfDraft(db, body.id, body.machineId);
  if (draft === null) return [];
  const itemIdsBy = new Map<string, string[]>();
  for (const answer of body.answers) {
    const { itemId } = answer;
    const by = Object.hasOwn(draft.answeredBy, itemId) ? draft.answeredBy[itemId] : undefined;
    if (by === undefined || by === signerId || !draft.answers.some((given) => isSameWork(given, answer))) continue;
    itemIdsBy.set(by, [...(itemIdsBy.get(by) ?? []), itemId]);
  }
  return [...itemIdsBy].map(([staffId, itemIds]) => ({ staffId, itemIds }));
}
