// While versions change, the one before works on the schema of the one after: a migration expands, and what is no longer used is taken away
// later (prisma/README.md, 'A migration never breaks what still runs').
import { execFileSync, spawnSync } from "node:child_process";
import { cpSync, mkdtempSync, readdirSync, readFileSync, rmSync, symlinkSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { PGlite } from "@electric-sql/pglite";
import { describe, expect, test } from "vitest";

const top = fileURLToPath(new URL("../../", import.meta.url));
const folder = join(top, "prisma/migrations");
const migrations = readdirSync(folder, { withFileTypes: true })
  .filter((entry) => entry.isDirectory())
  .map(({ name }) => ({ name, sql: readFileSync(join(folder, name, "migration.sql"), "utf8") }))
  .sort((a, b) => (a.name < b.name ? -1 : 1));

// What came before was applied while nothing else ran. That a guard is explained in its migration is asked a day later than the rest: those
// of that day were read for this when the rule was made.
const ruleSince = "20261129190000_know_keys_and_folder";
const guardsSince = "20261130";

interface Column {
  readonly table_name: string;
  readonly column_name: string;
  readonly type: string;
  readonly must: boolean;
  readonly filled: boolean;
}

interface Schema {
  readonly tables: ReadonlySet<string>;
  readonly columns: ReadonlyMap<string, Column>;
  /** constraints and triggers, each as `table: name` */
  readonly guards: ReadonlySet<string>;
}

async function schemaOf(lite: PGlite): Promise<Schema> {
  const columns = await lite.query<Column>(`
    SELECT c.relname AS table_name, a.attname AS column_name, format_type(a.atttypid, a.atttypmod) AS type, a.attnotnull AS must,
      a.atthasdef OR a.attidentity <> '' AS filled
    FROM pg_attribute a JOIN pg_class c ON c.oid = a.attrelid
    WHERE c.relnamespace = 'public'::regnamespace AND c.relkind IN ('r', 'p') AND a.attnum > 0 AND NOT a.attisdropped`);
  const guards = await lite.query<{ guard: string }>(`
    SELECT conrelid::regclass || ': ' || conname AS guard FROM pg_constraint WHERE connamespace = 'public'::regnamespace AND conrelid <> 0 AND contype <> 'n'
    UNION ALL SELECT tgrelid::regclass || ': ' || tgname FROM pg_trigger WHERE NOT tgisinternal
    UNION ALL SELECT indrelid::regclass || ': ' || indexrelid::regclass FROM pg_index JOIN pg_class c ON c.oid = indrelid
      WHERE indisunique AND c.relnamespace = 'public'::regnamespace`);
  return {
    tables: new Set(columns.rows.map((column) => column.table_name)),
    columns: new Map(columns.rows.map((column) => [`${column.table_name}.${column.column_name}`, column])),
    guards: new Set(guards.rows.map(({ guard }) => guard)),
  };
}

/** What a migration takes from code that was written before it. */
function taken(name: string, sql: string, before: Schema, after: Schema): string[] {
  const found: string[] = [];
  for (const [at, was] of before.columns) {
    const is = after.columns.get(at);
    if (!is) {
      if (!name.includes("_contract_")) found.push(`${at} is gone`);
    } else if (is.type !== was.type) found.push(`${at} was ${was.type} and is ${is.type}`);
    else if (is.must && !was.must) found.push(`${at} may no longer be null`);
    else if (is.must && was.filled && !is.filled) found.push(`${at} has lost its default`);
  }
  for (const [at, is] of after.columns) {
    if (before.columns.has(at) || !before.tables.has(is.table_name)) continue;
    if (is.must && !is.filled) found.push(`${at} is new, may not be null and has no default`);
  }
  for (const guard of name < guardsSince ? [] : after.guards) {
    const [table = "", one = ""] = guard.split(": ");
    if (before.guards.has(guard) || !before.tables.has(table)) continue;
    // Whether the code before fulfils it cannot be read from the schema: whoever adds it has thought about it and says why.
    if (!new RegExp(`^-- before: ${one.replaceAll('"', "")}: .+`, "m").test(sql))
      found.push(`${guard} is new; say '-- before: ${one}: why the code before fulfils it'`);
  }
  return found;
}

test("no migration takes anything from the code before it", async () => {
  const lite = new PGlite();
  const found: [string, string[]][] = [];
  for (const { name, sql } of migrations) {
    const before = await schemaOf(lite);
    await lite.exec(`BEGIN;\n${sql}\nCOMMIT;`);
    found.push([name, taken(name, sql, before, await schemaOf(lite))]);
  }
  await lite.close();
  expect(found.filter(([name, what]) => name > ruleSince && what.length > 0)).toEqual([]);
});

test("what would break the code before is found: a column or table that goes or is renamed, a type, a must, a lost default, a new guard", async () => {
  const lite = new PGlite();
  await lite.exec("CREATE TABLE a (one int, two text NOT NULL DEFAULT 'x', three int); CREATE TABLE b (one int)");
  const before = await schemaOf(lite);
  const found = async (sql: string, name = "29991231_next"): Promise<string[]> => {
    await lite.exec("BEGIN");
    await lite.exec(sql);
    const what = taken(name, sql, before, await schemaOf(lite));
    await lite.exec("ROLLBACK");
    return what;
  };
  expect(await found("ALTER TABLE a DROP COLUMN one")).toEqual(["a.one is gone"]);
  expect(await found("ALTER TABLE a RENAME COLUMN one TO other")).toEqual(["a.one is gone"]);
  expect(await found("DROP TABLE b")).toEqual(["b.one is gone"]);
  expect(await found("ALTER TABLE b RENAME TO d")).toEqual(["b.one is gone"]);
  expect(await found("ALTER TABLE a ALTER COLUMN one TYPE bigint")).toEqual(["a.one was integer and is bigint"]);
  expect(await found("ALTER TABLE a ALTER COLUMN one SET NOT NULL")).toEqual(["a.one may no longer be null"]);
  expect(await found("ALTER TABLE a ALTER COLUMN two DROP DEFAULT")).toEqual(["a.two has lost its default"]);
  expect(await found("ALTER TABLE a ADD COLUMN four int NOT NULL")).toEqual(["a.four is new, may not be null and has no default"]);
  expect(await found("ALTER TABLE a ADD CONSTRAINT small CHECK (one < 9)")).toEqual([expect.stringContaining("a: small is new")]);
  expect(await found("CREATE UNIQUE INDEX once ON a (one)")).toEqual([expect.stringContaining("a: once is new")]);
  // What expands, what was thought about, and what is contracted by name.
  expect(
    await found(
      "ALTER TABLE a ADD COLUMN four int; ALTER TABLE a ADD COLUMN five int NOT NULL DEFAULT 5; CREATE TABLE e (one int NOT NULL UNIQUE)",
    ),
  ).toEqual([]);
  expect(await found("-- before: small: it never wrote more than 8\nALTER TABLE a ADD CONSTRAINT small CHECK (one < 9)")).toEqual([]);
  expect(await found("ALTER TABLE a DROP COLUMN three", "29991231_contract_three")).toEqual([]);
  await lite.close();
});

const git = (...words: string[]): string =>
  execFileSync("git", words, { cwd: top, stdio: ["ignore", "pipe", "ignore"] })
    .toString()
    .trim();

/** The version before the newest migration, or why there is none to be had here. */
function versionBefore(): { readonly commit: string } | { readonly reason: string } {
  try {
    const commit = `${git("log", "-1", "--diff-filter=A", "--format=%H", "--", "prisma/migrations")}^`;
    return { commit: git("rev-parse", "--verify", "--quiet", `${commit}^{commit}`) };
  } catch {
    return { reason: "no history here goes back to before the newest migration" };
  }
}
const before = versionBefore();
// Its own tests are its work: the morning from the first check to the last sign-off.
const work = ["tests/http/morning.test.ts"];

describe.skipIf("reason" in before)(
  `the version before the newest migration (${"reason" in before ? before.reason : before.commit.slice(0, 7)})`,
  () => {
    test("does its work on the schema of this one", { timeout: 900_000 }, () => {
      const old = mkdtempSync(join(tmpdir(), "ferrule-before-"));
      try {
        const archive = execFileSync("git", ["archive", "commit" in before ? before.commit : ""], { cwd: top, maxBuffer: 1e9 });
        execFileSync("tar", ["-x", "-C", old], { input: archive });
        symlinkSync(join(top, "node_modules"), join(old, "node_modules"));
        rmSync(join(old, "prisma/migrations"), { recursive: true });
        cpSync(folder, join(old, "prisma/migrations"), { recursive: true });
        // As the set-up does it: the CLI would download an engine that making the client does not use.
        const env = {
          ...Object.fromEntries(Object.entries(process.env).filter(([name]) => !/^(VITEST|TINYPOOL|NODE_ENV$)/.test(name))),
          PRISMA_SCHEMA_ENGINE_BINARY: process.execPath,
          CHECKPOINT_DISABLE: "1",
        };
        const run = (...words: string[]) => spawnSync(process.execPath, words, { cwd: old, env, encoding: "utf8" });
        const made = run("node_modules/prisma/build/index.js", "generate", "--config", ".config/prisma.ts", "--no-hints");
        expect(made.status, made.stderr).toBe(0);
        const ran = run("node_modules/vitest/vitest.mjs", "run", "--config", ".config/vitest.ts", ...work);
        expect(ran.status, `${ran.stdout}\n${ran.stderr}`.slice(-4000)).toBe(0);
      } finally {
        rmSync(old, { recursive: true, force: true });
      }
    });
  },
);
