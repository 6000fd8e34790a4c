// One catalogue of errors: each code once, and each used.
import { expect, test } from "vitest";
import { platformErrors } from "../../src/platform/index.ts";
import { allErrors, rooms } from "../../src/rooms.ts";
import { filesOf } from "../support/sources.ts";

const codes = Object.keys(allErrors).sort();
const source = filesOf(["src", "shared"]).filter(({ path }) => !path.endsWith("/errors.ts"));

test("no two rooms speak the same code", () => {
  const all = [platformErrors, ...rooms.flatMap(({ errors }) => errors ?? [])].flatMap(({ entries }) => Object.keys(entries));
  expect(all.filter((code, index) => all.indexOf(code) !== index)).toEqual([]);
  expect(all.sort()).toEqual(codes);
});

test("every code is in kebab-case with a title for people and the status of an error", () => {
  for (const [code, { status, title }] of Object.entries(allErrors)) {
    expect(code).toMatch(/^[a-z]+(-[a-z]+)*$/);
    expect(title, code).toMatch(/^[A-Z].{5,}[^.]$/);
    expect(status, code).toBeGreaterThanOrEqual(400);
    expect(status, code).toBeLessThan(600);
  }
});

test("every code that is thrown stands in the catalogue", () => {
  const thrown = source.flatMap(({ text }) =>
    [...text.matchAll(/(?:\.problem|\brefuse|\bnotWhole)\(\s*"([^"]+)"/g)].map((match) => match[1] ?? ""),
  );
  expect(thrown.length).toBeGreaterThan(40);
  expect(thrown.filter((code) => !codes.includes(code))).toEqual([]);
});

test("every code of the catalogue is used somewhere", () => {
  const used = new Set(source.flatMap(({ text }) => [...text.matchAll(/"([a-z-]+)"/g)].map((match) => match[1] ?? "")));
  expect(codes.filter((code) => !used.has(code))).toEqual([]);
});
