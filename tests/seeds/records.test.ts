// What the demo firm wrote in thirteen weeks, through the doors of all rooms, is what the schemas of the records tell: nothing more, nothing less.
import { afterAll, beforeAll, expect, test } from "vitest";
import { type KeptRecord, read } from "../../shared/records/index.ts";
import { openDemoHouse } from "../support/demo.ts";
import type { TestHouse } from "../support/house.ts";

let house: TestHouse;
beforeAll(async () => {
  house = await openDemoHouse();
}, 300_000);
afterAll(() => house.close());

test("every entry is read by the schema of its kind without loss", async () => {
  const entries = await house.db.rows<KeptRecord>("SELECT id, kind, version, data FROM ledger ORDER BY recorded_at, chain_id, position");
  expect(entries.length).toBeGreaterThan(1000);
  for (const entry of entries) expect(read(entry), entry.id).toEqual({ kind: entry.kind, data: entry.data });
});
