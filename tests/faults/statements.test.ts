// Each statement that the service makes, described by the database without being run: its columns and their types are those that are declared,
// whether or not any test has rows for it. What tests are answered is compared row by row besides (tests/support/checked-rows.ts).
import postgres from "postgres";
import { expect, inject, test } from "vitest";
import { answeredStatements } from "../support/checked-rows.ts";
import { openInMemory, openTestDatabase } from "../support/database.ts";
import { neverRun, readMade } from "../support/made-statements.ts";
import type { DeclaredColumn, DeclaredStatement } from "../support/print-statements.ts";

interface Described {
  readonly name: string;
  /** the object id of its type */
  readonly type: number;
}

/** Asks the database of this run what it would answer with. */
async function openDescriber(): Promise<{ describe: (sql: string) => Promise<Described[]>; close: () => Promise<void> }> {
  const template = inject("template");
  if ("image" in template) {
    const lite = await openInMemory(template.image);
    return {
      describe: async (sql) => (await lite.describeQuery(sql)).resultFields.map(({ name, dataTypeID }) => ({ name, type: dataTypeID })),
      close: () => lite.close(),
    };
  }
  const server = postgres(Object.assign(new URL(template.server), { pathname: `/${template.database}` }).href, { max: 1 });
  return {
    describe: async (sql) => (await server.unsafe(sql).describe()).columns.map(({ name, type }) => ({ name, type })),
    close: () => server.end(),
  };
}

const isText = ({ type, format }: DeclaredColumn): boolean => (type === "string" && format !== "guid") || type === "enum";
/** By the object id of a type: what both drivers make of it. What they make different things of (int8, numeric, date, bytea) has no place here. */
const asDriversHaveIt: Readonly<Record<number, (column: DeclaredColumn) => boolean>> = {
  16: ({ type }) => type === "boolean",
  21: ({ type }) => type === "number",
  23: ({ type }) => type === "number",
  25: isText,
  114: ({ type }) => type !== "date",
  701: ({ type }) => type === "number",
  1009: ({ type }) => type === "array",
  1043: isText,
  1184: ({ type }) => type === "date",
  2950: ({ format }) => format === "guid",
  3802: ({ type }) => type !== "date",
};

/** What is not as declared; null where all is. */
function mismatchOf(columns: NonNullable<DeclaredStatement["columns"]>, described: readonly Described[]): string | null {
  const names = described.map(({ name }) => name).sort();
  const declared = Object.keys(columns).sort();
  if (names.join() !== declared.join()) return `columns ${names.join(", ")}; declared are ${declared.join(", ")}`;
  const wrong = described.filter(({ name, type }) => {
    const column = columns[name];
    return column && asDriversHaveIt[type]?.(column) !== true;
  });
  if (wrong.length === 0) return null;
  return wrong.map(({ name, type }) => `${name} is of type ${type}, declared as ${JSON.stringify(columns[name])}`).join("; ");
}

test("each statement answers with the columns that are declared of it, on this database", async () => {
  const statements = (await readMade()).filter((one): one is DeclaredStatement => "sql" in one);
  expect(statements.length).toBeGreaterThan(150);
  const database = await openDescriber();
  const wrong: string[] = [];
  for (const { sql, columns } of statements) {
    const told = await database.describe(sql).then(
      (described) => columns && mismatchOf(columns, described),
      (error: Error) => error.message,
    );
    if (told !== null) wrong.push(`${sql.trim().replace(/\s+/g, " ").slice(0, 120)}\n${told}`);
  }
  await database.close();
  expect(wrong).toEqual([]);
  // What stands twice would be counted as run where only the other one is.
  const texts = statements.map(({ sql }) => sql);
  expect(texts.filter((sql, place) => texts.indexOf(sql) !== place)).toEqual([]);
});

test("a type that the two drivers read differently is none that can be declared", () => {
  const column = { type: "number", format: "safeint", nullable: false };
  expect(mismatchOf({ n: column }, [{ name: "n", type: 23 }])).toBeNull();
  expect(mismatchOf({ n: column }, [{ name: "n", type: 20 }])).toContain("n is of type 20");
  expect(mismatchOf({ n: { ...column, type: "date" } }, [{ name: "n", type: 1082 }])).toContain("n is of type 1082");
  expect(mismatchOf({ n: column, m: column }, [{ name: "n", type: 23 }])).toContain("declared are m, n");
  expect(mismatchOf({ id: { ...column, type: "string", format: null } }, [{ name: "id", type: 2950 }])).toContain("id is of type 2950");
});

test("a statement that no test runs is named with its file and line, and so is an exception that is none", async () => {
  const asked = { at: "src/checks/store.ts:12", sql: "SELECT 1 AS one", columns: null };
  const streamed = { at: "src/checks/store.ts:13", sql: "SELECT 2 AS two WHERE false", columns: null };
  const never = { at: "src/checks/store.ts:14", sql: "SELECT\n  3 AS three", columns: null };
  const [written, unwritten] = [
    { at: "src/checks/row-store.ts:20", part: "some_rows" },
    { at: "src/checks/row-store.ts:22", part: "other_rows" },
  ];
  const made = [asked, streamed, never, written, unwritten];
  const db = await openTestDatabase();
  await db.rows({ sql: asked.sql, columns: null });
  for await (const _ of db.stream({ sql: streamed.sql, columns: null })) expect.unreachable();
  await expect(db.rows({ sql: `${never.sql} FROM nowhere`, columns: null })).rejects.toThrow();
  await db.close();
  const answered = new Set([...answeredStatements, "WITH asked AS (\nSELECT),\nsome_rows AS (SELECT)"]);
  const line = "src/checks/store.ts:14: no test runs SELECT 3 AS three";
  expect(neverRun(made, answered, {})).toEqual([line, "src/checks/row-store.ts:22: no test runs other_rows"]);
  expect(neverRun(made, answered, { other_rows: "why", "SELECT 1": "why", "SELECT 4": "why" })).toEqual([
    line,
    "src/checks/store.ts:12: an exception, and a test runs it: strike it from the list",
    "an exception that nothing is: SELECT 4",
  ]);
});
