// What an entry says in a few words, for each kind and each shape in which it was ever written.
import { readFileSync } from "node:fs";
import { expect, test } from "vitest";
import type { KeptRecord } from "../../shared/records/index.ts";
import { inShort } from "../../src/ledger/in-short.ts";

const golden = readFileSync(new URL("./golden-records.ndjson", import.meta.url), "utf8")
  .trim()
  .split("\n")
  .map((line): KeptRecord & { readonly shape: string } => JSON.parse(line));
const told = (entry: KeptRecord): string => inShort(entry, (id) => `<${id.slice(0, 4)}>`, "en");
const kind = (name: string): KeptRecord => {
  const found = golden.find((entry) => entry.kind === name);
  if (!found) throw new Error(`no golden entry is a ${name}`);
  return found;
};

test("every entry is told in both languages, and nothing in it is left open", () => {
  // There is nothing to be said beside its sentence, or its statement may be left out.
  const silent = new Set(["machine-returned", "machine-reinstated", "defect-signed-off"]);
  for (const entry of golden) {
    for (const language of ["en", "de"] as const) {
      const text = inShort(entry, (id) => id, language);
      expect(text, entry.shape).not.toMatch(/undefined|null|\[object|NaN|\{\w+\}/);
      if (!silent.has(entry.kind)) expect(text, `${entry.kind} ${entry.shape}`).not.toBe("");
    }
  }
});

test("changes stand in the order in which the database keeps them, whatever the order in which they were read", () => {
  const entry = kind("depot-amended");
  const before = { name: "Quay Lane", ruleSet: "gb", workshopHoursPerDay: 8 };
  const after = { workshopHoursPerDay: 6.5, ruleSet: "eu", name: "Quay Street" };
  const depotId = (entry.data as { readonly depotId: string }).depotId;
  expect(told({ ...entry, data: { depotId, before, after } })).toBe(
    "name: from <Quay> to <Quay>; rule set: from <gb> to <eu>; workshop hours a day: from 8 to 6.5",
  );
});

test("what was forgotten is said to be, and what cannot be read is left out", () => {
  expect(told({ ...kind("defect-raised"), data: null })).toBe("what it said was forgotten; its hash stays");
  expect(told({ ...kind("defect-raised"), version: 99 })).toBe("");
  expect(told({ ...kind("defect-raised"), data: { defect: { category: "dangerous" } } })).toBe("");
});
