// The closed list of what is recorded: each kind is written somewhere, nothing else is, and every kind of a machine's chain can be folded.
import { readFileSync } from "node:fs";
import { expect, test } from "vitest";
import type { KeptRecord } from "../../shared/records/index.ts";
import { foldMachine } from "../../src/acts/fold.ts";
import { type Kind, kinds, sentenceOf } from "../../src/ledger/index.ts";
import { filesOf } from "../support/sources.ts";

const all = Object.keys(kinds) as Kind[];
// The list itself and the fold only read kinds.
const writers = filesOf(["src"]).filter(({ path }) => !["src/ledger/kinds.ts", "src/acts/fold.ts"].includes(path));

test("every kind in the list is written by somebody", () => {
  const named = new Set(writers.flatMap(({ text }) => [...text.matchAll(/"([a-z]+(?:-[a-z]+)+)"/g)].map((match) => match[1] ?? "")));
  expect(all.filter((kind) => !named.has(kind))).toEqual([]);
});

test("every kind has a version from 1 and a sentence for people", () => {
  for (const [kind, { version }] of Object.entries(kinds)) {
    expect(kind).toMatch(/^[a-z]+(-[a-z]+)+$/);
    expect(version).toBeGreaterThanOrEqual(1);
    expect(sentenceOf(kind as Kind)).toMatch(/^[A-Z].+[^.]$/);
  }
});

test("a fold refuses what does not belong to a machine's chain, and a chain that does not begin at its beginning", () => {
  const at = new Date("2026-07-13T04:30:00.000Z");
  const golden = readFileSync(new URL("../rules/golden-records.ndjson", import.meta.url), "utf8")
    .trim()
    .split("\n");
  const entry = (position: number, kind: Kind) => ({
    data: null as unknown,
    ...golden.map((line): KeptRecord => JSON.parse(line)).find((one) => one.kind === kind),
    ...{ id: `${position}`, position, kind, version: 1, staffId: null, performedAt: at, recordedAt: at },
  });
  expect(() => foldMachine([entry(1, "daily-check")])).toThrow(/does not begin/);
  expect(() => foldMachine([entry(1, "machine-added"), entry(2, "person-added")])).toThrow(/not an entry of a machine/);
});
