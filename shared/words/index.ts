// For the service and its tools, which speak every language at any time: `speak.ts`, with all words learnt.
import { inShortWords } from "./de/in-short.ts";
import { problemHelp } from "./de/problems.ts";
import { de } from "./de.ts";
import { deOfPapers } from "./de-of-papers.ts";
import { en } from "./en.ts";
import { learn, type OtherLanguage, type WordsOfPages } from "./speak.ts";

/**
 * All that is said in another language than English: the words of the pages, and what no page says itself: what to do about an error,
 * what a record says in a few words, and what stands on papers.
 */
export const otherLanguages = { de: { ...de, ...problemHelp, ...inShortWords, ...deOfPapers } } as const satisfies Readonly<
  Record<OtherLanguage, WordsOfPages>
>;

learn("en", en);
learn("de", otherLanguages.de);

export * from "./speak.ts";
