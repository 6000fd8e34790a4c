// Two processes of the service on one server, for the same machines at the same moment.
import { randomUUID } from "node:crypto";
import postgres from "postgres";
import supertest from "supertest";
import { afterAll, beforeAll, beforeEach, describe, expect, test } from "vitest";
import { appContext } from "../../src/acts/index.ts";
import { buildApp } from "../../src/app.ts";
import { openDefectsGoAlong } from "../../src/defects/index.ts";
import { newSignInState, openPeople } from "../../src/people/index.ts";
import { type Database, openServer } from "../../src/platform/index.ts";
import { type Client, openTestApp, type TestApp } from "../support/app.ts";
import { openTestContext } from "../support/context.ts";
import { onServer, openTestDatabase } from "../support/database.ts";
import { addTestMachine, nilCheckOf } from "../support/sheets.ts";

// The embedded database belongs to one process.
describe.runIf(onServer())("two processes on one server", () => {
  let app: TestApp;
  let one: Client;
  let other: Client;
  let beside: postgres.Sql;
  let closeOther: () => Promise<void>;
  /** what statements were ended with so that others could go on */
  let gaveWay: unknown[] = [];
  const factsRead = new Set<string | null>();
  const noticing = (db: Database): Database => ({
    ...db,
    rows: async (asked, parameters = []) => {
      try {
        const rows = await db.rows(asked, parameters);
        // An act is written in the same turn in which its facts have come.
        if (asked.sql.includes("submission_id")) for (const one of JSON.parse(String(parameters[0]))) factsRead.add(one.submission_id);
        return rows;
      } catch (error) {
        const { code } = error as { readonly code?: unknown };
        if (code === "40P01" || code === "40001") gaveWay.push(code);
        throw error;
      }
    },
  });
  beforeEach(() => {
    gaveWay = [];
  });
  beforeAll(async () => {
    let address = "";
    const through = (server: URL): URL => {
      address = server.href;
      return server;
    };
    const db = await openTestDatabase({ through });
    beside = postgres(address, { max: 2, onnotice: () => undefined });
    // As with a fleet of thousands: each machine is found by its id, in the order in which the statement names them.
    for (const way of ["enable_hashjoin", "enable_mergejoin", "enable_seqscan"]) {
      await beside.unsafe(`ALTER DATABASE ${new URL(address).pathname.slice(1)} SET ${way} = off`);
    }
    app = await openTestApp(await openTestContext(undefined, {}, noticing(db)));
    const ledger = { ...app.context, db: noticing(openServer(address, 8)) };
    const context = appContext({ ...ledger, signIn: await newSignInState(ledger) }, openDefectsGoAlong);
    const people = await openPeople(context);
    const service = await buildApp(context, people.authenticate);
    await service.listen({ port: 0, host: "127.0.0.1" });
    closeOther = async () => {
      await service.close();
      await people.close();
      await context.db.close();
    };
    const { accessToken } = await app.tokensOf("R001");
    one = app.clientWith(accessToken);
    other = supertest.agent(service.server).set("authorization", `Bearer ${accessToken}`);
  });
  afterAll(async () => {
    await closeOther();
    await beside.end();
    await app.close();
  });

  const machines = async (count: number): Promise<string[]> => {
    const ids: string[] = [];
    while (ids.length < count) ids.push(await addTestMachine(app));
    return ids;
  };
  const chainOf = async (machineId: string): Promise<number[]> =>
    (await beside<{ position: number }[]>`SELECT position FROM ledger WHERE chain_id = ${machineId} ORDER BY position`).map(
      ({ position }) => position,
    );

  test("that write to the same machines without a pause never wait for each other in a circle, and nothing is lost", async () => {
    const ids = await machines(12);
    const rounds = 12;
    const send = async (client: Client, machineId: string): Promise<number> =>
      (await client.post("/v1/daily-checks").send(nilCheckOf(app, machineId))).status;
    const statuses: number[] = [];
    for (let round = 0; round < rounds; round += 1) {
      const backwards = ids.toReversed();
      statuses.push(...(await Promise.all([...ids.map((id) => send(one, id)), ...backwards.map((id) => send(other, id))])));
    }
    expect(new Set(statuses)).toEqual(new Set([201]));
    for (const id of ids) expect(await chainOf(id)).toEqual(Array.from({ length: 2 + 2 * rounds }, (_, index) => index + 1));
    expect(gaveWay).toEqual([]);
  });

  test("that are sent one id for two machines store it for one of them, and say to the other what is wrong", async () => {
    for (let round = 0; round < 8; round += 1) {
      const [first = "", second = ""] = await machines(2);
      const id = randomUUID();
      const answers = await Promise.all([
        one.post("/v1/daily-checks").send(nilCheckOf(app, first, { id })),
        other.post("/v1/daily-checks").send(nilCheckOf(app, second, { id })),
      ]);
      expect(answers.map(({ status, body }) => `${status} ${body.code ?? ""}`).sort()).toEqual(["201 ", "422 id-reused"]);
    }
  });

  const waiting = async (): Promise<number> =>
    (await beside`SELECT pid FROM pg_stat_activity WHERE datname = current_database() AND wait_event_type = 'Lock'`).length;
  const submit = (client: Client, machineId: string): { readonly id: string; readonly status: Promise<number> } => {
    const body = nilCheckOf(app, machineId);
    const answer = client.post("/v1/daily-checks").send(body);
    return { id: body.id, status: answer.then(({ status }) => status) };
  };
  /** While `sql` holds these machines, each client's acts on them gather behind one on a machine of its own, and go in one statement. */
  const gatherBehind = async (sql: postgres.TransactionSql, asked: readonly { client: Client; behind: string; machineIds: string[] }[]) => {
    const statuses: Promise<number>[] = [];
    const first: Promise<number>[] = [];
    await sql
      .savepoint(async (held) => {
        for (const { behind } of asked) await held`SELECT id FROM machine WHERE id = ${behind} FOR UPDATE`;
        first.push(...asked.map(({ client, behind }) => submit(client, behind).status));
        await expect.poll(waiting).toBe(asked.length);
        for (const { client, machineIds } of asked) {
          for (const machineId of machineIds) {
            const { id, status } = submit(client, machineId);
            statuses.push(status);
            await expect.poll(() => factsRead.has(id)).toBe(true);
          }
        }
        throw new Error("let go of them");
      })
      .catch(() => undefined);
    expect(new Set(await Promise.all(first))).toEqual(new Set([201]));
    await expect.poll(waiting).toBe(asked.length);
    return statuses;
  };

  test("that write to the same two machines in opposite orders wait for one another, and neither is made to give way", async () => {
    const [behindOne = "", behindOther = "", ...both] = await machines(4);
    let statuses: Promise<number>[] = [];
    await beside.begin(async (sql) => {
      await sql`SELECT id FROM machine WHERE id IN ${sql(both)} FOR UPDATE`;
      statuses = await gatherBehind(sql, [
        { client: one, behind: behindOne, machineIds: both },
        { client: other, behind: behindOther, machineIds: both.toReversed() },
      ]);
    });
    expect(await Promise.all(statuses)).toEqual([201, 201, 201, 201]);
    expect(gaveWay).toEqual([]);
  });

  test("one of which is made to give way to another transaction does it again", async () => {
    const [behind = "", ...both] = await machines(3);
    const [low = "", high = ""] = both.sort();
    let statuses: Promise<number>[] = [];
    await beside.begin(async (sql) => {
      await sql`SELECT id FROM machine WHERE id = ${high} FOR UPDATE`;
      statuses = await gatherBehind(sql, [{ client: one, behind, machineIds: [low, high] }]);
      // They hold the lower and wait for the higher.
      await sql`SELECT id FROM machine WHERE id = ${low} FOR UPDATE`;
    });
    expect(await Promise.all(statuses)).toEqual([201, 201]);
    // Once or more often, as long as the other is at it.
    expect(new Set(gaveWay)).toEqual(new Set(["40P01"]));
  });
});
