// The items of an inspection with the state of each, for its list, its end and the page for handing it on.
import type { Item } from "../../../shared/catalogue/types.ts";
import type { reviewDraft } from "../../../shared/rules/inspection-draft.ts";
import type { BenchMachine } from "./bench-machine.ts";
import type { Draft } from "./draft.ts";
import { type ItemState, stateOfItem } from "./item-answer.ts";

export type Review = ReturnType<typeof reviewDraft>;

export interface ListProps {
  /** in the order in which they are gone through */
  readonly items: readonly Item[];
  /** those that are looked at first after a fall; none where it did not fall */
  readonly first: readonly Item[];
  readonly review: Review;
  readonly draft: Draft;
  readonly machine: BenchMachine;
}

/** How an item stands in the draft, by the rules. */
export function stateIn(draft: Draft, review: Review, item: Item): ItemState {
  const at = draft.answers.findIndex((answer) => answer.itemId === item.id);
  const odd = review.issues.some((issue) => issue.index === at);
  const outside = review.verdicts.find((verdict) => verdict.itemId === item.id)?.result === "defect";
  return stateOfItem(item, draft.answers[at], odd, outside);
}
