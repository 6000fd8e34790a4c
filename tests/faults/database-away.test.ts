// A database that is gone, full or too slow for a moment: whoever called is told to send it again, and nothing about the database.
import { type AddressInfo, createServer } from "node:net";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { buildApp } from "../../src/app.ts";
import { openLog } from "../../src/platform/index.ts";
import { openTestApp } from "../support/app.ts";
import { openTestContext, type TestContext } from "../support/context.ts";
import { onServer, openTestServer } from "../support/database.ts";

let context: TestContext;
beforeAll(async () => {
  context = await openTestContext();
});
afterAll(() => context.close());

const wait = (milliseconds: number) => new Promise<void>((done) => setTimeout(done, milliseconds));
const failureOf = async (work: PromiseLike<unknown>): Promise<unknown> => {
  try {
    await work;
  } catch (error) {
    return error;
  }
  throw new Error("it did not fail");
};

async function expectTryAgain(failure: unknown): Promise<void> {
  const app = await buildApp(context, () => Promise.reject(failure));
  const answer = await app.inject({ method: "GET", url: "/v1/me" });
  expect([answer.statusCode, answer.json().code], String(failure)).toEqual([503, "not-ready"]);
  expect(answer.headers["content-type"]).toContain("application/problem+json");
  expect(Number(answer.headers["retry-after"])).toBeGreaterThan(0);
  expect(answer.body).not.toMatch(/127\.0\.0\.1|prisma|postgres|pglite|transaction/i);
  await app.close();
}

describe("a call is answered with 503 and when to try again", () => {
  test("where a transaction could not begin in time", async () => {
    const { prisma } = context.db;
    const held = Array.from({ length: 8 }, () => prisma.$transaction(() => wait(300)));
    await wait(20);
    await expectTryAgain(await failureOf(prisma.$transaction(async () => undefined, { maxWait: 10 })));
    await Promise.all(held);
  });

  test("where a transaction took too long", async () => {
    const slow = context.db.prisma.$transaction(
      async (tx) => {
        await wait(200);
        await tx.firm.findFirst();
      },
      { timeout: 10 },
    );
    await expectTryAgain(await failureOf(slow));
  });

  test("where nobody listens at the server's address", async () => {
    // Port 9 was given to a protocol that nobody speaks any more (RFC 863).
    const away = openTestServer("postgres://nobody@127.0.0.1:9/nothing", 1);
    await expectTryAgain(await failureOf(away.prisma.firm.findFirst()));
    await expectTryAgain(await failureOf(away.prisma.$transaction((tx) => tx.firm.findFirst())));
    await expectTryAgain(await failureOf(away.rows("SELECT 1")));
    await away.close();
  });

  test("where the database is closed while the service runs", async () => {
    const app = await openTestApp();
    const client = await app.signIn("F001");
    await app.context.db.close();
    for (const address of ["/v1/machines", "/v1/readiness", "/v1/defects", "/v1/staff"]) {
      const answer = await client.get(address);
      expect([address, answer.status, answer.body.code], answer.text).toEqual([address, 503, "not-ready"]);
    }
    await app.app.close();
  });

  test.runIf(onServer())("where the server ends a session, and the next call goes through", async () => {
    const { db } = context;
    await expectTryAgain(await failureOf(db.rows("SELECT pg_terminate_backend(pg_backend_pid())")));
    await expectTryAgain(await failureOf(db.prisma.$queryRawUnsafe("SELECT pg_terminate_backend(pg_backend_pid())")));
    const cut = db.prisma.$transaction(async (tx) => {
      const [session] = await tx.$queryRawUnsafe<{ id: number }[]>("SELECT pg_backend_pid() AS id");
      await db.rows("SELECT pg_terminate_backend($1)", [session?.id]);
      await wait(50);
      await tx.firm.findFirst();
    });
    await expectTryAgain(await failureOf(cut));
    expect(await db.rows("SELECT 1 AS one")).toEqual([{ one: 1 }]);
    expect(await db.prisma.firm.count()).toBe(0);
  });
});

test("any other failure of the database stays one of ours", async () => {
  const app = await buildApp(context, () => context.db.rows("SELECT nothing FROM nowhere") as never);
  expect((await app.inject({ method: "GET", url: "/v1/me" })).statusCode).toBe(500);
  await app.close();
});

test("what the database says about a failure is logged without the row that it was about", async () => {
  const { db } = context;
  const words = "Anastasija Kowalczyk";
  const logged: string[] = [];
  const log = openLog("info", { write: (line: string) => void logged.push(line) });
  const id = context.newId();
  const failures = [
    await failureOf(db.rows("INSERT INTO depot (id, name) VALUES ($1::text::uuid, $2)", [id, words])),
    await failureOf(db.prisma.$executeRawUnsafe(`INSERT INTO depot (id, name) VALUES ('${id}', '${words}')`)),
    await failureOf(db.prisma.depot.create({ data: { name: words, nothing: words } as never })),
  ];
  for (const err of failures) log.error({ err }, "a call failed");
  expect(logged).toHaveLength(3);
  for (const line of logged) {
    expect(line).not.toContain(words);
    expect(line).toContain("stack");
  }
});

test("a database that takes connections and says nothing: readiness is answered, and a statement with 503", async () => {
  const silent = createServer((socket) => socket.on("error", () => undefined).resume());
  await new Promise<void>((done) => silent.listen(0, "127.0.0.1", done));
  const away = openTestServer(`postgres://nobody@127.0.0.1:${(silent.address() as AddressInfo).port}/nothing`, 1);
  const app = await buildApp({ ...context, db: away }, () => Promise.reject(new Error("nobody calls")));
  const answer = await app.inject({ method: "GET", url: "/readyz" });
  expect([answer.statusCode, answer.json().code]).toEqual([503, "not-ready"]);
  await expectTryAgain(await failureOf(away.rows("SELECT 1")));
  await app.close();
  await new Promise((done) => silent.close(done));
  await away.close();
});
