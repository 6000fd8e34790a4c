// The facts of the samples as a service collects them for a paper in German: its own words in German, what people wrote as they wrote it.
import { en } from "../../shared/words/en.ts";
import { type Language, otherLanguages, word } from "../../shared/words/index.ts";
import { sayMethod } from "../../shared/words/say-method.ts";
import type { Frame } from "../../src/reports/facts.ts";

const german: Readonly<Record<string, string>> = otherLanguages.de;
// Codes of closed lists are written small, and stay: the paper finds their words itself.
const germanOf = new Map(
  Object.entries<string>(en).flatMap(([key, text]) => (/^\p{Lu}/u.test(text) ? [[text, german[key] ?? text] as const] : [])),
);

const method = (language: Language): string =>
  sayMethod("chain-slack", { chainSlack: { minMm: 20, maxMm: 30, method: "total-travel", run: "lower", wheel: "loaded" } }, language);
const notEquipped = (language: Language): string => word("reason.rider-not-equipped", language, { seen: "Strap torn" });

/** What the samples tell in sentences, as reasons and flags do, and not in a word of the lists alone. */
const told: readonly (readonly [english: string, german: string])[] = [
  ["Front brake cable", word("insight.component.front-brake-cable", "de")],
  ["strands frayed at the lever", "Drähte am Hebel gebrochen"],
  ["Weekly inspection overdue since 11 Jul 2026", "Wocheninspektion war bis Sa. 11. Juli 2026 fällig"],
  ...(["arrived-late", "done-quickly", "text-clipped", "odometer-jump"] as const).map(
    (flag) => [word(`flag.${flag}`), word(`flag.${flag}`, "de")] as const,
  ),
  [method("en"), method("de")],
  [notEquipped("en"), notEquipped("de")],
  ["Tighten by 1 flat on each side: moves the axle by 1.2 mm, 1.4 mm are needed.", "Beide Einsteller um je 1 Fläche anziehen."],
];

const translatedText = (text: string): string =>
  germanOf.get(text) ?? told.reduce((said, [english, german]) => said.replaceAll(english, german), text);

function translated(value: unknown): unknown {
  if (typeof value === "string") return translatedText(value);
  if (value === null || typeof value !== "object" || value instanceof Date || value instanceof Uint8Array) return value;
  if (Array.isArray(value)) return value.map(translated);
  return Object.fromEntries(Object.entries(value).map(([name, own]) => [name, translated(own)]));
}

/** The same facts for a paper in German. */
export const inGerman = <Facts extends { readonly frame: Frame }>(facts: Facts): Facts => {
  const own = translated(facts) as Facts;
  return { ...own, frame: { ...own.frame, language: "de" } };
};
