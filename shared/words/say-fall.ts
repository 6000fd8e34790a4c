// What a fall was told in: the words that the phone offers in the reader's language, and words of somebody's own as they were written.
import { isolated } from "./isolate.ts";
import { isWordKey, type Language, wordByKey } from "./speak.ts";

const told = (key: string, ownWords: string, language: Language): string =>
  isWordKey(key) ? wordByKey(key, language) : isolated(ownWords);

/** What the machine struck, or how it went down. */
export const sayHit = (hit: string, language: Language = "en"): string => told(`fall.hit.${hit}`, hit, language);

/** A part that looks bent or broken. */
export const sayBent = (part: string, language: Language = "en"): string => told(`fall.bent.${part}`, part, language);
