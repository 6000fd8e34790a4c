// A sheet version as one document: everything that it says to whoever answers it, and what each answer means. Its hash fixes the version,
// and for an old version it is what is kept. How an item is done and what it guards against are help beside it and may be said better.
import type { Condition } from "../catalogue/condition.ts";
import { askable } from "../catalogue/proof.ts";
import { stations } from "../catalogue/stations.ts";
import type { Item, Observation } from "../catalogue/types.ts";
import type { Sheets } from "../catalogue/versions.ts";
import { itemPrompt, observationText } from "./item-words.ts";
import { type Language, languages } from "./speak.ts";

type Said = Readonly<Record<string, string>>;

export type ObservationSaid = Omit<Observation, "applies"> & { readonly applies?: Condition; readonly text: Said };
export type ItemSaid = Omit<Item, "applies" | "observations" | "howVariant"> & {
  readonly applies: Condition;
  readonly prompt: Said;
  readonly observations: readonly ObservationSaid[];
};

/** Lists are in walking order. */
export interface SheetDocument {
  readonly version: string;
  readonly stations: readonly string[];
  readonly daily: readonly ItemSaid[];
  readonly weekly: readonly ItemSaid[];
  /** the readings of which one is asked for each day, each once a round */
  readonly proof: readonly {
    readonly quantity: string;
    readonly itemId: string | null;
    readonly applies: Condition;
    readonly believable: Readonly<Partial<Record<string, readonly number[]>>>;
  }[];
}

const inEveryLanguage = (say: (language: Language) => string): Said =>
  Object.fromEntries(languages.map((language) => [language, say(language)]));

const observationSaid = ({ applies, ...seen }: Observation): ObservationSaid => ({
  ...seen,
  ...(applies === undefined ? {} : { applies: applies.says }),
  text: inEveryLanguage((language) => observationText(seen.id, language)),
});

const itemSaid = (item: Item): ItemSaid => {
  const said: { howVariant?: unknown } & Item = { ...item };
  delete said.howVariant;
  return {
    ...said,
    applies: item.applies.says,
    prompt: inEveryLanguage((language) => itemPrompt(item.id, language)),
    observations: item.observations.map(observationSaid),
  };
};

/** The document of a version whose sheets are these; every language has to be learnt. */
export const sheetDocument = (version: string, { daily, weekly }: Sheets): SheetDocument => ({
  version,
  stations: stations.map(({ id }) => id),
  daily: daily.map(itemSaid),
  weekly: weekly.map(itemSaid),
  proof: askable.map(({ applies, ...asked }) => ({ ...asked, applies: applies.says })),
});
