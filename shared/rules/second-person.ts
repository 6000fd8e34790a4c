// Steering, wheels and brakes: whether whoever repaired it may release it, by the item, the category and the policy.
import type { Category } from "../contracts/common.ts";
import { grounds, type OpenDefect } from "./machine-state.ts";
import type { SecondPerson } from "./policy.ts";
import type { DepotRules } from "./standing.ts";

/** Whether who repaired it may not release it: an item of steering, wheels or brakes, as far as the policy asks it of this category. */
export function needsSecondPerson(ofItem: boolean, category: Category, policy: SecondPerson): boolean {
  return ofItem && (policy === "all" || (policy === "grounding" && grounds(category)));
}

/**
 * The item's word and what follows from it, as a state keeps them. Under a policy that is off the item's word is not kept: one that is
 * switched on later does not reach back.
 */
export const secondPersonOf = (
  ofItem: boolean,
  category: Category,
  { policy }: DepotRules,
): Pick<OpenDefect, "secondPerson" | "secondPersonItem"> => {
  const secondPerson = needsSecondPerson(ofItem, category, policy.secondPerson);
  const kept = ofItem && policy.secondPerson !== "off";
  return { secondPerson, ...(secondPerson === kept ? {} : { secondPersonItem: kept }) };
};

/** Whether the item of an open defect asks for a second person. */
export const ofItemOf = ({ secondPerson, secondPersonItem }: OpenDefect): boolean => secondPersonItem ?? secondPerson;

/** Whether an open defect takes a second person now: a policy that was changed since counts as it is now. */
export const needsSecondNow = (open: OpenDefect, { policy }: DepotRules): boolean =>
  needsSecondPerson(ofItemOf(open), open.category, policy.secondPerson);
