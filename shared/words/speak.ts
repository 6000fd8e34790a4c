// Every text that a person sees, behind a key. Code that knows its key calls `word`; code that makes a key from an id calls
// `wordByKey`, which checks it.
//   station.<id>  tool.<id>  item.<id>.name|prompt|why  item.<id>.how[.<variant>]  observation.<item id>.<seen>
//   category.  standing.  role.  competence.  paper-kind.  quantity.  unit.  caution.line
// This file holds no words: the service learns all of them (index.ts), a page those of its language only.
import type { en } from "./en.ts";
import type { enOfPages } from "./en-of-pages.ts";

export type WordKey = keyof typeof en;
/** What the pages may say: every language has it. */
export type PageWordKey = keyof typeof enOfPages;

/** `jobs` where there are `jobs.one` and `jobs.other`: said of a number, in the form that the language has for it. */
type StemOf<Key extends string, Keys extends string = Key> = Key extends `${infer Stem}.other`
  ? `${Stem}.one` extends Keys
    ? Stem
    : never
  : never;
export type CountedKey = StemOf<WordKey>;
export type PageCountedKey = StemOf<PageWordKey>;

/** What a file of another language must hold. Of what is counted it has the forms of its own plural: Polish few and many, Japanese only `other`. */
export type WordsOfPages = Readonly<Record<Exclude<PageWordKey, `${PageCountedKey}.one`>, string>> &
  Readonly<Partial<Record<`${PageCountedKey}.${Exclude<Intl.LDMLPluralRule, "other">}`, string>>>;

/** What another language says of errors, whose English stands with each of them, in the room's `errors.ts`: its title, and what to do about it. */
export type ProblemWords<Code extends string> = Readonly<Record<`problem.${Code}` | `problem.${Code}.help`, string>>;

/** Each in its own name. A language more is a line here, its file, and the line that loads it (`learn`). */
export const languageNames = { en: "English", de: "Deutsch" } as const;
export type Language = keyof typeof languageNames;
export type OtherLanguage = Exclude<Language, "en">;
export type WordParams = Readonly<Record<string, string | number>>;

export const languages = Object.keys(languageNames) as readonly Language[];
export const isLanguage = (text: string): text is Language => Object.hasOwn(languageNames, text);

const writtenFromTheRight: readonly string[] = ["ar", "fa", "he", "ur"];
/** How numbers are written in the language where nobody says more: British English, since the rest is too. */
export const localeOf = (language: Language): string => ({ en: "en-GB", de: "de-DE" })[language];

export const direction = (language: string): "ltr" | "rtl" => (writtenFromTheRight.includes(language) ? "rtl" : "ltr");

type WordsHeld = Readonly<Partial<Record<string, string>>>;

const known = new Map<Language, WordsHeld>();

/** From now on these words of that language can be spoken, beside those learnt before. */
export const learn = (language: Language, words: Partial<WordsOfPages>): void =>
  void known.set(language, { ...known.get(language), ...words });

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

/** The key of the form that these words have for so many; `other` where they have no form of their own for it. */
export function keyOfForm(key: string, count: number, locale: string, words: WordsHeld): string {
  const form = `${key}.${new Intl.PluralRules(locale).select(count)}`;
  return Object.hasOwn(words, form) ? form : `${key}.other`;
}

/** As `word`, for what is said of a number: it stands in the text as `{count}`, written as the language writes numbers. */
export function wordCounted(key: CountedKey, count: number, language: Language = "en", params: WordParams = {}): string {
  const own = known.get(language) ?? {};
  const spoken = Object.hasOwn(own, `${key}.other`) ? language : "en";
  const locale = localeOf(spoken);
  const form = keyOfForm(key, count, locale, known.get(spoken) ?? {});
  return wordByKey(form, spoken, { count: new Intl.NumberFormat(locale).format(count), ...params });
}

/** As `word`, for a key made from an id. Throws on a key that is none: an id without words is a mistake in the catalogue. */
export const wordByKey = (key: string, language: Language = "en", params: WordParams = {}): string => {
  if (!isWordKey(key)) throw new Error(`no words for "${key}"`);
  return word(key, language, params);
};
