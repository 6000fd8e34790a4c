// A call that leaves a record, or stays open, is answered to somebody who asks for it: not to a HEAD, and not to a browser that fetches ahead.
import { once } from "node:events";
import { get, type IncomingMessage } from "node:http";
import type { AddressInfo } from "node:net";
import { afterAll, beforeAll, expect, test, vi } from "vitest";
import type { Route } from "../../src/platform/index.ts";
import { allRoutes } from "../../src/rooms.ts";
import { expectAnswer } from "../support/acts.ts";
import { type EveryRoute, expectProblem, openEveryRoute } from "../support/every-route.ts";
import { stored } from "../support/small-fleet.ts";

let every: EveryRoute;
let packId: string;
beforeAll(async () => {
  every = await openEveryRoute();
  // A notice to hang on a machine is there for one that may not be ridden.
  const withdrawn = { reason: "Its frame is measured" };
  await expectAnswer((await every.as("F001")).patch(`/v1/machines/${every.machineId}`).send({ withdrawn }), 200);
  packId = (await expectAnswer((await every.as("A001")).post("/v1/audit-packs").send({ month: "2026-07" }), 202)).id;
});
afterAll(() => every.app.close());

const reading = allRoutes.filter(({ method }) => method === "GET");
const streams = ["watchReadiness", "watchAuditPack"];
const needed: Readonly<Record<string, () => Record<string, string>>> = {
  checkSheet: () => ({ kind: "daily" }),
  blankSheet: () => ({ kind: "daily" }),
  monthRecords: () => ({ month: "2026-07" }),
  fleetReview: () => ({ month: "2026-07" }),
  showCompleteness: () => ({ month: "2026-07", depotId: every.app.cast.homeDepotId }),
  workPlan: () => ({ depotId: every.app.cast.homeDepotId }),
};

async function send(definition: Route, method: "GET" | "HEAD", headers: Record<string, string> = {}) {
  const client = await every.callerOf(definition);
  const id = definition.path.startsWith("/v1/audit-packs/") ? packId : undefined;
  return every
    .call(client, { ...definition, method } as unknown as Route, id)
    .set(headers)
    .query(needed[definition.operationId]?.() ?? {})
    .buffer(true);
}

test("a GET leaves a record only where it says so, and a HEAD never", async () => {
  const leaves: string[] = [];
  for (const definition of reading) {
    const { operationId } = definition;
    // Signed in before it is looked at.
    await every.callerOf(definition);
    const before = await stored(every.app.context.db);
    const head = await send(definition, "HEAD");
    expect(head.status, operationId).toBeLessThan(500);
    if (definition.onlyAsked) expect([head.status, head.headers["allow"]], operationId).toEqual([405, "GET"]);
    expect(await stored(every.app.context.db), `HEAD ${operationId}`).toBe(before);
    if (streams.includes(operationId)) continue;
    await send(definition, "GET");
    if ((await stored(every.app.context.db)) !== before) leaves.push(operationId);
  }
  const said = reading.filter(({ onlyAsked }) => onlyAsked).map(({ operationId }) => operationId);
  expect([...leaves, ...streams].sort()).toEqual(said.sort());
});

test.each([{ "sec-purpose": "prefetch" }, { "sec-purpose": "prefetch;prerender" }, { purpose: "prefetch" }, { "x-moz": "prefetch" }])(
  "what a browser fetches ahead (%j) leaves no record and opens nothing",
  async (headers) => {
    const said = reading.filter(({ onlyAsked }) => onlyAsked);
    expect(said.length).toBeGreaterThan(7);
    for (const definition of said) {
      await every.callerOf(definition);
      const before = await stored(every.app.context.db);
      expectProblem(await send(definition, "GET", headers), 403, "fetched-ahead", definition.operationId);
      expect(await stored(every.app.context.db), definition.operationId).toBe(before);
    }
  },
);

/** Listens as `who`: answers when the first event is there. */
async function listen(path: string, who: string, token?: string): Promise<{ readonly over: Promise<unknown>; readonly close: () => void }> {
  const accessToken = token ?? (await every.app.tokensOf(who)).accessToken;
  const { port } = every.app.app.server.address() as AddressInfo;
  const call = get({ port, path, headers: { authorization: `Bearer ${accessToken}` }, agent: false });
  const [answer] = (await once(call, "response")) as [IncomingMessage];
  expect(answer.statusCode).toBe(200);
  // Closed from this side it errs, which is no matter.
  const over = new Promise<void>((resolve) => answer.on("error", () => undefined).once("close", resolve));
  await once(answer, "data");
  answer.resume();
  return { over, close: () => call.destroy() };
}

test("a session watches so many times at once and no more; one that ends makes room", { timeout: 60_000 }, async () => {
  const { accessToken } = await every.app.tokensOf("R101");
  const path = "/v1/readiness/events";
  const open = await Promise.all(Array.from({ length: 20 }, () => listen(path, "R101", accessToken)));
  const client = every.app.clientWith(accessToken);
  expectProblem(await client.get(path), 429, "too-many-calls", "the 21st");
  // Another session of the same person is not in its way.
  const other = await listen(path, "R101");
  open[0]?.close();
  const again = await vi.waitFor(() => listen(path, "R101", accessToken), { timeout: 60_000, interval: 100 });
  for (const { close } of [...open, other, again]) close();
});

test("a stream does not outlive its session or what its person may, though word of that was lost", { timeout: 60_000 }, async () => {
  const ofBoard = await listen("/v1/readiness/events", "M003");
  const ofPack = await listen(`/v1/audit-packs/${packId}/events`, "A001");
  const ofRider = await listen("/v1/readiness/events", "R002");
  const goesOn = await listen("/v1/readiness/events", "M001");
  let still = true;
  goesOn.over.then(
    () => (still = false),
    () => undefined,
  );
  // Behind the service's back: nobody is told.
  for (const who of ["M003", "A001"]) {
    await every.app.context.db.rows(
      "UPDATE session SET ended_at = $2::text::timestamptz, ended_why = 'signed-out' WHERE staff_id = $1::text::uuid",
      [every.app.cast.staffId(who), every.app.context.clock.now().toISOString()],
    );
  }
  await every.app.context.db.rows("UPDATE staff SET role = 'mechanic' WHERE id = $1::text::uuid", [every.app.cast.staffId("R002")]);
  every.app.context.clock.advance(20_000);
  await Promise.all([ofBoard.over, ofPack.over, ofRider.over]);
  expect(still).toBe(true);
  goesOn.close();
});
