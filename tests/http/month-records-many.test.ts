// A month of thousands of large records over HTTP: every one arrives, and a slow reader costs no memory.
import { once } from "node:events";
import { get, type IncomingMessage } from "node:http";
import type { AddressInfo } from "node:net";
import { setTimeout as wait } from "node:timers/promises";
import { beforeAll, expect, test } from "vitest";
import { appendToFirm } from "../../src/ledger/index.ts";
import type { Database } from "../../src/platform/index.ts";
import { openTestContext, type TestContext } from "../support/context.ts";
import { type Line, mustHold } from "../support/record-lines.ts";
import { testService } from "../support/test-service.ts";

let taken: { batches: number; open: number };

/** A context whose streams are counted: how many batches were taken from the database, how many streams are open. */
function counting(context: TestContext): { context: TestContext; taken: { batches: number; open: number } } {
  const taken = { batches: 0, open: 0 };
  const stream: Database["stream"] = async function* (...asked) {
    taken.open += 1;
    try {
      for await (const batch of context.db.stream(...asked)) {
        taken.batches += 1;
        yield batch;
      }
    } finally {
      taken.open -= 1;
    }
  };
  return { context: { ...context, db: { ...context.db, stream } }, taken };
}

const many = 6000;
const blob = "x".repeat(6000);

/** Opens the month over a connection of its own and leaves it unread. */
async function openMonth(query: string): Promise<IncomingMessage> {
  const { accessToken } = await app.tokensOf("A001");
  const { port } = app.app.server.address() as AddressInfo;
  const call = get({ port, path: `/v1/records?${query}`, headers: { authorization: `Bearer ${accessToken}` }, agent: false });
  const [response] = (await once(call, "response")) as [IncomingMessage];
  return response;
}
async function linesOf(query: string): Promise<Line[]> {
  const text = await (await openMonth(query)).setEncoding("utf8").toArray();
  return text
    .join("")
    .split("\n")
    .slice(0, -1)
    .map((line) => JSON.parse(line) as Line);
}
const settled = async () => {
  for (let last = -1; last !== taken.batches; await wait(150)) last = taken.batches;
  return taken.batches;
};

const { app } = testService(async () => {
  const counted = counting(await openTestContext("2026-06-10T10:00:00.000Z"));
  taken = counted.taken;
  return counted.context;
});
beforeAll(async () => {
  const { context, cast } = app;
  for (let from = 0; from < many; from += 500) {
    const acts = Array.from({ length: 500 }, (_, index) => ({
      ...{ id: context.newId(), kind: "machine-withdrawn" as const, performedAt: context.clock.now() },
      data: { reason: `${from + index} ${blob}` },
    }));
    await context.db.prisma.$transaction((tx) =>
      appendToFirm(context, tx, { staffId: cast.staffId("F001"), depotId: cast.homeDepotId, recordedAt: context.clock.now() }, acts),
    );
  }
});

test("every one of them arrives, once", async () => {
  const lines = (await linesOf("month=2026-06")).filter(({ kind }) => kind === "machine-withdrawn");
  expect(lines).toHaveLength(many);
  expect(new Set(lines.map(({ id }) => id)).size).toBe(many);
  expect(lines.map(({ position }) => position)).toEqual([...lines.map(({ position }) => position)].sort((a, b) => a - b));
  for (const line of [lines[0], lines[3001], lines.at(-1)]) mustHold(line as Line);
  expect(taken.open).toBe(0);
});

test("a reader who takes nothing is not read ahead for, and one who hangs up ends the cursor", async () => {
  const before = await settled();
  const response = await openMonth("month=2026-06");
  response.pause();
  // What the sockets hold is the kernel's: some megabytes of the 36.
  const held = (await settled()) - before;
  expect(held).toBeGreaterThan(0);
  expect(held).toBeLessThan(many / 100 / 2);
  expect(taken.open).toBe(1);
  response.destroy();
  for (let tries = 0; taken.open > 0 && tries < 100; tries += 1) await wait(50);
  expect(taken.open).toBe(0);
  expect((await settled()) - before).toBeLessThan(many / 100 / 2);
  const [cursors] = await app.context.db.rows<{ count: number }>(
    app.context.db.kind === "embedded"
      ? "SELECT count(*)::int AS count FROM pg_cursors WHERE is_holdable"
      : `SELECT count(*)::int AS count FROM pg_stat_activity
         WHERE datname = current_database() AND pid <> pg_backend_pid() AND state <> 'idle' AND query LIKE '%previousSha256%'`,
  );
  expect(cursors?.count).toBe(0);
});

test("a reader who takes it slowly gets it whole", async () => {
  const response = await openMonth("month=2026-06&format=csv");
  let bytes = 0;
  let end = "";
  for await (const chunk of response as AsyncIterable<Buffer>) {
    if (bytes % 7 === 0) await wait(1);
    bytes += chunk.length;
    end = chunk.subarray(-200).toString("utf8");
  }
  expect(bytes).toBeGreaterThan(many * blob.length);
  expect(end.endsWith("\r\n")).toBe(true);
  expect(taken.open).toBe(0);
});
