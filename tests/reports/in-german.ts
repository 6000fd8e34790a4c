// The facts of the samples as a service collects them for a paper in German: its own words in German, what people wrote as they wrote it.
import { en } from "../../shared/words/en.ts";
import { otherLanguages } from "../../shared/words/index.ts";
import type { Frame } from "../../src/reports/facts.ts";

const german: Readonly<Record<string, string>> = otherLanguages.de;
// Codes of closed lists are written small, and stay: the paper finds their words itself.
const germanOf = new Map(
  Object.entries<string>(en).flatMap(([key, text]) => (/^\p{Lu}/u.test(text) ? [[text, german[key] ?? text] as const] : [])),
);

function translated(value: unknown): unknown {
  if (typeof value === "string") return germanOf.get(value) ?? value;
  if (value === null || typeof value !== "object" || value instanceof Date || value instanceof Uint8Array) return value;
  if (Array.isArray(value)) return value.map(translated);
  return Object.fromEntries(Object.entries(value).map(([name, own]) => [name, translated(own)]));
}

/** The same facts for a paper in German. */
export const inGerman = <Facts extends { readonly frame: Frame }>(facts: Facts): Facts => {
  const told = translated(facts) as Facts;
  return { ...told, frame: { ...told.frame, language: "de" } };
};
