// What an item of a check sheet must be, said of each that is not, with its id and the number.
import { sourceByKey } from "../../shared/catalogue/sources.ts";
import type { Item } from "../../shared/catalogue/types.ts";
import { grounds } from "../../shared/rules/machine-state.ts";

export const fewestObservations = 3;
/** What is taken in at one look down a screen (common practice, no source). */
export const mostObservations = 9;

const kebab = /^[a-z][a-z0-9]*(-[a-z0-9]+)*$/;
const twice = (ids: readonly string[]): string[] => ids.filter((id, index) => ids.indexOf(id) !== index);

export function faultsOf(items: readonly Item[]): string[] {
  const faults = [
    ...twice(items.map(({ id }) => id)).map((id) => `the item ${id} is there twice`),
    ...twice(items.flatMap(({ observations }) => observations.map(({ id }) => id))).map((id) => `the observation ${id} is there twice`),
  ];
  for (const { id, observations } of items) {
    if (!kebab.test(id)) faults.push(`the id of the item ${id} is not kebab-case`);
    const count = observations.length;
    if (count < fewestObservations || count > mostObservations)
      faults.push(`${id} offers ${count} observations, ${fewestObservations} to ${mostObservations} are allowed`);
    if (!observations.some(({ category }) => !grounds(category))) faults.push(`${id} offers nothing that may be ridden with`);
    if (!observations.some(({ category }) => grounds(category))) faults.push(`${id} offers nothing that grounds`);
    for (const seen of observations) {
      const [of, what = "", ...more] = seen.id.split(".");
      if (of !== id || !kebab.test(what) || more.length > 0) faults.push(`the observation ${seen.id} is not ${id}.<what-is-seen>`);
      if (!sourceByKey(seen.source)) faults.push(`the source ${seen.source} of ${seen.id} is not in sources.ts`);
    }
  }
  return faults;
}
