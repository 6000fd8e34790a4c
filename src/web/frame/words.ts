// The words of the pages in the language that this device has chosen. Every text stands in shared/words behind a key.

import type { Unit } from "../../../shared/contracts/quantities.ts";
import { decimalsBeside, formatQuantity } from "../../../shared/units.ts";
import { isolated } from "../../../shared/words/isolate.ts";
import {
  direction,
  isLanguage,
  isWordKey,
  type Language,
  languageNames,
  learn,
  type PageCountedKey,
  type PageWordKey,
  type WordParams,
  word,
  wordCounted,
} from "../../../shared/words/speak.ts";
import { createStore, keptStore } from "./store.ts";

export { languageNames };

/** Fetched when the language is spoken: a phone on a poor link takes the words of one language only. */
const loaders: Readonly<Record<Language, () => Promise<void>>> = {
  en: async () => learn("en", (await import("../../../shared/words/en-of-pages.ts")).enOfPages),
  de: async () => learn("de", (await import("../../../shared/words/de.ts")).de),
};

const preferred = (): Language => navigator.languages.map((tag) => tag.slice(0, 2)).find(isLanguage) ?? "en";

const chosen = keptStore<Language>("ferrule.language", preferred(), isLanguage);

/** The language that is spoken now; follows the choice once its words are here. */
export const spoken = createStore<Language>("en");

/** False where its words did not come: the page stays in the language that it has. */
async function speak(language: Language): Promise<boolean> {
  try {
    await loaders[language]();
  } catch {
    return false;
  }
  spoken.set(language);
  document.documentElement.lang = language;
  document.documentElement.dir = direction(language);
  return true;
}

/** Before anything is drawn: the language chosen, else English. False where neither could be fetched. */
export const openWords = async (): Promise<boolean> => (await speak(chosen.get())) || speak("en");

export async function chooseLanguage(language: Language): Promise<void> {
  chosen.set(language);
  await speak(language);
}

export const language = (): Language => spoken.get();

/** Whether the page speaks as the service does, whose own sentences can be shown then: they say more than a code. */
export const asServiceSpeaks = (): boolean => language() === "en";

/** The text behind a key, in the language spoken. */
export const say = (key: PageWordKey, params: WordParams = {}): string => word(key, language(), isolatedAll(params));

/** A Hebrew or Arabic name keeps its direction to itself, wherever in a sentence it stands. */
const isolatedAll = (params: WordParams): WordParams =>
  Object.fromEntries(Object.entries(params).map(([name, value]) => [name, isolated(String(value))]));

/** The text behind a key in the form for so many, which stands in it as `{count}`. */
export const sayCounted = (key: PageCountedKey, count: number, params: WordParams = {}): string =>
  wordCounted(key, count, language(), { count: sayNumber(count), ...isolatedAll(params) });

/** The text behind a key that is made from an id; where there is none, `otherwise`. */
export const sayKey = (key: string, otherwise: string, params: WordParams = {}): string =>
  isWordKey(key) ? word(key, language(), params) : otherwise;

/** The device's own form of the language, where it has one: people in London and in New York write a day each in their own way. */
const locale = (): string => navigator.languages.find((tag) => tag.slice(0, 2) === language()) ?? language();

const yearOf = (at: Date, timeZone: string | undefined): string => new Intl.DateTimeFormat("en", { year: "numeric", timeZone }).format(at);

/** A day of another year is told with its year: who reads it months later must not take it for this year's. */
const clock = (options: Intl.DateTimeFormatOptions) => (at: string | Date, timeZone?: string) => {
  const moment = new Date(at);
  const isThisYear = options.day === undefined || yearOf(moment, timeZone) === yearOf(new Date(), timeZone);
  return new Intl.DateTimeFormat(locale(), { ...options, timeZone, ...(isThisYear ? {} : { year: "numeric" }) }).format(moment);
};

/** Instants as people read them, in the zone given or that of the device. */
export const sayTime = clock({ hour: "2-digit", minute: "2-digit" });
export const sayMoment = clock({ day: "numeric", month: "short", hour: "2-digit", minute: "2-digit" });

const sayDate = clock({ weekday: "short", day: "numeric", month: "short" });

/** A day `YYYY-MM-DD` as people read it. */
export const sayDay = (day: string): string => sayDate(`${day}T00:00:00Z`, "UTC");

export const sayNumber = (value: number, digits = 0): string =>
  new Intl.NumberFormat(locale(), { maximumFractionDigits: digits }).format(value);

/** A value with its unit, as people read it. */
export const sayQuantity = (value: number, unit: Unit): string => formatQuantity(value, unit, locale());

/** The same with as many decimals as tell it from what stands beside it: 2.01 % beside a limit of 2 %, and never 'over by 0 mm'. */
export const sayQuantityBeside = (value: number, unit: Unit, beside: readonly (number | null)[]): string =>
  formatQuantity(value, unit, locale(), decimalsBeside(value, beside, unit));
