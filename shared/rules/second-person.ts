// Steering, wheels and brakes: whether whoever repaired it may release it, by the item, the category and the policy.
import type { Category } from "../contracts/common.ts";
import { grounds, type OpenDefect } from "./machine-state.ts";
import type { SecondPerson } from "./policy.ts";
import type { DepotRules } from "./standing.ts";

/** Whether whoever repaired it may not release it: an item of steering, wheels or brakes, where the policy asks it for this category. */
export function needsSecondPerson(ofItem: boolean, category: Category, policy: SecondPerson): boolean {
  return ofItem && (policy === "all" || (policy === "grounding" && grounds(category)));
}

/**
 * What the item asks and what follows from it, as a state keeps them. While the policy is off, what the item asks is not kept: switching
 * it on later does not reach back.
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

/** Whether an open defect takes a second person now, by the policy as it is now and not as it was when the defect was raised. */
export const needsSecondNow = (open: OpenDefect, { policy }: DepotRules): boolean =>
  needsSecondPerson(ofItemOf(open), open.category, policy.secondPerson);
