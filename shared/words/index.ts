// Every text that a person sees, behind a key. Code that knows its key calls `word`; code that makes a key from an id calls
// `wordByKey`, which checks it.
//   station.<id>  tool.<id>  item.<id>.name|prompt|why  item.<id>.how[.<variant>]  observation.<item id>.<seen>
//   category.  standing.  role.  competence.  paper-kind.  quantity.  unit.  sheet.  mnemonic.  us-daily-report.  caution.line
import { en } from "./en.ts";

export type WordKey = keyof typeof en;
/** What a file of another language must hold. */
export type Words = Readonly<Record<WordKey, string>>;

const languages = { en } as const satisfies Record<string, Words>;

export type Language = keyof typeof languages;
export type WordParams = Readonly<Record<string, string | number>>;

/** Whether a key made from an id is one. */
export const isWordKey = (key: string): key is WordKey => Object.hasOwn(en, key);

/**
 * The text behind a key. `{name}` in it is filled in from `params`; numbers and dates come in already formatted.
 * Throws where a name is left without a value, so that no screen ever shows a bare `{name}`.
 */
export const word = (key: WordKey, language: Language = "en", params: WordParams = {}): string => {
  const words: Words = languages[language];
  return words[key].replace(/\{([a-zA-Z]+)\}/g, (_, name: string) => {
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
