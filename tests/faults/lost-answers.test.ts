// The connection to the server is lost while an act is written: what is answered is what became of it.
import { randomUUID } from "node:crypto";
import postgres from "postgres";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import type { Database } from "../../src/platform/index.ts";
import { type As, expectAnswer, peopleAtHand, reportOf } from "../support/acts.ts";
import { openTestApp, type TestApp } from "../support/app.ts";
import { openTestContext } from "../support/context.ts";
import { type CutProxy, openCutProxy } from "../support/cut-proxy.ts";
import { onServer, openTestDatabase } from "../support/database.ts";
import { addTestMachine, checkFinding, nilCheckOf } from "../support/sheets.ts";

// The embedded database is in the same process: there is no connection to lose.
describe.runIf(onServer())("a connection that is lost while an act is written", () => {
  let proxy: CutProxy;
  let app: TestApp;
  let as: As;
  let beside: postgres.Sql;
  const factsRead = new Set<string | null>();
  beforeAll(async () => {
    proxy = await openCutProxy();
    let address = "";
    const through = (server: URL): URL => {
      address = server.href;
      return proxy.through(server);
    };
    const db = await openTestDatabase({ through });
    const rows: Database["rows"] = async (asked, parameters = []) => {
      const answer = await db.rows(asked, parameters);
      // An act is written in the same turn in which its facts have come.
      if (asked.sql.includes("submission_id")) for (const one of JSON.parse(String(parameters[0]))) factsRead.add(one.submission_id);
      return answer;
    };
    app = await openTestApp(await openTestContext(undefined, {}, { ...db, rows }));
    as = peopleAtHand(app);
    beside = postgres(address, { max: 2, onnotice: () => undefined });
  });
  afterAll(async () => {
    await beside.end();
    await app.close();
    await proxy.close();
  });

  const entriesOf = (machineId: string) =>
    // Behind the machine's coming and its first inspection.
    beside<{ id: string; kind: string }[]>`SELECT id, kind FROM ledger WHERE chain_id = ${machineId} AND position > 2 ORDER BY position`;
  /** as it stands in what is sent to write an act, and not in what is asked about it before */
  const writes = (id: string): string => `"id":"${id}"`;

  /** Holds the machine's row, so that whoever writes an act on it waits; returns how to let go. */
  const hold = async (machineId: string): Promise<() => Promise<void>> => {
    let release: () => void = () => undefined;
    const released = new Promise<void>((done) => {
      release = done;
    });
    let held: Promise<unknown> = Promise.resolve();
    await new Promise<void>((holding) => {
      held = beside.begin(async (sql) => {
        await sql`SELECT id FROM machine WHERE id = ${machineId} FOR UPDATE`;
        holding();
        await released;
      });
    });
    return async () => {
      release();
      await held;
    };
  };
  const waitingForLocks = async (): Promise<number> =>
    (await beside`SELECT pid FROM pg_stat_activity WHERE datname = current_database() AND wait_event_type = 'Lock'`).length;

  test("after the commit, the act is answered with its receipt, and is stored once", async () => {
    const machineId = await addTestMachine(app);
    const body = checkFinding(app, machineId, "fuel.drips");
    const rider = await as("R001");
    const cut = proxy.cutNext(writes(body.id), "answered");
    const receipt = await expectAnswer(rider.post("/v1/daily-checks").send(body), 201);
    await cut;
    expect(receipt.check.id).toBe(body.id);
    expect((await entriesOf(machineId)).map(({ kind }) => kind)).toEqual(["daily-check", "defect-raised"]);
    expect(await expectAnswer(rider.post("/v1/daily-checks").send(body), 200)).toEqual(receipt);
  });

  test("after the commit, an act without an id of the client's is answered too, and is stored once", async () => {
    const machineId = await addTestMachine(app);
    const number = `P-${randomUUID().slice(0, 8)}`;
    const paper = { kind: "insurance", number, validFrom: "2026-07-01", validTo: "2027-06-30" };
    const cut = proxy.cutNext(`"number":"${number}"`, "answered");
    const receipt = await expectAnswer((await as("F001")).post(`/v1/machines/${machineId}/papers`).send(paper), 201);
    await cut;
    expect((await entriesOf(machineId)).map(({ id }) => id)).toEqual([receipt.id]);
  });

  test("after the commit of several acts at once, each is answered with its own receipt, and each is stored once", async () => {
    const [first, ...others] = [await addTestMachine(app), await addTestMachine(app), await addTestMachine(app), await addTestMachine(app)];
    const rider = await as("R001");
    const letGo = await hold(first ?? "");
    const held = rider
      .post("/v1/daily-checks")
      .send(nilCheckOf(app, first ?? ""))
      .then((answer) => answer);
    await expect.poll(waitingForLocks).toBe(1);
    // They gather while the first is on its way.
    const bodies = others.map((machineId) => nilCheckOf(app, machineId));
    const cut = proxy.cutNext(writes(bodies[0]?.id ?? ""), "answered");
    const answers = bodies.map((body) =>
      rider
        .post("/v1/daily-checks")
        .send(body)
        .then((answer) => answer),
    );
    await expect.poll(() => bodies.every(({ id }) => factsRead.has(id))).toBe(true);
    await letGo();
    await cut;
    expect((await held).status).toBe(201);
    expect((await Promise.all(answers)).map(({ status }) => status)).toEqual([201, 201, 201]);
    for (const [index, machineId] of others.entries()) {
      expect((await entriesOf(machineId)).map(({ id }) => id)).toEqual([bodies[index]?.id]);
    }
  });
  test("before the server got it, nothing is claimed: it is to be sent again, and is stored then", async () => {
    const machineId = await addTestMachine(app);
    const body = checkFinding(app, machineId, "fuel.drips");
    const rider = await as("R001");
    const cut = proxy.cutNext(writes(body.id), "not sent");
    const answer = await rider.post("/v1/daily-checks").send(body);
    await cut;
    expect([answer.status, answer.body.code]).toEqual([503, "outcome-unknown"]);
    expect(Number(answer.headers["retry-after"])).toBeGreaterThan(0);
    expect(answer.body.detail).not.toMatch(/nothing was stored/i);
    expect(await entriesOf(machineId)).toEqual([]);
    await expectAnswer(rider.post("/v1/daily-checks").send(body), 201);
    expect(await entriesOf(machineId)).toHaveLength(2);
  });

  test("where the server cannot be asked either, nothing is claimed, and what it had stored is answered once it can", async () => {
    const machineId = await addTestMachine(app);
    const body = checkFinding(app, machineId, "fuel.drips");
    const rider = await as("R001");
    const cut = proxy.cutNext(writes(body.id), "answered").then(() => proxy.leave());
    const answer = await rider.post("/v1/daily-checks").send(body);
    await cut;
    expect([answer.status, answer.body.code]).toEqual([503, "outcome-unknown"]);
    proxy.comeBack();
    await expect.poll(async () => (await rider.post("/v1/daily-checks").send(body)).status, { timeout: 30_000 }).toBe(200);
    expect(await entriesOf(machineId)).toHaveLength(2);
  });

  test("while the server is still at it, nothing is claimed either: what it stores later is answered with its receipt", async () => {
    const machineId = await addTestMachine(app);
    const rider = await as("R001");
    const body = reportOf(app, machineId, "horn.silent");
    const letGo = await hold(machineId);
    const cut = proxy.cutNext(writes(body.id), "sent");
    const answer = await rider.post("/v1/defects").send(body);
    await cut;
    expect([answer.status, answer.body.code]).toEqual([503, "outcome-unknown"]);
    await expect.poll(waitingForLocks).toBe(1);
    await letGo();
    await expect.poll(() => entriesOf(machineId)).toHaveLength(1);
    const receipt = await expectAnswer(rider.post("/v1/defects").send(body), 200);
    expect(receipt.record.id).toBe(body.id);
    expect(await entriesOf(machineId)).toHaveLength(1);
  });

  test("where somebody else wrote to the machine meanwhile, the act can no longer be stored as it was, and is decided anew", async () => {
    const machineId = await addTestMachine(app);
    const [rider, other] = [await as("R001"), await as("R002")];
    const grounding = reportOf(app, machineId, "fuel.drips");
    const body = nilCheckOf(app, machineId);
    const letGo = await hold(machineId);
    const lost = proxy.cutNext(writes(grounding.id), "sent");
    const answer = await other.post("/v1/defects").send(grounding);
    await lost;
    expect(answer.status).toBe(503);
    // Read before the lost one is stored, written after it.
    const check = rider
      .post("/v1/daily-checks")
      .send(body)
      .then((one) => one);
    await expect.poll(waitingForLocks).toBe(2);
    await letGo();
    const { status, body: receipt } = await check;
    expect(status).toBe(201);
    expect(receipt.clearance.decision).toBe("do-not-ride");
    expect((await entriesOf(machineId)).map(({ id }) => id)).toEqual([grounding.id, body.id]);
  });

  test("after the commit of what is written in several statements, it is answered and stored once; before it, nothing is claimed", async () => {
    const manager = await as("F001");
    const depotOf = (name: string) => ({ name, timeZone: "Europe/London", workshopHoursPerDay: 8 });
    const name = randomUUID();
    const cut = proxy.cutNext("COMMIT", "answered");
    const depot = await expectAnswer(manager.post("/v1/depots").send(depotOf(name)), 201);
    await cut;
    await expectAnswer(manager.post("/v1/depots").send(depotOf(name)), 409, "name-taken");
    const [kept] = await beside<{ id: string; records: number }[]>`
      SELECT id, (SELECT count(*)::int FROM ledger WHERE data->>'depotId' = depot.id::text) AS records FROM depot WHERE name = ${name}`;
    expect(kept).toEqual({ id: depot.id, records: 1 });

    const other = randomUUID();
    const lost = proxy.cutNext("COMMIT", "not sent");
    const answer = await manager.post("/v1/depots").send(depotOf(other));
    await lost;
    expect([answer.status, answer.body.code]).toEqual([503, "outcome-unknown"]);
    expect(answer.headers).toHaveProperty("retry-after");
    await expectAnswer(manager.post("/v1/depots").send(depotOf(other)), 201);
  });
});
