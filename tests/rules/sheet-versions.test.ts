// A sheet version is fixed by what it says. A record keeps the hash; here stand the hashes that were published.
import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { frozenSheets } from "../../shared/catalogue/every-version.ts";
import { itemsFor, SHEET_VERSION } from "../../shared/catalogue/sheet.ts";
import { sheetsOf } from "../../shared/catalogue/versions.ts";
import { isWordKey, type Language, wordByKey } from "../../shared/words/index.ts";
import { itemName } from "../../shared/words/item-words.ts";
import { sheetDocument } from "../../shared/words/say-sheet.ts";
import { sheetSha256, sheetText, sheetVersions } from "../../src/checks/index.ts";
import { sha256 } from "../../src/ledger/index.ts";
import { chainMachine } from "../support/machines.ts";

/**
 * The published hashes. Where this fails, a sheet says something else than it did: for a frozen version that is never right. The newest may
 * change until it is first used; whoever changes it on purpose writes its new hash here.
 */
const published: Readonly<Record<string, string>> = {
  "2026-11": "2a7235eb772f0b7fd6f9654b07a734fe366e4e7818711065974ec32ff623cd37",
  "2026-12": "91df6f6ae8c423165760de2c01031b4a6c63ce58ebdfdfae1a1bd84494b60a6f",
};

describe("a sheet version says what it always said", () => {
  it("every version has its published hash", () => {
    const hashes = Object.fromEntries(sheetVersions.map((version) => [version, sheetSha256(version)]));
    expect(hashes, "a sheet says something else than was published: DEVELOPERS.md, 'A check item', says what to do").toEqual(published);
    expect(sheetSha256("1999-01")).toBeNull();
    expect(sheetVersions.at(-1)).toBe(SHEET_VERSION);
  });

  it("the file of a frozen version has that hash by any tool", () => {
    for (const { version } of frozenSheets) {
      const file = readFileSync(new URL(`../../shared/catalogue/frozen/${version}.json`, import.meta.url));
      expect([version, sha256(file)]).toEqual([version, published[version]]);
    }
  });

  it("a frozen version is judged by exactly what its file says", () => {
    for (const { version } of frozenSheets) {
      const [file, sheets] = [JSON.parse(sheetText(version) ?? ""), sheetsOf(version)];
      if (!sheets) throw new Error(`${version} was not learnt`);
      // The words are those of today, so they stand where they stood as well.
      const { daily, weekly } = sheetDocument(version, sheets);
      expect(JSON.parse(JSON.stringify({ daily, weekly }))).toEqual({ daily: file.daily, weekly: file.weekly });
    }
  });

  it("what a record of an old version names still has its words in every language", () => {
    for (const { version, daily, weekly } of frozenSheets)
      for (const item of [...daily, ...weekly])
        for (const language of ["en", "de"] satisfies Language[]) {
          expect(itemName(item.id, language).length, version).toBeGreaterThan(1);
          for (const { id } of item.observations) expect(wordByKey(`observation.${id}`, language).length).toBeGreaterThan(1);
        }
  });
});

describe("whatever a sheet says is in its hash", () => {
  const sheets = sheetsOf(SHEET_VERSION);
  if (!sheets) throw new Error("no sheet");
  const document = () => JSON.parse(JSON.stringify(sheetDocument(SHEET_VERSION, sheets)));

  it("a category, an order, a condition, a prompt, a competence, a second person, a repair, a quantity, the proof", () => {
    const before = JSON.stringify(document());
    const changes: ((said: ReturnType<typeof document>) => void)[] = [
      (said) => (said.daily[0].observations[0].category = "major"),
      (said) => said.daily.reverse(),
      (said) => (said.weekly[0].applies = { feature: "drive", in: ["belt"] }),
      (said) => (said.daily[0].prompt.de = "Lenker"),
      (said) => (said.daily[0].observations[0].text.en = "Grip"),
      (said) => (said.weekly[0].competence = "general"),
      (said) => (said.weekly[0].secondPerson = false),
      (said) => (said.daily.find(({ quantity }: { quantity?: string }) => quantity).quantity = "charge"),
      (said) => (said.proof[1].believable.kPa = [0, 900]),
    ];
    for (const change of changes) {
      const said = document();
      change(said);
      expect(JSON.stringify(said)).not.toBe(before);
    }
  });

  it("the document chooses the items of a machine as the sheet does, with words for each", () => {
    const said = document();
    const holds = (condition: unknown): boolean => {
      if (condition === "any") return true;
      const { all, either, feature, in: among } = condition as Record<string, unknown[]> & { feature: string };
      if (all) return all.every(holds);
      if (either) return either.some(holds);
      const value = feature.split(".").reduce<unknown>((held, name) => (held as Record<string, unknown>)[name], chainMachine);
      return (among ?? []).includes(value ?? null);
    };
    for (const kind of ["daily", "weekly"] as const) {
      const chosen = said[kind].filter(({ applies }: { applies: unknown }) => holds(applies)).map(({ id }: { id: string }) => id);
      expect(chosen).toEqual(itemsFor(chainMachine, kind).map(({ id }) => id));
      for (const id of chosen) expect(isWordKey(`item.${id}.prompt`)).toBe(true);
    }
  });
});
