// One catalogue of errors: each code once, told in each language, and used.
import { expect, test } from "vitest";
import { otherLanguages } from "../../shared/words/index.ts";
import { allErrors } from "../../src/rooms.ts";
import { filesOf } from "../support/sources.ts";

const codes = Object.keys(allErrors).sort();
const source = filesOf(["src", "shared"]);
const isRooms = (path: string): boolean => path.endsWith("/errors.ts");
const elsewhere = source.filter(({ path }) => !isRooms(path));

test("every room's part is in it, and no two rooms speak the same code", () => {
  const parts = source
    .filter(({ path }) => isRooms(path))
    .map(({ text }) => [...text.matchAll(/^ {2}"?([a-z-]+)"?: \{\n {4}status: /gm)].map((match) => match[1] ?? ""));
  const all = parts.flat();
  expect(parts.length).toBeGreaterThan(9);
  expect(all.filter((code, index) => all.indexOf(code) !== index)).toEqual([]);
  expect(all.sort()).toEqual(codes);
});

const title = /^[A-Z].{5,}[^.]$/;
const help = /^[A-Z]\S* .*\.$/;

test("every code is in kebab-case with a title and help for people and the status of an error", () => {
  for (const [code, entry] of Object.entries(allErrors)) {
    expect(code).toMatch(/^[a-z]+(-[a-z]+)*$/);
    expect(entry.title, code).toMatch(title);
    expect(entry.help, code).toMatch(help);
    expect(entry.status, code).toBeGreaterThanOrEqual(400);
    expect(entry.status, code).toBeLessThan(600);
  }
});

test.each(Object.entries(otherLanguages))("in %s every code has a title and help of its own, and no other code has", (_, words) => {
  const told = Object.entries<string>(words).filter(([key]) => key.startsWith("problem."));
  expect(told.map(([key]) => key).sort()).toEqual(codes.flatMap((code) => [`problem.${code}`, `problem.${code}.help`]).sort());
  const english = new Set(Object.values(allErrors).flatMap((entry) => [entry.title, entry.help]));
  for (const [key, text] of told) {
    expect(text, key).toMatch(key.endsWith(".help") ? help : title);
    expect(english.has(text), key).toBe(false);
  }
});

test("every code that is thrown stands in the catalogue", () => {
  const thrown = elsewhere.flatMap(({ text }) =>
    [...text.matchAll(/(?:\.problem|\brefuse|\bnotWhole)\(\s*"([^"]+)"/g)].map((match) => match[1] ?? ""),
  );
  expect(thrown.length).toBeGreaterThan(40);
  expect(thrown.filter((code) => !codes.includes(code))).toEqual([]);
});

test("every code of the catalogue is used somewhere", () => {
  const used = new Set(elsewhere.flatMap(({ text }) => [...text.matchAll(/"([a-z-]+)"/g)].map((match) => match[1] ?? "")));
  expect(codes.filter((code) => !used.has(code))).toEqual([]);
});

// What no test can bring about in a moment: rivals who write to one machine without a pause, five thousand defects in one period.
const metByNone = ["busy", "period-too-long"];

test("every code of the catalogue is what some test is answered", () => {
  const expected = new Set(
    filesOf(["tests/http", "tests/faults"]).flatMap(({ text }) => [...text.matchAll(/"([a-z-]+)"/g)].map((match) => match[1] ?? "")),
  );
  expect(codes.filter((code) => !expected.has(code))).toEqual(metByNone);
});
