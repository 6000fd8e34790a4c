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

/** Loads the words of a language when it is chosen, so that a phone on a poor link loads one language only, and of that what its area needs. */
const loaders: Readonly<Record<Language, { readonly first: () => Promise<void>; readonly desks: () => Promise<void> }>> = {
  en: {
    first: async () => learn("en", (await import("../../../shared/words/en-of-riders.ts")).enOfRiders),
    desks: async () => learn("en", (await import("../../../shared/words/en-of-desks.ts")).enOfDesks),
  },
  de: {
    first: async () => learn("de", (await import("../../../shared/words/de-of-riders.ts")).deOfRiders),
    desks: async () => learn("de", (await import("../../../shared/words/de-of-desks.ts")).deOfDesks),
  },
};

/** Whether an area was opened that needs the words of the desks, in whatever language is chosen from then on. */
let withDesks = false;

const preferred = (): Language => navigator.languages.map((tag) => tag.slice(0, 2)).find(isLanguage) ?? "en";

const chosen = keptStore<Language>("ferrule.language", preferred(), isLanguage);

/** The language shown now; it follows the choice once its words are loaded. */
export const spoken = createStore<Language>("en");

/** False if its words could not be loaded: then the page keeps its language. */
async function speak(language: Language): Promise<boolean> {
  try {
    await Promise.all([loaders[language].first(), withDesks && loaders[language].desks()]);
  } catch {
    return false;
  }
  spoken.set(language);
  document.documentElement.lang = language;
  document.documentElement.dir = direction(language);
  return true;
}

let opening: Promise<boolean> | null = null;

/** Before anything is drawn: the language chosen, else English. False where neither could be fetched. */
export function openWords(): Promise<boolean> {
  opening = (async () => (await speak(chosen.get())) || speak("en"))();
  return opening;
}

/** To be awaited before an area other than a rider's is drawn; fetched beside the first words. Rejects where they cannot be loaded. */
export async function learnDesks(): Promise<void> {
  withDesks = true;
  const wanted = chosen.get();
  const fetched = loaders[wanted].desks();
  fetched.catch(() => undefined);
  await opening;
  await (spoken.get() === wanted ? fetched : loaders[spoken.get()].desks());
}

export async function chooseLanguage(language: Language): Promise<void> {
  chosen.set(language);
  await speak(language);
}

export const language = (): Language => spoken.get();

/** The address of a paper, which then speaks as the page does. */
export const paperAt = (address: string): string => `${address}${address.includes("?") ? "&" : "?"}lang=${language()}`;

/** Whether the page is in the service's language, so that the service's own sentences, which say more than a code, can be shown. */
export const asServiceSpeaks = (): boolean => language() === "en";

/** The text behind a key, in the language spoken. */
export const say = (key: PageWordKey, params: WordParams = {}): string => word(key, language(), isolatedAll(params));

/** Isolates the direction of values, so that a Hebrew or Arabic name does not reverse the words around it. */
const isolatedAll = (params: WordParams): WordParams =>
  Object.fromEntries(Object.entries(params).map(([name, value]) => [name, isolated(String(value))]));

/** The text behind a key in the plural form for `count`, which it contains as `{count}`. */
export const sayCounted = (key: PageCountedKey, count: number, params: WordParams = {}): string =>
  wordCounted(key, count, language(), { count: sayNumber(count), ...isolatedAll(params) });

/** The text behind a key that is made from an id; where there is none, `otherwise`. */
export const sayKey = (key: string, otherwise: string, params: WordParams = {}): string =>
  isWordKey(key) ? word(key, language(), params) : otherwise;

/** The device's own variant of the language, if it has one: dates are written differently in London and in New York. */
export const locale = (): string => navigator.languages.find((tag) => tag.slice(0, 2) === language()) ?? language();

const yearOf = (at: Date, timeZone: string | undefined): string => new Intl.DateTimeFormat("en", { year: "numeric", timeZone }).format(at);

/** A day in another year is shown with its year, so that nobody takes it for this year's. */
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

/** The same with as many decimals as it takes to tell it from the values beside it: 2.01 % beside a limit of 2 %, and never 'over by 0 mm'. */
export const sayQuantityBeside = (value: number, unit: Unit, beside: readonly (number | null)[]): string =>
  formatQuantity(value, unit, locale(), decimalsBeside(value, beside, unit));
