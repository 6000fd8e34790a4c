// The one line of imports: who may know whom, and which packages stay in which room.
import { readFileSync } from "node:fs";
import { join, posix } from "node:path";
import { describe, expect, test } from "vitest";
import { filesOf, importsOf, type SourceFile, top } from "../support/sources.ts";

/** Each imports only what stands before it. */
const line = [
  "platform",
  "pdf",
  "statistics",
  "keys",
  "ledger",
  "witness",
  "people",
  "acts",
  "readiness",
  "photos",
  "fleet",
  "parts",
  "defects",
  "campaigns",
  "checks",
  "planning",
  "figures",
  "insight",
  "reports",
  "costs",
  "audit",
  "keeping",
  "notices",
];
/** The files beside the rooms, after all of them. */
const after = ["rooms.ts", "tables.ts", "app.ts", "main.ts", "print.ts", "prepare.ts", "let-in.ts", "rotate-keys.ts"];

const source = filesOf(["src"]);
const shared = filesOf(["shared"]);

const roomOf = (path: string): string => path.split("/")[1] ?? "";
const isRelative = (name: string): boolean => name.startsWith(".");
const target = (file: SourceFile, name: string): string => posix.join(posix.dirname(file.path), name);

/** Every import as `file -> what it imports`, of the files that `keep` lets through. */
const pairs = (files: readonly SourceFile[]) => files.flatMap((file) => importsOf(file).map((name) => ({ file, name })));
const shown = ({ file, name }: { file: SourceFile; name: string }): string => `${file.path} -> ${name}`;

describe("imports go one way", () => {
  test("the checks below see imports at all", () => {
    expect(source.length).toBeGreaterThan(50);
    expect(pairs(source).filter(({ name }) => isRelative(name)).length).toBeGreaterThan(100);
    expect(
      importsOf({ path: "x", text: 'import { a } from "./a.ts";\nexport {\n  b,\n} from "b";\nimport "c";\nawait import("d");' }),
    ).toEqual(["./a.ts", "b", "c", "d"]);
  });

  test("the line is the one that DEVELOPERS.md tells", () => {
    const guide = readFileSync(join(top, "DEVELOPERS.md"), "utf8");
    const rooms = line.filter((room) => source.some(({ path }) => roomOf(path) === room));
    expect(guide).toContain(`\`${["shared", ...rooms, "rooms", "app", "main"].join(" < ")}\``);
  });

  test("shared imports zod and its own files, nothing else", () => {
    const foreign = pairs(shared).filter(({ file, name }) =>
      isRelative(name) ? !target(file, name).startsWith("shared/") : name !== "zod",
    );
    expect(foreign.map(shown)).toEqual([]);
  });

  test("the records' shapes are opened by their door, and by the service alone: the pages carry no zod", () => {
    const wrong = pairs([...source, ...shared]).filter(({ file, name }) => {
      const to = isRelative(name) ? target(file, name) : "";
      if (!to.startsWith("shared/records/") || file.path.startsWith("shared/records/")) return false;
      return to !== "shared/records/index.ts" || !file.path.startsWith("src/") || roomOf(file.path) === "web";
    });
    expect(wrong.map(shown)).toEqual([]);
    expect(pairs(source).some(({ file, name }) => target(file, name) === "shared/records/index.ts")).toBe(true);
  });

  test("every folder and file of src has its place in the line", () => {
    const unknown = source.map(({ path }) => roomOf(path)).filter((room) => ![...line, ...after, "web"].includes(room));
    expect([...new Set(unknown)]).toEqual([]);
  });

  test("a room imports rooms to its left, and only through their index.ts", () => {
    const wrong = pairs(source).filter(({ file, name }) => {
      if (!isRelative(name)) return false;
      const to = target(file, name);
      if (!to.startsWith("src/")) return false;
      const here = roomOf(file.path);
      const there = roomOf(to);
      if (here === there) return false;
      if (here === "web") return true;
      if (after.includes(there)) return !after.includes(here);
      if (to !== `src/${there}/index.ts`) return true;
      return !after.includes(here) && line.indexOf(there) >= line.indexOf(here);
    });
    expect(wrong.map(shown)).toEqual([]);
  });

  test("no file is imported by what it imports itself, not even for a type: each can be read after those that it names", () => {
    expect(inCircles(importsWithin([...source, ...shared, ...filesOf(["seeds"])]))).toEqual([]);
    const seen = ["a b", "b c", "c b", "c d"].map((one) => one.split(" ")).map(([from = "", to = ""]) => ({ from, to }));
    expect(inCircles(seen)).toEqual(["b -> c", "c -> b"]);
  });

  test("src imports shared/, its own files and packages; the client of Prisma only where SQL is spoken", () => {
    const wrong = pairs(source).filter(({ file, name }) => {
      if (!isRelative(name)) return false;
      const to = target(file, name);
      if (to.startsWith("src/") || to.startsWith("shared/")) return false;
      if (to === "prisma/client/client.ts") return !speaksSql(file.path);
      return !(to.startsWith("seeds/") && file.path === "src/main.ts");
    });
    expect(wrong.map(shown)).toEqual([]);
  });

  test("seeds come through the rooms' own doors", () => {
    const wrong = pairs(filesOf(["seeds"])).filter(({ file, name }) => {
      if (!isRelative(name)) return false;
      const to = target(file, name);
      return !(to.startsWith("seeds/") || to.startsWith("shared/") || /^src\/[a-z]+\/index\.ts$/.test(to));
    });
    expect(wrong.map(shown)).toEqual([]);
  });

  test.each([
    ["pdfkit", ["pdf"]],
    ["sharp", ["photos"]],
    ["cephes", ["statistics"]],
    ["jose", ["keys", "people"]],
    ["@node-rs/argon2", ["people"]],
    ["pkijs", ["witness"]],
    ["asn1js", ["witness"]],
    ["pg", ["platform"]],
    ["@electric-sql/pglite", ["platform"]],
    ["@prisma/adapter-pg", ["platform"]],
    ["prom-client", ["platform"]],
    ["pino", ["platform", "readiness"]],
  ])("%s stays in %j", (name, rooms) => {
    const users = pairs(source).filter((pair) => pair.name === name || pair.name.startsWith(`${name}/`));
    expect(users.length).toBeGreaterThan(0);
    expect(users.filter(({ file }) => !rooms.includes(roomOf(file.path))).map(shown)).toEqual([]);
  });
});

interface Import {
  readonly from: string;
  readonly to: string;
}

/** What these files import of one another. */
function importsWithin(files: readonly SourceFile[]): Import[] {
  const paths = new Set(files.map(({ path }) => path));
  return pairs(files).flatMap(({ file, name }) => {
    const to = isRelative(name) ? target(file, name) : "";
    return paths.has(to) ? [{ from: file.path, to }] : [];
  });
}

/** The imports that are part of a circle, or lie between two: what is left without those that lead to nothing or come from nowhere. */
function inCircles(imports: readonly Import[]): string[] {
  const left = imports.filter(({ from, to }) => imports.some((one) => one.from === to) && imports.some((one) => one.to === from));
  return left.length < imports.length ? inCircles(left) : left.map(({ from, to }) => `${from} -> ${to}`);
}

/** The files that may speak Prisma or SQL. */
const speaksSql = (path: string): boolean =>
  /^src\/[a-z]+\/([a-z-]+\/)?([a-z-]+-)?store\.ts$/.test(path) ||
  /^src\/platform\/database\/(database|server-database|migrations)\.ts$/.test(path) ||
  path === "src/ledger/append.ts";

test("Prisma and SQL are spoken in the stores, in the seam to the database and where the ledger is appended to, and nowhere else", () => {
  // A use case opens its transaction (`$transaction`) and hands it on; a query is something else.
  const query =
    /\.(prisma|tx)\.[a-z]\w*\.(find|create|update|upsert|delete|count|aggregate|group)|\btx\.[a-z]\w*\.[a-z]+\(|\.rows[<(]|\$(query|execute)Raw|\b(SELECT|INSERT INTO|UPDATE|DELETE FROM) [a-z_"*]+/;
  const speakers = source.filter(({ text }) => query.test(text)).map(({ path }) => path);
  expect(speakers.filter((path) => !speaksSql(path) && path !== "src/acts/act-rows.ts")).toEqual([]);
  expect(speakers.length).toBeGreaterThan(4);
});

test("every statement by hand is made with what it answers and asked through the seam, and nowhere claimed by hand", () => {
  const claimed = /\$(query|execute)Raw|\.(rows|stream)<|\bask<|\bas Statement\b|\bcolumns: null\b/;
  for (const text of [
    "tx.$queryRaw<{ id: string }[]>`SELECT id`",
    "tx.$executeRawUnsafe(sql)",
    "tx.$queryRaw`SELECT id FROM depot FOR UPDATE`",
    "db.rows<Row>(sql)",
    "await ask<Row>(sql)",
  ])
    expect(claimed.test(text)).toBe(true);
  const seam = ["src/platform/database/database.ts", "src/platform/database/statement.ts"];
  expect(source.filter(({ path, text }) => claimed.test(text) && !seam.includes(path)).map(({ path }) => path)).toEqual([]);
});

test("nothing hangs on the database or on the context: what a process shares is made where it is opened, and handed in", () => {
  const registry = /new (Weak)?Map<(Database|ServiceContext|KeysContext|PeopleContext|AppContext)\b/;
  expect(registry.test("new WeakMap<Database, string>()")).toBe(true);
  expect(source.filter(({ text }) => registry.test(text)).map(({ path }) => path)).toEqual([]);
});
