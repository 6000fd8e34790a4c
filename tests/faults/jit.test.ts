import { afterAll, beforeAll, expect, test } from "vitest";
import type { TestDatabase } from "../support/checked-rows.ts";
import { onServer, openTestDatabase } from "../support/database.ts";

let db: TestDatabase;
beforeAll(async () => {
  db = await openTestDatabase();
});
afterAll(() => db.close());

// The embedded database is built without it.
test.runIf(onServer())(
  "no session has its statements compiled by the server, by hand or by Prisma: on tables without figures that takes half a second each",
  async () => {
    const byHand = await db.rows<{ jit: string }>("SELECT current_setting('jit') AS jit");
    const byPrisma = await db.prisma.$queryRaw<{ jit: string }[]>`SELECT current_setting('jit') AS jit`;
    expect([byHand, byPrisma]).toEqual([[{ jit: "off" }], [{ jit: "off" }]]);
  },
);
