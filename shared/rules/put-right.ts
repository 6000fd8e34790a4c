// What an inspection put right at its items, and whose signature that takes. Whatever was put right takes what signing off its item takes:
// the competence, and for a grounding finding at steering, wheels or brakes a second person. For oiling, cleaning and topping up within
// limits the signature under the inspection is enough.
import { type Found, partsOf } from "../catalogue/parts.ts";
import type { Item } from "../catalogue/types.ts";
import type { WeeklyAnswer } from "../contracts/checks.ts";
import type { Category, Competence } from "../contracts/common.ts";
import type { Quantity, Reading } from "../contracts/quantities.ts";
import { grounds, type OpenDefect, type RepairDone } from "./machine-state.ts";
import type { SecondPerson } from "./policy.ts";
import { needsSecondPerson } from "./second-person.ts";
import { verdictAt } from "./seen-and-measured.ts";
import type { ItemVerdict } from "./verdict.ts";

export type Action = NonNullable<WeeklyAnswer["actions"]>[number];

/** Work that a rider or any mechanic does in passing. */
const byTheWay: ReadonlySet<Action> = new Set<Action>(["lubricated", "cleaned", "topped-up"]);

/** What can be put right by topping up alone; any other reading that came right takes work. */
const isToppable = (quantity: Quantity): boolean => quantity.endsWith("tyre-pressure") || quantity.endsWith("oil-level");

/** What was done at an item. */
export interface Work {
  readonly actions: readonly Action[];
  /** as it was left; null where nothing was measured */
  readonly reading: Reading | null;
}

/** Work of an inspection as the repair of a defect. */
export interface RecordedRepair {
  readonly done: RepairDone;
  readonly actions: readonly Action[];
}

const actionsAt = (answers: readonly WeeklyAnswer[], itemId: string): readonly Action[] =>
  answers.find((answer) => answer.itemId === itemId)?.actions ?? [];

/** The items at which work was done in this inspection that another one finishes: the chain, before its axle nut. */
const finishedBy = ({ finishes = [] }: Item, answers: readonly WeeklyAnswer[]): string[] =>
  finishes
    .filter(({ itemId, after }) => actionsAt(answers, itemId).some((action) => (after as readonly Action[]).includes(action)))
    .map(({ itemId }) => itemId);

/**
 * Items that finish work done at others in this inspection, and for which nobody entered the tightening. Where several finish the same
 * work, only the last on the walk: the wheel whose tyre was renewed is tightened once, after its chain.
 */
export function itemsToFinish(answers: readonly WeeklyAnswer[], sheet: ReadonlyMap<string, Item>): string[] {
  const last = new Map([...sheet.values()].flatMap((item) => finishedBy(item, answers).map((worked) => [worked, item.id] as const)));
  return [...new Set(last.values())].filter((id) => !actionsAt(answers, id).includes("tightened"));
}

/** What was done at an item that puts right what was found there; null where nothing was done, or it was left outside its limits. */
export function workAt({ actions = [] }: WeeklyAnswer, verdict: ItemVerdict | undefined): Work | null {
  if (verdict === undefined) return actions.length > 0 ? { actions, reading: null } : null;
  const { result } = verdict;
  if (result === "defect" || (result !== "corrected" && actions.length === 0)) return null;
  return { actions, reading: readingAsLeft(verdict) };
}

const readingAsLeft = ({ quantity, reading }: ItemVerdict): Reading => ({
  quantity,
  value: reading.asLeft ?? reading.asFound,
  unit: reading.unit,
});

/**
 * The category in which work at an item opens as a defect that is repaired and waits for its sign-off; null where the signature under the
 * inspection covers it. Where only the work was entered, nothing is known of what was found: at steering, wheels and brakes it counts as
 * major, as words alone do, until somebody with the competence has looked.
 */
export function waitsAs(
  item: Item,
  { actions }: Work,
  verdict: ItemVerdict | undefined,
  competences: readonly Competence[],
  policy: SecondPerson,
  answers: readonly WeeklyAnswer[],
): Category | null {
  const competent = competences.includes(item.competence);
  const isByTheWay = actions.length > 0 && actions.every((action) => byTheWay.has(action));
  if (verdict?.result === "corrected") {
    const category = verdict.asFound.category ?? "minor";
    const isToppedUp = actions.length > 0 && actions.every((action) => action === "topped-up") && isToppable(verdict.quantity);
    if (isToppedUp && !grounds(category)) return null;
    return competent && !needsSecondPerson(item.secondPerson, category, policy) ? null : category;
  }
  // Tightening what was loosened for the work at another item belongs to that work, and is judged there.
  const finishes = actions.every((action) => action === "tightened") && finishedBy(item, answers).length > 0;
  if (competent || isByTheWay || finishes) return null;
  return item.secondPerson ? "major" : "minor";
}

/** What an inspection says of the part of a defect, where nothing was found at any item that looks at it. */
export interface PartSeen {
  /** what was done there, and at which item of the sheet; null where nothing had to be done */
  readonly work: { readonly itemId: string; readonly actions: readonly Action[] } | null;
  /** of the quantity that the defect is judged by; null where it is judged by none */
  readonly reading: Reading | null;
}

/**
 * What an inspection says that closes a minor defect of a part left as it should be; null where it does not look at the whole part, where
 * something was found there, or where a reading is missing. `well` are the items of its sheet where nothing was found.
 */
export function partSeen(
  defect: OpenDefect & Found,
  sheet: ReadonlyMap<string, Item>,
  well: ReadonlySet<string>,
  answers: readonly WeeklyAnswer[],
  verdicts: readonly ItemVerdict[],
): PartSeen | null {
  const parts = partsOf(defect).filter((id) => sheet.has(id));
  if (parts.length === 0 || !parts.every((id) => well.has(id))) return null;
  const works = answers.flatMap((answer) => {
    const work = parts.includes(answer.itemId) ? workAt(answer, verdictAt(verdicts, answer.itemId)) : null;
    return work === null ? [] : [{ itemId: answer.itemId, actions: work.actions }];
  });
  const [first] = works;
  const measured = verdicts.find(({ itemId, quantity }) => parts.includes(itemId) && quantity === defect.quantity);
  if (defect.quantity !== null && measured === undefined) return null;
  return {
    work: first === undefined ? null : { itemId: first.itemId, actions: [...new Set(works.flatMap(({ actions }) => actions))] },
    reading: measured === undefined ? null : readingAsLeft(measured),
  };
}
