// A server that falls silent, is cut off, stops, is locked or full, seen from the service: each call has its answer meanwhile, what was
// on its way is said to be so, and all goes on once the server is back. Real server, real lines, the limits of the service.
import { afterAll, afterEach, beforeAll, describe, expect, test } from "vitest";
import { z } from "zod";
import { databaseAway } from "../../src/platform/database/database-away.ts";
import { patiently, statement } from "../../src/platform/index.ts";
import { expectAnswer } from "../support/acts.ts";
import { type Client, openTestApp, type TestApp } from "../support/app.ts";
import type { TestDatabase } from "../support/checked-rows.ts";
import { type Cluster, makeCluster, noCluster } from "../support/cluster.ts";
import { openTestContext } from "../support/context.ts";
import { openTestServer } from "../support/database.ts";
import { type Line, openLine } from "../support/line.ts";
import { addTestMachine, nilCheckOf } from "../support/sheets.ts";

const limitMs = 4000;
const numbers = (from: string) => statement({ i: z.int() }, `SELECT i FROM ${from}`);
const wait = (milliseconds: number) => new Promise<void>((done) => setTimeout(done, milliseconds));
const failureOf = async (work: PromiseLike<unknown>): Promise<unknown> => {
  try {
    await work;
  } catch (error) {
    return error;
  }
  throw new Error("it did not fail");
};

describe.skipIf(noCluster !== null)(`a PostgreSQL server (${noCluster ?? "of the test's own"})`, { timeout: 120_000 }, () => {
  let cluster: Cluster;
  let line: Line;
  let db: TestDatabase;
  let direct: TestDatabase;
  let app: TestApp;
  let rider: Client;
  let manager: Client;
  let machineId: string;
  beforeAll(async () => {
    cluster = await makeCluster();
    const made = openTestServer(cluster.address(), 4, 30_000);
    await made.rows("CREATE DATABASE hangs");
    await made.close();
    direct = openTestServer(cluster.address("hangs"), 4, 30_000);
    await direct.migrate();
    line = await openLine(cluster.port);
    db = openTestServer(addressBy(line), 8, limitMs);
    app = await openTestApp(await openTestContext(undefined, {}, db));
    [rider, manager] = [await app.signIn("R001"), await app.signIn("F001")];
    machineId = await addTestMachine(app);
  });
  afterEach(async () => {
    line.set("passes");
    await cluster.start();
  });
  afterAll(async () => {
    await app.close();
    await direct.close();
    await line.close();
    await cluster.remove();
  });

  const addressBy = (one: Line): string => `postgres://postgres@127.0.0.1:${one.port}/hangs`;
  const check = () => nilCheckOf(app, machineId);
  const send = (body: object) => rider.post("/v1/daily-checks").send(body);

  /** Until the service is as it was: what it says itself, a read, a write, and what is told on a channel. */
  async function expectBack(): Promise<void> {
    await expect.poll(async () => (await app.anyone.get("/readyz")).status, { timeout: 60_000 }).toBe(200);
    await expect.poll(async () => (await send(check())).status, { timeout: 60_000 }).toBe(201);
    await expectAnswer(manager.get("/v1/machines"), 200);
    const told: string[] = [];
    const stop = await db.listen("ferrule_packs", (payload) => void told.push(payload));
    const tell = async (): Promise<string[]> => {
      await direct.notify("ferrule_packs", "back");
      return told;
    };
    await expect.poll(tell, { timeout: 60_000 }).toContain("back");
    await stop();
  }

  async function expectNotReady(answer: PromiseLike<{ status: number; body: { code: string; detail: string }; headers: unknown }>) {
    const { status, body, headers } = await answer;
    expect(status, JSON.stringify(body)).toBe(503);
    expect(["not-ready", "outcome-unknown"]).toContain(body.code);
    expect(Number((headers as Record<string, string>)["retry-after"])).toBeGreaterThan(0);
    return body.detail;
  }

  test("that falls silent: every call and readiness are answered while it is, and all goes on once it speaks", async () => {
    await expectBack();
    line.set("silent");
    const calls = [manager.get("/v1/machines"), send(check()), manager.get("/v1/staff"), send(check()), manager.get("/v1/readiness")];
    for (const answer of await Promise.all([...calls, app.anyone.get("/readyz")].map((call) => expectNotReady(call)))) {
      expect(answer).toMatch(/does not answer|was lost before it answered/);
    }
    // Known now, so that nobody has to wait for it: a call is not even begun.
    expect(await expectNotReady(send(check()))).toContain("Nothing was stored.");
    line.set("passes");
    await expectBack();
  });

  test("whose answer is lost after a write: the outcome is said to be unknown, and the same sent again is the same", async () => {
    await expectBack();
    const body = check();
    const entries = () => direct.rows<{ id: string }>("SELECT id FROM ledger WHERE id = $1::text::uuid", [body.id]);
    // The session is remembered, so the first statements of this call are those of the check.
    await expectAnswer(rider.get("/v1/me"), 200);
    line.set("deaf");
    expect(await expectNotReady(send(body))).not.toContain("Nothing was stored.");
    line.set("passes");
    await expect.poll(async () => (await send(body)).status, { timeout: 60_000 }).toBeLessThan(202);
    expect(await entries()).toHaveLength(1);
    await expectBack();
  });

  test("a statement whose answer never comes is one whose outcome nobody knows; one that could not be begun left nothing", async () => {
    const other = await openLine(cluster.port);
    const once = openTestServer(addressBy(other), 4, limitMs);
    await once.rows("SELECT 1");
    other.set("deaf");
    const [sent] = await Promise.all([failureOf(once.rows("CREATE TABLE told_once ()"))]);
    expect(databaseAway(sent)).toEqual({ what: "away", nothingDone: false });
    expect(databaseAway(await failureOf(once.rows("SELECT 1")))).toEqual({ what: "away", nothingDone: true });
    expect(databaseAway(await failureOf(once.prisma.firm.count()))).toEqual({ what: "away", nothingDone: true });
    expect(databaseAway(await failureOf(once.prisma.$transaction((tx) => tx.firm.count())))).toEqual({ what: "away", nothingDone: true });
    expect(await direct.rows("SELECT to_regclass('told_once') IS NOT NULL AS there")).toEqual([{ there: true }]);
    await once.close();
    await other.close();
  });

  test("one connection that is dead while the others live loses its statement in time, and nobody else's", async () => {
    const other = await openLine(cluster.port);
    const once = openTestServer(addressBy(other), 6, limitMs);
    await once.rows("SELECT 1");
    other.deafen(1);
    const [failure, one, two] = await Promise.all([
      failureOf(once.rows("SELECT 1")),
      once.rows("SELECT 2 AS n"),
      once.prisma.firm.count().then(() => "counted"),
    ]);
    expect(databaseAway(failure)).toEqual({ what: "away", nothingDone: false });
    expect([one, two]).toEqual([[{ n: 2 }], "counted"]);
    // In a transaction too, by Prisma.
    const connection = other.taken();
    const cut = once.prisma.$transaction(async (tx) => {
      await tx.firm.count();
      for (let n = 1; n <= connection; n += 1) other.deafen(n);
      await tx.firm.count();
    });
    expect(databaseAway(await failureOf(cut))).not.toBeNull();
    await expect.poll(() => once.prisma.firm.count().catch(() => "away"), { timeout: 60_000 }).not.toBe("away");
    await once.close();
    await other.close();
  });

  test("that is cut off and comes back", async () => {
    await expectBack();
    line.set("cut");
    await expectNotReady(manager.get("/v1/machines"));
    await expectNotReady(send(check()));
    await expectNotReady(app.anyone.get("/readyz"));
    line.set("passes");
    await expectBack();
  });

  test("that is stopped and started again, in order and at once", async () => {
    for (const how of ["in-order", "at-once"] as const) {
      await expectBack();
      await cluster.stop(how);
      await expectNotReady(manager.get("/v1/machines"));
      expect(await expectNotReady(send(check()))).toContain("Nothing was stored.");
      await expectNotReady(app.anyone.get("/readyz"));
      await cluster.start();
      await expectBack();
    }
  });

  test("on which somebody holds what a call needs: the call is ended by the server, nothing is stored, and a long piece of work waits on", async () => {
    await expectBack();
    const body = check();
    const before = await direct.prisma.ledger.count();
    let letGo: () => void = () => undefined;
    const held = direct.prisma.$transaction(
      async (tx) => {
        await tx.$executeRawUnsafe("LOCK TABLE machine IN ACCESS EXCLUSIVE MODE");
        await new Promise<void>((done) => {
          letGo = done;
        });
      },
      { timeout: 60_000 },
    );
    await expect.poll(() => letGo.name).not.toBe("letGo");
    const patient = patiently(() => db.rows<{ n: number }>("SELECT count(*)::int AS n FROM machine"));
    expect(await expectNotReady(send(body))).toMatch(/took too long.*Nothing was stored/);
    expect(await expectNotReady(manager.get("/v1/machines"))).toContain("took too long");
    // The server itself is well.
    await expectAnswer(app.anyone.get("/healthz"), 200);
    expect(await direct.prisma.ledger.count()).toBe(before);
    letGo();
    await held;
    expect((await patient)[0]?.n).toBeGreaterThan(0);
    await expectAnswer(send(body), 201);
  });

  test("gives long work its time: what is patient and a stream outlive the usual limit, by hand and by Prisma", async () => {
    const long = (limitMs + 1500) / 1000;
    expect(databaseAway(await failureOf(db.rows(`SELECT pg_sleep(${long})`)))).toEqual({ what: "slow", nothingDone: true });
    expect(databaseAway(await failureOf(db.prisma.$queryRawUnsafe(`SELECT 1 FROM pg_sleep(${long})`)))).toEqual({
      what: "slow",
      nothingDone: true,
    });
    expect(await patiently(() => db.rows(`SELECT 1 AS one FROM pg_sleep(${long})`))).toEqual([{ one: 1 }]);
    const inOne = patiently(() => db.prisma.$transaction((tx) => tx.$queryRawUnsafe(`SELECT 1 AS one FROM pg_sleep(${long})`)));
    expect(await inOne).toEqual([{ one: 1 }]);
    const seen: unknown[] = [];
    for await (const batch of db.stream(numbers(`generate_series(1, 3) i, pg_sleep(${long})`), [], 2)) seen.push(...batch);
    expect(seen).toEqual([{ i: 1 }, { i: 2 }, { i: 3 }]);
    // Nobody inherits the patience of another.
    expect(databaseAway(await failureOf(db.rows(`SELECT pg_sleep(${long})`)))).toEqual({ what: "slow", nothingDone: true });
  });

  test.each([
    ["53100", "database-full", /disk of the database is full.*Nothing was stored/],
    ["53200", "database-at-its-limit", /no memory left.*Nothing was stored/],
    ["53300", "database-at-its-limit", /no connection.*Nothing was stored/],
    ["25006", "database-read-only", /takes no changes.*Nothing was stored/],
    ["57P03", "not-ready", /cannot be reached.*Nothing was stored/],
  ])("that refuses a write with %s: it is called by its name, by hand and by Prisma", async (state, code, says) => {
    await direct.rows(`CREATE OR REPLACE FUNCTION refuse() RETURNS trigger LANGUAGE plpgsql AS $$
      BEGIN RAISE EXCEPTION 'refused' USING ERRCODE = '${state}'; END $$`);
    const tables = ["ledger", "staff"];
    for (const table of tables) await direct.rows(`CREATE TRIGGER refused BEFORE INSERT ON ${table} EXECUTE FUNCTION refuse()`);
    try {
      const person = {
        staffNumber: `X${state}`,
        name: "Somebody",
        role: "rider",
        depotIds: [app.cast.homeDepotId],
        secret: "a-code-for-once",
      };
      for (const call of [send(check()), manager.post("/v1/staff").send(person)]) {
        const { status, body, headers } = await call;
        expect([status, body.code], JSON.stringify(body)).toEqual([503, code]);
        expect(body.detail).toMatch(says);
        expect(headers["retry-after"]).toBeDefined();
      }
    } finally {
      for (const table of tables) await direct.rows(`DROP TRIGGER refused ON ${table}`);
    }
    await expectBack();
  });

  test("that became read-only is told, and a connection from before does not keep it so", async () => {
    await expectBack();
    await direct.rows("ALTER DATABASE hangs SET default_transaction_read_only = on");
    const other = openTestServer(addressBy(line), 4, limitMs);
    expect(databaseAway(await failureOf(other.rows("CREATE TABLE nothing ()")))).toEqual({ what: "read-only", nothingDone: true });
    expect(databaseAway(await failureOf(other.prisma.$transaction((tx) => tx.$executeRawUnsafe("CREATE TABLE nothing ()"))))).toEqual({
      what: "read-only",
      nothingDone: true,
    });
    await direct.rows("ALTER DATABASE hangs RESET default_transaction_read_only");
    await expect
      .poll(() =>
        other.rows("CREATE TABLE something ()").then(
          () => "made",
          () => "not yet",
        ),
      )
      .toBe("made");
    await other.prisma.$transaction((tx) => tx.$executeRawUnsafe("DROP TABLE something"));
    await other.close();
  });

  test("is migrated while others work on it: a change that waits for them gives way, and tries again until they are done", async () => {
    await direct.rows("CREATE DATABASE unmigrated");
    const other = openTestServer(cluster.address("unmigrated"), 4, 30_000);
    const migrated = openTestServer(`${cluster.address("unmigrated")}?application_name=migrates`, 4, 500);
    let letGo: () => void = () => undefined;
    const held = other.prisma.$transaction(
      async (tx) => {
        // A name that is not yet given to anybody else is waited for.
        await tx.$executeRawUnsafe("CREATE TABLE firm ()");
        await new Promise<void>((done) => {
          letGo = done;
        });
        throw new Error("done with it");
      },
      { timeout: 60_000 },
    );
    const ended = failureOf(held);
    const done = migrated.migrate();
    const waits = async (): Promise<boolean> => {
      const [row] = await direct.rows<{ n: number }>(
        "SELECT count(*)::int AS n FROM pg_stat_activity WHERE application_name = 'migrates' AND wait_event_type = 'Lock'",
      );
      return row?.n === 1;
    };
    for (const state of [true, false, true]) await expect.poll(waits, { timeout: 60_000, interval: 20 }).toBe(state);
    letGo();
    await ended;
    expect((await done).length).toBeGreaterThan(10);
    expect(await migrated.schemaState()).toEqual({ pending: [], unknown: [], isReadOnly: false });
    await other.close();
    await migrated.close();
  });

  test("never has more connections from one process than were said, whatever is under way", async () => {
    const name = "counted";
    const most = 6;
    const counted = openTestServer(`${cluster.address("hangs")}?application_name=${name}`, most, 30_000);
    const stop = await counted.listen("ferrule_sessions", () => undefined);
    const streamed = async (): Promise<void> => {
      for await (const _ of counted.stream(numbers("generate_series(1, 50) i"), [], 10)) await counted.rows("SELECT 1");
    };
    const work = Array.from({ length: 40 }, (_, n) =>
      [
        () => counted.rows("SELECT pg_sleep(0.05)"),
        () => counted.prisma.$transaction((tx) => tx.firm.count()),
        () => counted.prisma.staff.count(),
        streamed,
      ][n % 4]?.(),
    );
    const seen: number[] = [];
    const done = Promise.all(work.map(async (one) => one)).then(() => true);
    while (!(await Promise.race([done, wait(20).then(() => false)]))) {
      const [row] = await direct.rows<{ n: number }>("SELECT count(*)::int AS n FROM pg_stat_activity WHERE application_name = $1", [name]);
      seen.push(row?.n ?? 0);
    }
    expect(Math.max(...seen)).toBe(most);
    await stop();
    await counted.close();
  });
});
