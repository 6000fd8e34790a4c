// The texts of the catalogue by what they belong to, so that nobody else builds their keys.
import type { Item } from "../catalogue/types.ts";
import type { Features } from "../contracts/machine-model.ts";
import { type Language, wordByKey } from "./speak.ts";

/** Short name of an item, for lists and papers: "Front tyre pressure". */
export const itemName = (itemId: string, language: Language = "en"): string => wordByKey(`item.${itemId}.name`, language);

/** What the sheet asks: the state that is right. */
export const itemPrompt = (itemId: string, language: Language = "en"): string => wordByKey(`item.${itemId}.prompt`, language);

/** What the item guards against. */
export const itemWhy = (itemId: string, language: Language = "en"): string => wordByKey(`item.${itemId}.why`, language);

/** How it is done on a machine with these features. */
export const itemHow = (item: Item, features: Features, language: Language = "en"): string => {
  const variant = item.howVariant?.(features);
  return wordByKey(variant === undefined ? `item.${item.id}.how` : `item.${item.id}.how.${variant}`, language);
};

/** What is seen, as a rider picks it; `observationId` is `<item id>.<what is seen>`. */
export const observationText = (observationId: string, language: Language = "en"): string =>
  wordByKey(`observation.${observationId}`, language);

export const stationName = (stationId: string, language: Language = "en"): string => wordByKey(`station.${stationId}`, language);

export const toolName = (toolId: string, language: Language = "en"): string => wordByKey(`tool.${toolId}`, language);
