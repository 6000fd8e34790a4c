// What riders put right again and again, as a question to the workshop.
import type { PutRightOften } from "../rules/rider-put-right.ts";
import { allThatWasSeen, nameOfItem } from "./say-reason.ts";
import { type Language, word } from "./speak.ts";

/** `day`: of the first time, as it is to be read. */
export const sayPutRightOften = (
  { itemId, observationId, times }: Pick<PutRightOften, "itemId" | "observationId" | "times">,
  day: string,
  language: Language = "en",
): string =>
  word("put-right.often", language, {
    item: nameOfItem(itemId, language),
    seen: allThatWasSeen([observationId], language).join(", "),
    times,
    day,
  });
