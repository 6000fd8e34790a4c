// What the board is told while it is open: that something was recorded, where, and soon.
import { get } from "node:http";
import type { AddressInfo } from "node:net";
import { beforeAll, expect, test } from "vitest";
import { expectAnswer, reportOf } from "../support/acts.ts";
import { addTestMachine, nilCheckOf } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";

const { app, as } = testService();
let home: string;
let far: string;
beforeAll(async () => {
  home = await addTestMachine(app);
  far = await addTestMachine(app, { depotId: app.cast.farDepotId });
});

interface Listening {
  /** the next event that is not yet read, as `name data` */
  next(): Promise<string>;
  /** how many are not read yet */
  left(): number;
  readonly ended: Promise<void>;
  close(): void;
}

async function listen(who: string, query = ""): Promise<Listening> {
  const { accessToken } = await app.tokensOf(who);
  const { port } = app.app.server.address() as AddressInfo;
  const events: string[] = [];
  let heard = (): void => undefined;
  const call = get({ port, path: `/v1/readiness/events${query}`, headers: { authorization: `Bearer ${accessToken}` }, agent: false });
  const answer = await new Promise<import("node:http").IncomingMessage>((resolve, reject) =>
    call.once("response", resolve).once("error", reject),
  );
  expect(answer.headers["content-type"]).toContain("text/event-stream");
  let rest = "";
  answer.setEncoding("utf8").on("data", (text: string) => {
    const parts = (rest + text).split("\n\n");
    rest = parts.pop() ?? "";
    for (const part of parts) {
      const name = /^event: (.*)$/m.exec(part)?.[1];
      if (name !== undefined) events.push(`${name} ${/^data: (.*)$/m.exec(part)?.[1] ?? ""}`);
    }
    heard();
  });
  const ended = new Promise<void>((resolve) => answer.once("close", resolve));
  return {
    next: async () => {
      while (events.length === 0) await new Promise<void>((resolve) => (heard = resolve));
      return events.shift() ?? "";
    },
    left: () => events.length,
    ended,
    close: () => call.destroy(),
  };
}

const seen = async (machineId: string, observationId: string): Promise<void> => {
  await expectAnswer((await as("M001")).post("/v1/defects").send(reportOf(app, machineId, observationId)), 201);
};

test("a record is told with its depot, to those who see that depot", async () => {
  const all = await listen("F001");
  const one = await listen("F001", `?depotId=${app.cast.homeDepotId}`);
  const farAway = await listen("F101");
  for (const listening of [all, one, farAway]) expect(await listening.next()).toBe("watching {}");
  await seen(far, "horn.weak");
  expect(await all.next()).toBe(`changed ${JSON.stringify({ depotIds: [app.cast.farDepotId] })}`);
  expect(await farAway.next()).toBe(`changed ${JSON.stringify({ depotIds: [app.cast.farDepotId] })}`);
  await seen(home, "horn.weak");
  // The first that this one hears of: it was told nothing of the other depot.
  expect(await one.next()).toBe(`changed ${JSON.stringify({ depotIds: [app.cast.homeDepotId] })}`);
  for (const listening of [all, one, farAway]) listening.close();
});

test("what concerns every depot is told to everybody", async () => {
  const farAway = await listen("F101");
  expect(await farAway.next()).toBe("watching {}");
  await expectAnswer((await as("F001")).put("/v1/policy").send({ minorDefectDays: 6 }), 200);
  expect(await farAway.next()).toBe('changed {"depotIds":null}');
  farAway.close();
});

test("a rider is told of their own depots, not of others, and not of somebody's check that found nothing", async () => {
  const rider = await listen("R001");
  const bench = await listen("M001");
  for (const listening of [rider, bench]) expect(await listening.next()).toBe("watching {}");
  await seen(far, "horn.weak");
  const check = nilCheckOf(app, home);
  await expectAnswer((await as("R002")).post("/v1/daily-checks").send(check), 201);
  // The bench hears both; what is told after it is the first that the rider hears.
  while (!(await bench.next()).includes(app.cast.homeDepotId));
  await seen(home, "front-brake-cable.frayed");
  expect(await rider.next()).toBe(`changed ${JSON.stringify({ depotIds: [app.cast.homeDepotId] })}`);
  expect(rider.left()).toBe(0);
  for (const listening of [rider, bench]) listening.close();
});

test("a depot of somebody else is not watched, and a depot that there is not is no silence", async () => {
  await expectAnswer((await as("R001")).get("/v1/readiness/events").query({ depotId: app.cast.farDepotId }), 403, "other-depot");
  await expectAnswer((await as("F101")).get("/v1/readiness/events").query({ depotId: app.cast.homeDepotId }), 403, "other-depot");
  await expectAnswer((await as("F001")).get("/v1/readiness/events").query({ depotId: home }), 404, "not-found");
});

test("a service that closes ends what is being watched", async () => {
  const listening = await listen("F001");
  expect(await listening.next()).toBe("watching {}");
  app.context.streams.endAll();
  await listening.ended;
});

test("what somebody watches ends with their session: when a manager resets their secret, when they leave it, and not for anybody else", async () => {
  const [mechanic, auditor] = [await listen("M003"), await listen("A001")];
  expect(await mechanic.next()).toBe("watching {}");
  expect(await auditor.next()).toBe("watching {}");
  await expectAnswer((await as("F001")).post(`/v1/staff/${app.cast.staffId("M003")}/secret-reset`), 200);
  await mechanic.ended;
  expect(await auditor.next()).toBe('changed {"depotIds":null}');
  // Another process tells it through the database only.
  const [session] = await app.context.db.rows<{ id: string }>(
    "SELECT id FROM session WHERE staff_id = $1::text::uuid AND ended_at IS NULL ORDER BY started_at DESC LIMIT 1",
    [app.cast.staffId("A001")],
  );
  await app.context.db.rows("SELECT pg_notify('ferrule_sessions', $1::text)::text", [session?.id]);
  await auditor.ended;
});
