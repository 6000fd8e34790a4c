// What is declared of a statement's rows is compared with what the database answers: each way in which the two can differ is noticed.
import { afterAll, beforeAll, expect, test } from "vitest";
import { z } from "zod";
import { command, type Database, type Statement, statement } from "../../src/platform/index.ts";
import { takeMismatches } from "../support/checked-rows.ts";
import { openTestDatabase } from "../support/database.ts";

let db: Database;
beforeAll(async () => {
  db = await openTestDatabase();
});
afterAll(() => db.close());

const inside = z.strictObject({ n: z.int(), told: z.boolean().optional() });
const answered = `SELECT 'a' AS text, 1 AS whole, 1.5::float8 AS figure, '2026-07-13T04:30:00Z'::timestamptz AS at, '{"n": 1}'::jsonb AS inside, NULL AS none`;
const columns = { text: z.string(), whole: z.int(), figure: z.number(), at: z.date(), inside, none: z.string().nullable() };
const { whole: _, ...withoutWhole } = columns;

async function noticed(asked: Statement<unknown>): Promise<string[]> {
  await db.rows(asked);
  return takeMismatches();
}

test("a row that is as declared is let through, and so is what answers none", async () => {
  expect(await noticed(statement(columns, answered))).toEqual([]);
  expect(await noticed(statement(columns, `${answered} LIMIT 0`))).toEqual([]);
  expect(await noticed(command("SELECT id FROM firm FOR UPDATE"))).toEqual([]);
  expect(await noticed(statement({}, "SELECT"))).toEqual([]);
});

test.each<[string, Readonly<Record<string, z.ZodType>>, string, RegExp]>([
  ["a column more", withoutWhole, answered, /that do not exist: whole/],
  ["a column less", { ...columns, more: z.string() }, answered, /at more/],
  ["a column less of which nothing is declared", { ...columns, more: z.unknown() }, answered, /more/],
  ["another type", { ...columns, text: z.number() }, answered, /at text/],
  ["a null that is not declared", { ...columns, none: z.string() }, answered, /at none/],
  ["a day that is not cast to text", { day: z.string() }, "SELECT current_date AS day", /at day/],
  ["a sum that the drivers take for a text or a big figure", { sum: z.number() }, "SELECT sum(9007199254740993::bigint) AS sum", /at sum/],
  ["a member of JSON more", { ...columns, inside: z.strictObject({}) }, answered, /that do not exist: n/],
  ["a member of JSON that nobody reads", { ...columns, inside: z.object({}) }, answered, /it reads as/],
  [
    "a default in the place of what is not there",
    { ...columns, inside: inside.extend({ said: z.boolean().default(true) }) },
    answered,
    /it reads as/,
  ],
])("%s is noticed", async (_name, declared, sql, expected) => {
  const [mismatch, ...more] = await noticed(statement(declared, sql));
  expect(more).toEqual([]);
  expect(mismatch).toContain(sql.slice(0, 20));
  expect(mismatch).toMatch(expected);
});

test("the same inside a transaction and of a stream", async () => {
  const wrong = statement({ one: z.string() }, "SELECT 1 AS one");
  await db.prisma.$transaction(async (tx) => {
    expect(await db.rowsIn(tx)(wrong)).toEqual([{ one: 1 }]);
  });
  expect(takeMismatches()).toHaveLength(1);
  for await (const batch of db.stream(wrong)) expect(batch).toEqual([{ one: 1 }]);
  expect(takeMismatches()).toHaveLength(1);
});
