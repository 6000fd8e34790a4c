// 'How to add' of DEVELOPERS.md, followed: what it names is there, and an observation that is added as it says is one that the sheet takes.
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { itemsFor, SHEET_VERSION } from "../../shared/catalogue/sheet.ts";
import type { Item } from "../../shared/catalogue/types.ts";
import { sheetsOf } from "../../shared/catalogue/versions.ts";
import { isWordKey, otherLanguages } from "../../shared/words/index.ts";
import { catalogue, problemRoutes } from "../../src/platform/index.ts";
import { allErrors } from "../../src/rooms.ts";
import { faultsOf, mostObservations } from "../support/item-faults.ts";
import { chainMachine, everyItem } from "../support/machines.ts";
import { filesOf, top } from "../support/sources.ts";

const guide = readFileSync(join(top, "DEVELOPERS.md"), "utf8");
const section = guide.split(/^## /m).find((part) => part.startsWith("How to add\n")) ?? "";
const named = [...section.matchAll(/`([^`]+)`/g)].map((match) => match[1] ?? "");

const files = filesOf(["src", "shared", "seeds", "tests", "prisma"], "").filter(({ path }) => !path.startsWith("src/web/built/"));
const paths = files.map(({ path }) => path);
// What only this guide and its test say is in nobody's code.
const code = files.filter(({ path }) => /\.tsx?$/.test(path) && path !== "tests/house/how-to-add.test.ts").map(({ text }) => text);

/** A path as the guide writes it: `<room>` for any name, `*` for any part of one, `{a,b}` for either; a folder ends with a slash. */
function isThere(written: string): boolean {
  const pattern = written
    .replace(/[.+?^$()|[\]\\]/g, "\\$&")
    .replace(/\{([^}]+)\}/g, (_, choice: string) => `(?:${choice.replaceAll(",", "|")})`)
    .replace(/<[^>]+>|\*/g, "[^/]+?");
  const end = written.endsWith("/") ? "" : "$";
  return paths.some((path) => new RegExp(`(?:^|/)${pattern.replaceAll("[^/]+?", "[^/]*")}${end}`).test(path));
}
const isPath = (text: string): boolean =>
  !text.includes(" ") && (text.endsWith("/") || /\.(ts|tsx|css|json|ndjson|md|sql|prisma)$/.test(text));

describe("'How to add'", () => {
  test("names files and folders that are there", () => {
    const written = named.filter(isPath);
    expect(written.length).toBeGreaterThan(25);
    expect(written.filter((path) => !isThere(path))).toEqual([]);
    expect(isThere("shared/catalogue/{daily,weekly}*.js")).toBe(false);
  });

  test("names what stands in the code", () => {
    const words = named.filter((text) => !isPath(text) && !text.startsWith("npm run "));
    expect(words).toContain("SHEET_VERSION");
    expect(words.filter((word) => !code.some((text) => text.includes(word)))).toEqual([]);
  });

  const item = everyItem.find(({ observations }) => observations.length < mostObservations);
  const withOneMore = (to: Item, what: string): Item => ({
    ...to,
    observations: [...to.observations, { id: `${to.id}.${what}`, category: "minor", source: "common-practice" }],
  });

  test("a check item: an observation more, at an item that has room, is one that the sheet takes, and asks for its words", () => {
    if (!item) throw new Error("no item has room for one more");
    const added = withOneMore(item, "seen-in-a-test");
    expect(faultsOf(everyItem.map((one) => (one.id === item.id ? added : one)))).toEqual([]);
    expect(isWordKey(`observation.${item.observations[0]?.id}`)).toBe(true);
    expect(isWordKey(`observation.${item.id}.seen-in-a-test`)).toBe(false);
  });

  test("a check item: what the sheet does not take is named, with its number", () => {
    const full = everyItem.find(({ observations }) => observations.length === mostObservations);
    if (!full) throw new Error("no item is full");
    expect(faultsOf([withOneMore(full, "one-too-many")])).toEqual([`${full.id} offers 10 observations, 3 to 9 are allowed`]);
    expect(faultsOf([withOneMore(withOneMore(full, "same"), "same")])).toContain(`the observation ${full.id}.same is there twice`);
    expect(faultsOf([withOneMore(full, "Not Kebab")])).toContain(`the observation ${full.id}.Not Kebab is not ${full.id}.<what-is-seen>`);
    expect(faultsOf([{ ...full, observations: [] }])).toContain(`${full.id} offers nothing that may be ridden with`);
  });

  test("an error: what it lacks is refused by the compiler, which reads the lines below", () => {
    const added = { status: 409, title: "Made for a test" };
    // @ts-expect-error: it says nobody what to do.
    catalogue({ "made-for-a-test": added });
    const whole = catalogue({ "made-for-a-test": { ...added, help: "Nothing needs to be done." } });
    expect(whole.problem("made-for-a-test", "once").title).toBe(added.title);
    // @ts-expect-error: German has neither title nor help of it.
    problemRoutes({ ...allErrors, ...whole.entries }, otherLanguages);
    const [key, helpKey] = ["problem.made-for-a-test", "problem.made-for-a-test.help"] as const;
    const titled = { ...otherLanguages.de, [key]: "Für einen Test gemacht" };
    // @ts-expect-error: German says nobody what to do.
    problemRoutes({ ...allErrors, ...whole.entries }, { de: titled });
    problemRoutes({ ...allErrors, ...whole.entries }, { de: { ...titled, [helpKey]: "Es ist nichts zu tun." } });
  });

  test("a sheet version: the newest is the one that machines are checked by", () => {
    expect(itemsFor(chainMachine, "daily", SHEET_VERSION)).toEqual(itemsFor(chainMachine, "daily"));
    expect(sheetsOf(SHEET_VERSION)).toBeDefined();
  });
});
