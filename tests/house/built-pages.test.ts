// What the pages carry, as they are made.
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { expect, test } from "vitest";
import { otherLanguages } from "../../shared/words/index.ts";
import { allErrors } from "../../src/rooms.ts";
import { top } from "../support/sources.ts";

test("no page carries what to do about an error", () => {
  const { outputs } = JSON.parse(readFileSync(join(top, "src/web/built/weights.json"), "utf8"));
  const pages = Object.keys(outputs).map((path) => readFileSync(join(top, path), "utf8"));
  const carried = (text: string) => pages.some((page) => page.includes(text));
  expect(carried(otherLanguages.de["problem.not-ready"])).toBe(true);
  expect(Object.entries<string>(otherLanguages.de).filter(([key, text]) => key.endsWith(".help") && carried(text))).toEqual([]);
  expect(Object.values(allErrors).filter((entry) => carried(entry.help))).toEqual([]);
});
