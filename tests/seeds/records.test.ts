// What the demo firm wrote in thirteen weeks, through the doors of all rooms, is what the schemas of the records tell: nothing more, nothing less.
import { afterAll, beforeAll, expect, test } from "vitest";
import { type KeptRecord, read } from "../../shared/records/index.ts";
import type { TestContext } from "../support/context.ts";
import { openDemoContext } from "../support/demo.ts";

let context: TestContext;
beforeAll(async () => {
  context = await openDemoContext();
});
afterAll(() => context.close());

test("every entry is read by the schema of its kind without loss", async () => {
  const entries = await context.db.rows<KeptRecord>("SELECT id, kind, version, data FROM ledger ORDER BY recorded_at, chain_id, position");
  expect(entries.length).toBeGreaterThan(1000);
  for (const entry of entries) expect(read(entry), entry.id).toEqual({ kind: entry.kind, data: entry.data });
});
