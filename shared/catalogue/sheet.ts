// The door to the check sheets: which items a machine has, and what an answer to them means.
import type { Category } from "../contracts/common.ts";
import type { Features } from "../contracts/machine-model.ts";
import { oneOf, type ProofQuestion } from "./proof.ts";
import { stationOrder } from "./stations.ts";
import type { Item, Observation, SheetKind } from "./types.ts";
import { SHEET_VERSION, sheetsOf } from "./versions.ts";

export { type Proof, type ProofQuestion, proofFor } from "./proof.ts";
export { isKnownSheet, SHEET_VERSION } from "./versions.ts";

const sheetsOrThrow = (version: string) => {
  const sheets = sheetsOf(version);
  if (!sheets) throw new RangeError(`no sheet version ${version}`);
  return sheets;
};

interface Index {
  readonly items: ReadonlyMap<string, Item>;
  readonly observations: ReadonlyMap<string, Observation>;
}

const indexes = new Map<string, Index>();

const indexOf = (version: string): Index => {
  const made = indexes.get(version);
  if (made) return made;
  const { daily, weekly } = sheetsOrThrow(version);
  const all = [...daily, ...weekly];
  const index: Index = {
    items: new Map(all.map((item) => [item.id, item])),
    observations: new Map(all.flatMap(({ observations }) => observations.map((seen) => [seen.id, seen] as const))),
  };
  indexes.set(version, index);
  return index;
};

/**
 * The items that a machine with these features has, in walking order, each with only those observations that can be made on it.
 * Throws RangeError for an unknown version, here and below: ask `isKnownSheet` first.
 */
export const itemsFor = (features: Features, kind: SheetKind, version: string = SHEET_VERSION): Item[] =>
  sheetsOrThrow(version)
    [kind].filter((item) => item.applies(features))
    .map((item) => ({ ...item, observations: item.observations.filter((seen) => seen.applies?.(features) ?? true) }))
    .sort((one, other) => stationOrder(one.stationId) - stationOrder(other.stationId));

/** The item with this id, daily or weekly, with everything that can be observed at it on any machine. */
export const itemById = (id: string, version: string = SHEET_VERSION): Item | undefined => indexOf(version).items.get(id);

/** The observation with this id (`<item id>.<what is seen>`). */
export const observationById = (id: string, version: string = SHEET_VERSION): Observation | undefined =>
  indexOf(version).observations.get(id);

/** What the rider wears: a finding there stops this rider and is no defect of the machine. */
export const isOfRider = ({ stationId }: Pick<Item, "stationId">): boolean => stationId === "rider";

/**
 * Whether an item may be answered as not applicable: it depends on a feature, and whoever stands in front of the machine sees whether the
 * model has it right.
 */
export const mayNotApply = ({ applies }: Pick<Item, "applies">): boolean => applies.says !== "any";

/** Whether a rider may put right on the spot all that was seen at an item. */
export const mayPutRight = (item: Item | undefined, observationIds: readonly string[]): boolean =>
  observationIds.length > 0 &&
  observationIds.every((id) => item?.observations.find((seen) => seen.id === id)?.riderMayPutRight !== undefined);

/** Whether it takes a reading after it to count. */
export const takesReading = (item: Item, observationIds: readonly string[]): boolean =>
  item.observations.some(({ id, riderMayPutRight }) => riderMayPutRight === "measured" && observationIds.includes(id));

/** The item that is asked on its own that day, so that at least one is looked at afresh: each comes once in a round of as many days. */
export const itemOfTheDay = (question: Omit<ProofQuestion, "handbook">): string => {
  const ids = itemsFor(question.features, "daily").flatMap((item) => (isOfRider(item) ? [] : [item.id]));
  return oneOf(ids, question.machineId, question.day) ?? "";
};

const weight: Record<Category, number> = { advisory: 1, minor: 2, major: 3, dangerous: 4 };

/** The heavier of two categories; null is lighter than any. */
export const worstOf = (one: Category | null, other: Category | null): Category | null => {
  if (one === null || other === null) return one ?? other;
  return weight[one] >= weight[other] ? one : other;
};

/**
 * The category of an answer: the worst of its observations (Directive 2014/45/EU Art. 7(3), from memory). Words alone, or an
 * observation that this sheet does not have at this item, count as major until a mechanic has looked. Null where nothing was seen and
 * nothing said.
 */
export const categoryOf = (
  itemId: string,
  observationIds: readonly string[],
  hasNote: boolean,
  version: string = SHEET_VERSION,
): Category | null => {
  if (observationIds.length === 0) return hasNote ? "major" : null;
  const offered = itemById(itemId, version)?.observations ?? [];
  return observationIds
    .map((id) => offered.find((seen) => seen.id === id)?.category ?? "major")
    .reduce<Category | null>((worst, category) => worstOf(worst, category), null);
};

/** The tools for a whole sheet, each once, in the order in which they are first needed. */
export const sheetTools = (features: Features, kind: SheetKind, version: string = SHEET_VERSION): string[] => [
  ...new Set(itemsFor(features, kind, version).flatMap(({ tools }) => tools ?? [])),
];
