// Every text that a person sees, behind a key. Code that knows its key calls `word`; code that makes a key from an id calls
// `wordByKey`, which checks it.
//   station.<id>  tool.<id>  item.<id>.name|prompt|why  item.<id>.how[.<variant>]  observation.<item id>.<seen>
//   category.  standing.  role.  competence.  paper-kind.  quantity.  unit.  sheet.  mnemonic.  us-daily-report.  caution.line
// This file holds no words: the service learns all of them (index.ts), a page those of its language only.
import type { en } from "./en.ts";
import type { enOfPages } from "./en-of-pages.ts";

export type WordKey = keyof typeof en;
/** What the pages may say: every language has it. */
export type PageWordKey = keyof typeof enOfPages;
/** What a file of another language must hold. */
export type WordsOfPages = Readonly<Record<PageWordKey, string>>;

/** Each in its own name. A language more is a line here, its file, and the line that loads it (`learn`). */
export const languageNames = { en: "English", de: "Deutsch" } as const;
export type Language = keyof typeof languageNames;
export type WordParams = Readonly<Record<string, string | number>>;

export const isLanguage = (text: string): text is Language => Object.hasOwn(languageNames, text);

const writtenFromTheRight: readonly string[] = ["ar", "fa", "he", "ur"];
/** How numbers are written in the language where nobody says more: British English, since the rest is too. */
export const localeOf = (language: Language): string => ({ en: "en-GB", de: "de-DE" })[language];

export const direction = (language: string): "ltr" | "rtl" => (writtenFromTheRight.includes(language) ? "rtl" : "ltr");

const known = new Map<Language, Readonly<Partial<Record<WordKey, string>>>>();

/** From now on that language can be spoken. */
export const learn = (language: Language, words: WordsOfPages): void => void known.set(language, words);

/** Whether a key made from an id is one. */
export const isWordKey = (key: string): key is WordKey => [...known.values()].some((words) => Object.hasOwn(words, key));

/**
 * The text behind a key; in English where the language does not have it. `{name}` in it is filled in from `params`; numbers and dates come
 * in already formatted. Throws where a name is left without a value, so that no screen ever shows a bare `{name}`, and where nothing that
 * was learnt has the key.
 */
export const word = (key: WordKey, language: Language = "en", params: WordParams = {}): string => {
  const text = known.get(language)?.[key] ?? known.get("en")?.[key];
  if (text === undefined) throw new Error(`no words for "${key}" were learnt`);
  return text.replace(/\{([a-zA-Z]+)\}/g, (_, name: string) => {
    const value = params[name];
    if (value === undefined) throw new Error(`words "${key}" need a value for {${name}}`);
    return String(value);
  });
};

/** As `word`, for a key made from an id. Throws on a key that is none: an id without words is a mistake in the catalogue. */
export const wordByKey = (key: string, language: Language = "en", params: WordParams = {}): string => {
  if (!isWordKey(key)) throw new Error(`no words for "${key}"`);
  return word(key, language, params);
};
