import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { frozenSheets } from "../../shared/catalogue/every-version.ts";
import { stations } from "../../shared/catalogue/stations.ts";
import { categorySchema, competenceSchema, roleSchema, standingSchema } from "../../shared/contracts/common.ts";
import { quantitySchema, unitSchema } from "../../shared/contracts/quantities.ts";
import { de } from "../../shared/words/de.ts";
import { deOfPapers } from "../../shared/words/de-of-papers.ts";
import { en } from "../../shared/words/en.ts";
import { enOfPages } from "../../shared/words/en-of-pages.ts";
import { isWordKey, type Language, localeOf, otherLanguages, word, wordByKey, wordCounted } from "../../shared/words/index.ts";
import { itemHow } from "../../shared/words/item-words.ts";
import { sayLimit } from "../../shared/words/say-guidance.ts";
import { allThatWasSeen } from "../../shared/words/say-reason.ts";
import { keyOfForm } from "../../shared/words/speak.ts";
import { anyFeatures, everyCombination, everyItem } from "../support/machines.ts";

/** Every key that the catalogue and the contracts lead to. */
const keysInUse = (() => {
  const keys = new Set<string>();
  for (const { id, tools, observations } of everyItem) {
    for (const part of ["name", "prompt", "why"]) keys.add(`item.${id}.${part}`);
    for (const tool of tools ?? []) keys.add(`tool.${tool}`);
    for (const seen of observations) keys.add(`observation.${seen.id}`);
  }
  // What an old sheet says stays in its words.
  for (const { daily, weekly } of frozenSheets)
    for (const seen of [...daily, ...weekly].flatMap(({ observations }) => observations)) keys.add(`observation.${seen.id}`);
  const varied = everyItem.filter(({ howVariant }) => howVariant);
  for (const item of everyItem) if (!item.howVariant) keys.add(`item.${item.id}.how`);
  for (const features of everyCombination())
    for (const item of varied) if (item.applies(features)) keys.add(`item.${item.id}.how.${item.howVariant?.(features)}`);
  // The combinations have the front brake worked by hand and the rear one by foot; the other way round is allowed too.
  for (const { id } of varied) if (/brake/.test(id)) for (const way of ["hand", "foot"]) keys.add(`item.${id}.how.${way}`);
  for (const { id } of stations) keys.add(`station.${id}`);
  const closed = { category: categorySchema, competence: competenceSchema, role: roleSchema, standing: standingSchema };
  for (const [area, schema] of Object.entries({ ...closed, quantity: quantitySchema, unit: unitSchema }))
    for (const value of schema.options) keys.add(`${area}.${value}`);
  return keys;
})();

describe("words", () => {
  it("everything that a person sees of the catalogue has its words", () => {
    expect([...keysInUse].filter((key) => !isWordKey(key))).toEqual([]);
  });

  it("no words of the catalogue are left over from an item or observation that is gone", () => {
    const ofCatalogue = /^(item|observation|tool|station|quantity|unit)\./;
    expect(Object.keys(en).filter((key) => ofCatalogue.test(key) && !keysInUse.has(key))).toEqual([]);
  });

  it("what a rider taps fits on a phone, and no text is blank or untrimmed", () => {
    for (const [key, text] of Object.entries(en)) {
      expect([key, text.trim()]).toEqual([key, text]);
      expect(text.length).toBeGreaterThan(0);
      // Two lines of a small phone for what is tapped, five for how it is done (common practice, no source).
      if (key.startsWith("observation.")) expect([key, text.length <= 48]).toEqual([key, true]);
      if (key.endsWith(".prompt")) expect([key, text.length <= 80]).toEqual([key, true]);
      if (key.endsWith(".name") && !key.startsWith("audit.")) expect([key, text.length <= 40]).toEqual([key, true]);
      if (key.startsWith("item.") && key.includes(".how")) expect([key, text.length <= 260]).toEqual([key, true]);
    }
  });

  it("the texts of one item differ from each other, so that no answer can be mistaken", () => {
    for (const { observations } of everyItem) {
      const texts = observations.map(({ id }) => wordByKey(`observation.${id}`));
      expect(new Set(texts).size).toBe(texts.length);
    }
  });

  it("how an item is done is known for every machine that has it", () => {
    fc.assert(
      fc.property(anyFeatures, (features) => {
        for (const item of everyItem) if (item.applies(features)) expect(itemHow(item, features).length).toBeGreaterThan(5);
      }),
    );
  });

  it("starting a machine with choke and decompressor is told otherwise than starting one with a button", () => {
    expect(word("item.engine-running.how.kick-choke-decompressor")).toMatch(/choke[\s\S]*decompressor/i);
    expect(word("item.engine-running.how.electric")).not.toMatch(/choke|decompressor|kick/i);
  });

  it("a key that is none is an error and never an empty text", () => {
    expect(() => wordByKey("item.no-such.prompt")).toThrow(/no words/);
    expect(() => wordByKey("toString")).toThrow(/no words/);
  });

  it("the caution says what the service does not replace", () => {
    expect(word("caution.line")).toMatch(/handbook.*local law.*licensed examiner/);
  });
});

describe("what is said of a number", () => {
  const spoken: readonly [Language, Readonly<Record<string, string>>][] = [
    ["en", en],
    ["de", de],
  ];

  it.each(spoken)("has in %s every form that the language tells apart, and no other", (language, words) => {
    const forms = new Intl.PluralRules(localeOf(language)).resolvedOptions().pluralCategories;
    const stems = Object.keys(words).flatMap((key) =>
      Object.hasOwn(words, key.replace(/other$/, "one")) ? [/^(.*)\.other$/.exec(key)?.[1] ?? ""] : [],
    );
    const counted = stems.filter((stem) => stem !== "");
    expect(counted.length).toBeGreaterThan(10);
    for (const stem of counted) {
      const held = Object.keys(words).filter((key) => key.startsWith(`${stem}.`) && /\.(zero|one|two|few|many|other)$/.test(key));
      expect(held.map((key) => key.slice(stem.length + 1)).sort(), stem).toEqual([...forms].sort());
      expect(words[`${stem}.other`], stem).toContain("{count}");
    }
  });

  it("is right for none, one and many, in both languages", () => {
    const said = (language: Language) => [0, 1, 2, 1200].map((count) => wordCounted("board.jobs", count, language));
    expect(said("en")).toEqual(["0 jobs", "1 job", "2 jobs", "1,200 jobs"]);
    expect(said("de")).toEqual(["0 Arbeiten", "1 Arbeit", "2 Arbeiten", "1.200 Arbeiten"]);
  });

  it("where a language does not have it is said in English, by English rules", () => {
    expect(wordCounted("pack.cover.ridden", 1, "de")).toBe("One machine-day was ridden without a check");
    expect(wordCounted("pack.cover.ridden", 1200, "de")).toBe("1,200 machine-days were ridden without a check");
  });

  it("takes the forms of a language with more of them from its file, and does with one where there is one", () => {
    const polish = { "jobs.one": "praca", "jobs.few": "prace", "jobs.many": "prac", "jobs.other": "pracy" };
    expect([1, 2, 5, 22, 1.5].map((count) => keyOfForm("jobs", count, "pl", polish))).toEqual([
      ...["jobs.one", "jobs.few", "jobs.many", "jobs.few", "jobs.other"],
    ]);
    expect([1, 2].map((count) => keyOfForm("jobs", count, "ja", { "jobs.other": "仕事" }))).toEqual(["jobs.other", "jobs.other"]);
    expect(keyOfForm("jobs", 2, "pl", { "jobs.one": "praca", "jobs.other": "pracy" })).toBe("jobs.other");
  });
});

describe("German", () => {
  const ofPapers: readonly string[] = Object.keys(deOfPapers);
  const spoken: Readonly<Record<string, string>> = otherLanguages.de;
  const pairs = Object.entries<string>(en)
    .filter(([key]) => Object.hasOwn(enOfPages, key) || ofPapers.includes(key))
    .map(([key, english]) => ({ key, english, german: spoken[key] ?? "" }));

  it("has every key of the pages and no other but those of errors, whose English stands with them", () => {
    const ofPages = Object.keys(de).filter((key) => !key.startsWith("problem."));
    expect(ofPages.sort()).toEqual(Object.keys(enOfPages).sort());
  });

  it("has the same places to be filled in, and the same figures", () => {
    const placed = (text: string) => [...text.matchAll(/\{\w+\}/g)].map(([place]) => place).sort();
    const figures = (text: string) => (text.match(/\d+/g) ?? []).sort();
    for (const { key, english, german } of pairs) {
      expect([key, placed(german)]).toEqual([key, placed(english)]);
      expect([key, figures(german)]).toEqual([key, figures(english)]);
    }
  });

  it("left nothing in English", () => {
    // What is written alike in both: what has hardly a word beside its places, and words that German has taken over.
    const isWorded = (text: string): boolean => /\p{L}{4}/u.test(text.replace(/\{\w+\}/g, ""));
    const alike = pairs.filter(({ english, german }) => english === german && isWorded(english)).map(({ key }) => key);
    expect(alike.sort()).toEqual(["report.label.name", "report.review.person", "tool.multimeter"]);
  });

  it("fits on the phone where English does: what is tapped in two lines, and how it is done in six", () => {
    for (const { key, german } of pairs) {
      expect([key, german.trim() === german && german.length > 0]).toEqual([key, true]);
      if (key.startsWith("observation.")) expect([key, german.length <= 60]).toEqual([key, true]);
      if (key.endsWith(".name") && !key.startsWith("audit.")) expect([key, german.length <= 48]).toEqual([key, true]);
      if (key.startsWith("item.") && key.includes(".how")) expect([key, german.length <= 330]).toEqual([key, true]);
    }
  });

  it("is spoken, and what it does not have is said in English", () => {
    expect(word("station.drive", "de")).toBe("Antrieb");
    expect(word("pack.title", "de")).toBe(word("pack.title"));
    expect(sayLimit({ kind: "handbook", least: 1.5, most: null, unit: "mm", source: "" }, "de")).toBe("mindestens 1,5\u00a0mm");
  });
});

describe("what was seen of one part", () => {
  it.each(["en", "de"] as const)("is said once where both sheets say it in the same words (%s)", (language) => {
    const [daily, weekly] = ["bodywork.mirror-cracked", "bodywork-weekly.mirror-cracked"];
    expect(allThatWasSeen([daily, weekly], language)).toEqual(allThatWasSeen([daily], language));
    expect(allThatWasSeen([daily, "horn.silent"], language)).toHaveLength(2);
  });
});
