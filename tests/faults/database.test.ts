import { afterAll, beforeAll, expect, test } from "vitest";
import { z } from "zod";
import { statement } from "../../src/platform/index.ts";
import type { TestDatabase } from "../support/checked-rows.ts";
import { openTestDatabase } from "../support/database.ts";

const numbers = statement({ i: z.int() }, "SELECT i FROM generate_series(1, $1::int) i ORDER BY i");

let db: TestDatabase;
beforeAll(async () => {
  db = await openTestDatabase();
});
afterAll(() => db.close());

test("a migrated database lacks no migration and has none that is unknown", async () => {
  expect(await db.schemaState()).toEqual({ pending: [], unknown: [], isReadOnly: false });
});

test("a stream gives every row once, in batches, while other statements go on between them", async () => {
  const seen: number[] = [];
  for await (const batch of db.stream(numbers, [1201], 500)) {
    seen.push(...batch.map((row) => row.i));
    expect(await db.rows("SELECT 1 AS one")).toEqual([{ one: 1 }]);
  }
  expect(seen).toEqual(Array.from({ length: 1201 }, (_, index) => index + 1));
});

test("what is told on a channel is heard by a listener", async () => {
  const told = new Promise<string>((heard) => void db.listen("ferrule_sessions", heard).then(() => db.notify("ferrule_sessions", "gone")));
  expect(await told).toBe("gone");
});
