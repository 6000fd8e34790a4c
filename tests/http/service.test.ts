// What whoever runs the service relies on: it says how it is, it keeps secrets and people out of its log, it stops in order.
import { randomUUID } from "node:crypto";
import { request as plainRequest } from "node:http";
import type { AddressInfo } from "node:net";
import { describe, expect, test } from "vitest";
import { openLog } from "../../src/platform/index.ts";
import { openTestApp } from "../support/app.ts";
import { secretOf } from "../support/cast.ts";
import { openTestContext } from "../support/context.ts";
import { addTestMachine, checkFinding, nilCheckOf } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";

describe("a service that runs", () => {
  const { app } = testService();

  test("says that it is up and ready", async () => {
    const up = await app.anyone.get("/healthz");
    expect([up.status, up.body]).toEqual([200, { status: "up" }]);
    const ready = await app.anyone.get("/readyz");
    expect([ready.status, ready.body]).toEqual([200, { status: "ready" }]);
  });

  test("counts its calls by operation and status class, and never by address or person", async () => {
    await app.anyone.get("/v1/me").expect(401);
    await (await app.signIn("R001")).get("/v1/me").expect(200);
    const { status, headers, text } = await app.anyone.get("/metrics");
    expect(status).toBe(200);
    expect(headers["content-type"]).toMatch(/^text\/plain; version=0\.0\.4/);
    expect(text).toMatch(/ferrule_call_seconds_count\{operation="whoAmI",status="4xx"\} 1/);
    expect(text).toMatch(/ferrule_call_seconds_count\{operation="whoAmI",status="2xx"\} 1/);
    expect(text).toContain("process_cpu_seconds_total");
    expect(text).not.toMatch(/R001|\/v1\//);
  });

  test("sends strict headers with every answer, problems and documents included", async () => {
    for (const address of ["/healthz", "/v1/me", "/nowhere", "/docs/", "/openapi.json"]) {
      const { headers } = await app.anyone.get(address);
      expect(headers, address).toMatchObject({
        "x-content-type-options": "nosniff",
        "strict-transport-security": expect.stringContaining("max-age="),
        "referrer-policy": "no-referrer",
        "x-request-id": expect.stringMatching(/^[0-9a-f-]{36}$/),
      });
      const policy = headers["content-security-policy"] ?? "";
      expect(policy, address).toMatch(/default-src 'self'/);
      expect(policy, address).toMatch(/frame-ancestors 'none'/);
      expect(policy, address).not.toMatch(/unsafe-eval|\*|https?:/);
      // Only the pages that describe the calls style themselves.
      if (address !== "/docs/") expect(policy, address).not.toContain("unsafe-inline");
      expect(headers["x-frame-options"], address).toBe("DENY");
      expect(headers["x-powered-by"], address).toBeUndefined();
    }
  });

  test("lets no cache keep what it answers", async () => {
    const { headers } = await (await app.signIn("F001")).get("/v1/readiness");
    expect(headers["cache-control"]).toBe("no-store");
  });

  test("answers an unknown address with a problem that says where the list of addresses is", async () => {
    const answer = await app.anyone.get("/v1/bicycles?colour=red");
    expect(answer.status).toBe(404);
    expect(answer.headers["content-type"]).toContain("application/problem+json");
    expect(answer.body).toMatchObject({
      type: "/problems/not-found",
      status: 404,
      code: "not-found",
      requestId: answer.headers["x-request-id"],
    });
    expect(answer.body.detail).toContain("/docs");
    expect(answer.text).not.toContain("colour");
  });

  test("answers a method that an address does not take with 405 and those that it does", async () => {
    const deletion = await app.anyone.delete("/v1/machines");
    expect([deletion.status, deletion.body.code, deletion.headers["allow"]]).toEqual([405, "method-not-allowed", "GET, POST"]);
    const patch = await app.anyone.patch("/v1/sign-in").send({});
    expect([patch.status, patch.headers["allow"]]).toEqual([405, "POST"]);
  });

  test("answers HEAD as GET without a body, and OPTIONS without opening anything to other sites", async () => {
    const head = await app.anyone.head("/healthz");
    expect([head.status, head.text ?? ""]).toEqual([200, ""]);
    expect((await app.anyone.head("/v1/machines")).status).toBe(401);
    const options = await app.anyone.options("/v1/machines").set("origin", "https://elsewhere.example");
    expect(options.status).toBe(405);
    expect(options.headers["access-control-allow-origin"]).toBeUndefined();
  });
});

test("a service on a database whose migrations lag is up and not ready, and says which migration is missing", async () => {
  const app = await openTestApp();
  const { db } = app.context;
  const [last] = await db.rows<{ migration_name: string }>(
    `DELETE FROM "_prisma_migrations" WHERE migration_name = (SELECT max(migration_name) FROM "_prisma_migrations") RETURNING migration_name`,
  );
  await app.anyone.get("/healthz").expect(200);
  const answer = await app.anyone.get("/readyz");
  expect([answer.status, answer.body.code]).toEqual([503, "not-ready"]);
  expect(answer.headers["content-type"]).toContain("application/problem+json");
  expect(answer.body.detail).toContain(last?.migration_name);
  await app.close();
});

test("a service on a database that is newer than its code is up and not ready, and says why", async () => {
  const app = await openTestApp();
  const { db } = app.context;
  const expectNotReady = async (why: string) => {
    const answer = await app.anyone.get("/readyz");
    expect([answer.status, answer.body.code]).toEqual([503, "not-ready"]);
    expect(Number(answer.headers["retry-after"])).toBeGreaterThan(0);
    expect(answer.body.detail).toContain(why);
    await app.anyone.get("/healthz").expect(200);
  };
  await app.anyone.get("/readyz").expect(200);
  const name = "29991231000000_of_a_later_version";
  await db.rows(
    `INSERT INTO "_prisma_migrations" (id, checksum, migration_name, finished_at, applied_steps_count) VALUES ('x', 'x', $1, now(), 1)`,
    [name],
  );
  await expectNotReady(name);
  // It still answers those who are sent to it.
  await (await app.signIn("F001")).get("/v1/machines").expect(200);
  await db.rows(`DELETE FROM "_prisma_migrations" WHERE migration_name = $1`, [name]);
  await app.anyone.get("/readyz").expect(200);
  await app.close();
});

test("a service whose database is gone is up and not ready", async () => {
  const app = await openTestApp();
  await app.context.db.close();
  await app.anyone.get("/healthz").expect(200);
  const answer = await app.anyone.get("/readyz");
  expect([answer.status, answer.body.detail]).toEqual([503, "The database does not answer."]);
  // Whoever looks at the figures then wants the others: what only the database can say is left out.
  const { status, text } = await app.anyone.get("/metrics");
  expect([status, text.includes("ferrule_call_seconds"), text.includes("ferrule_sign_in_held_back{")]).toEqual([200, true, false]);
  await app.app.close();
});

test("too many calls from one address are refused for a while, with how long to wait; signing in has a limit of its own", async () => {
  const context = await openTestContext(undefined, { rateLimitPerMinute: 20, signInLimitPerMinute: 3 });
  const app = await openTestApp(context);
  const tries = [];
  for (let n = 0; n < 5; n += 1) tries.push(await app.anyone.post("/v1/sign-in").send({ staffNumber: "R001", secret: "not the secret" }));
  expect(tries.map(({ status }) => status)).toEqual([401, 401, 401, 429, 429]);
  const calls = [];
  for (let n = 0; n < 25; n += 1) calls.push(await app.anyone.get("/v1/me"));
  const refused = calls.filter(({ status }) => status === 429);
  expect(refused.length).toBeGreaterThan(0);
  for (const { headers, body } of [...refused, tries.at(-1)].filter((one) => one !== undefined)) {
    expect(headers["content-type"]).toContain("application/problem+json");
    expect(Number(headers["retry-after"])).toBeGreaterThan(0);
    expect(body).toMatchObject({ status: 429, code: "too-many-calls" });
  }
  await app.close();
});

test("what was begun before the service was told to stop is finished and stored, and nothing new is taken", async () => {
  const app = await openTestApp();
  const machineId = await addTestMachine(app);
  const { accessToken } = await app.tokensOf("R001");
  const { port } = app.app.server.address() as AddressInfo;
  const body = JSON.stringify(nilCheckOf(app, machineId));
  const answer = new Promise<number>((done, failed) => {
    const call = plainRequest(
      {
        port,
        agent: false,
        method: "POST",
        path: "/v1/daily-checks",
        headers: { authorization: `Bearer ${accessToken}`, "content-type": "application/json", "content-length": Buffer.byteLength(body) },
      },
      (response) => {
        response.resume();
        response.on("end", () => done(response.statusCode ?? 0));
      },
    );
    call.on("error", failed);
    // The service has the head and half of the body when it is told to stop; the rest comes after.
    app.app.server.once("request", () => {
      app.app.close().catch(failed);
      call.end(body.slice(40));
    });
    call.write(body.slice(0, 40));
  });
  expect(await answer).toBe(201);
  const [stored] = await app.context.db.rows<{ checks: number }>("SELECT count(*)::int AS checks FROM daily_check");
  expect(stored?.checks).toBe(1);
  await expect(fetch(`http://127.0.0.1:${port}/healthz`)).rejects.toThrow();
  await app.close();
});

test("the log holds no secret, no token, nobody's name and nobody's words", async () => {
  const lines: string[] = [];
  const context = { ...(await openTestContext()), log: openLog("trace", { write: (line: string) => void lines.push(line) }) };
  const app = await openTestApp(context);
  const machineId = await addTestMachine(app);
  const [code, secret] = ["staple-from-the-manager", "correct-horse-battery"];
  const person = { staffNumber: "R900", name: "Zbigniew Łukasz", role: "rider", depotIds: [app.cast.homeDepotId], secret: code };
  const manager = await app.signIn("F001");
  await manager.post("/v1/staff").send(person).expect(201);
  await app.anyone.post("/v1/sign-in").send({ staffNumber: "R900", secret: "a-wrong-guess-of-it" }).expect(401);
  const first = await app.anyone.post("/v1/sign-in").send({ staffNumber: "R900", secret: code }).expect(200);
  await app.clientWith(first.body.accessToken).put("/v1/me/secret").send({ current: code, secret }).expect(200);
  const signedIn = await app.anyone.post("/v1/sign-in").send({ staffNumber: "R900", secret }).expect(200);
  const reset = await manager.post(`/v1/staff/${app.cast.staffId("R002")}/secret-reset`).expect(200);
  const rider = app.clientWith(signedIn.body.accessToken);
  const words = "Heard a scraping near Baker Lane";
  const check = checkFinding(app, machineId, "horn.weak");
  const answers = check.answers.map((answer) => (answer.result === "defect" ? { ...answer, note: words } : answer));
  await rider
    .post("/v1/daily-checks")
    .send({ ...check, answers })
    .expect(201);
  await rider
    .post("/v1/daily-checks")
    .send({ ...check, id: randomUUID(), extra: words })
    .expect(201);
  await rider.post("/v1/defects").send({ id: randomUUID(), machineId, seenAt: "2026-07-13T04:00:00.000Z", note: words }).expect(201);
  await rider.get(`/v1/defects?status=${encodeURIComponent(words)}`).expect(422);
  await app.anyone.get(`/v1/me?token=${signedIn.body.accessToken}`).expect(401);
  await manager
    .patch(`/v1/machines/${machineId}`)
    .send({ withdrawn: { reason: words } })
    .expect(200);
  await app.anyone.post("/v1/sign-in/renewal").send({ refreshToken: signedIn.body.refreshToken }).expect(200);
  await app.close();

  expect(lines.length).toBeGreaterThan(10);
  const log = lines.join("");
  const kept = [
    code,
    secret,
    reset.body.oneTimeCode,
    "a-wrong-guess-of-it",
    secretOf("F001"),
    person.name,
    "Person F001",
    words,
    encodeURIComponent(words),
  ];
  for (const value of [...kept, signedIn.body.accessToken, signedIn.body.refreshToken, "$argon2"])
    expect(log.includes(value), value).toBe(false);
  for (const line of lines) expect(() => JSON.parse(line)).not.toThrow();
  expect(log).toContain('"operation":"submitDailyCheck"');
});

// OWASP ASVS 5.0, 16.3.2: failed authorisation attempts are logged.
test("a call beyond somebody's role or depots is in the log, with who sent it and what it was", async () => {
  const lines: string[] = [];
  const context = { ...(await openTestContext()), log: openLog("info", { write: (line: string) => void lines.push(line) }) };
  const app = await openTestApp(context);
  const machineId = await addTestMachine(app, { depotId: app.cast.farDepotId });
  const { accessToken, person } = await app.tokensOf("R001");
  const rider = app.clientWith(accessToken);
  await rider.get("/v1/readiness").expect(403);
  await rider.get(`/v1/machines/${machineId}`).expect(403);
  await app.close();

  const refused = lines.map((line) => JSON.parse(line) as Record<string, unknown>).filter(({ msg }) => msg === "a call was refused");
  expect(refused).toMatchObject([
    { code: "not-your-role", operation: "readiness", staffId: person.id },
    { code: "other-depot", operation: "showMachine", staffId: person.id },
  ]);
});
