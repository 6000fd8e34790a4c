// Nobody can act under another person's name because they set that person's secret: what is set by somebody else is a one-time code.
import supertest from "supertest";
import { beforeAll, expect, test } from "vitest";
import type { MemberWithCode, SecretEvent, SignedIn } from "../../shared/contracts/people.ts";
import { allRoutes } from "../../src/rooms.ts";
import type { Client } from "../support/app.ts";
import { secretOf } from "../support/cast.ts";
import { testService } from "../support/test-service.ts";

const { app: at } = testService();
let manager: Client;
beforeAll(async () => {
  manager = await at.signIn("F001");
});

const days = (count: number) => at.context.clock.advance(count * 86_400_000);
let numbers = 700;
const add = async (changes: Record<string, unknown> = {}): Promise<MemberWithCode> => {
  const staffNumber = `M${numbers++}`;
  const body = { staffNumber, name: "Somebody New", role: "mechanic", allDepots: true, competences: ["brakes"], ...changes };
  // Sessions of the manager run out while these tests move the clock.
  manager = await at.signIn("F001");
  return (await manager.post("/v1/staff").send(body).expect(201)).body;
};
const attempt = (staffNumber: string, secret: string) => at.anyone.post("/v1/sign-in").send({ staffNumber, secret });
const tokens = async (staffNumber: string, secret: string): Promise<SignedIn> => (await attempt(staffNumber, secret).expect(200)).body;
const choose = (client: Client, current: string, secret: string) => client.put("/v1/me/secret").send({ current, secret });
const reset = async (id: string): Promise<MemberWithCode> => (await manager.post(`/v1/staff/${id}/secret-reset`).expect(200)).body;
const lastEntry = () => at.context.db.prisma.ledger.findFirstOrThrow({ where: { machineId: null }, orderBy: { position: "desc" } });
const whole = () =>
  at.context.db.rows(
    `SELECT (SELECT count(*)::int FROM ledger) AS entries, (SELECT md5(string_agg(to_jsonb(s)::text, '' ORDER BY id)) FROM staff s) AS staff`,
  );

test("a code that a manager gives signs in, says that it must be changed, and opens nothing but that choice: at every route, with header and cookie, and after a renewal", async () => {
  const code = "given by a manager";
  const person = await add({ secret: code });
  expect(person).toMatchObject({
    mustChangeSecret: true,
    codeExpiresAt: new Date(at.context.clock.now().getTime() + 7 * 86_400_000).toISOString(),
  });
  expect(person.oneTimeCode).toBeUndefined();
  const signedIn = await tokens(person.staffNumber, code);
  expect([signedIn.mustChangeSecret, signedIn.person.mustChangeSecret]).toEqual([true, true]);
  const renewed = await at.anyone.post("/v1/sign-in/renewal").send({ refreshToken: signedIn.refreshToken }).expect(200);
  expect(renewed.body.mustChangeSecret).toBe(true);
  const opened = await at.anyone
    .post("/v1/session")
    .set("sec-fetch-site", "same-origin")
    .send({ staffNumber: person.staffNumber, secret: code });
  expect(opened.body).toMatchObject({ mustChangeSecret: true, person: { mustChangeSecret: true } });
  const cookie = (opened.headers["set-cookie"] as unknown as string[]).map((line) => line.split(";", 1)[0]).join("; ");
  const before = await whole();
  const ways = [{ authorization: `Bearer ${renewed.body.accessToken}` }, { cookie, "sec-fetch-site": "same-origin" }];
  const open: string[] = [];
  for (const { method, path, who, operationId, withCode } of allRoutes) {
    if (who === "anyone") continue;
    if (withCode) {
      open.push(operationId);
      continue;
    }
    const url = path.replace(/:\w+/g, "019b0000-0000-7000-8000-000000000000");
    for (const headers of ways) {
      const answer = await at.app.inject({ method, url, headers, ...(method === "GET" ? {} : { payload: {} }) });
      expect([answer.statusCode, answer.json().code], operationId).toEqual([403, "secret-must-change"]);
    }
  }
  expect(open.sort()).toEqual(["changeSecret", "signOut", "whoAmI"]);
  expect(await whole()).toEqual(before);
  const client = at.clientWith(renewed.body.accessToken);
  await client.get("/v1/me").expect(200);
  await client.post("/v1/sign-out").expect(200);
});

test("a person chooses a secret of their own: it opens what is theirs, the code opens nothing any more, and the record holds neither", async () => {
  const { staffNumber, id, oneTimeCode: code = "" } = await add();
  expect(code).toMatch(/^([2-9a-hjkmnp-z]{4}-){2}[2-9a-hjkmnp-z]{4}$/);
  const signedIn = await tokens(staffNumber, code);
  const other = await tokens(staffNumber, code);
  const client = at.clientWith(signedIn.accessToken);
  const answer = await choose(client, code, "a secret of mine").expect(200);
  expect(answer.body).toMatchObject({
    person: { id, mustChangeSecret: false },
    secretChangedAt: at.context.clock.now().toISOString(),
    sessionsEnded: 1,
  });
  await client.get("/v1/readiness").expect(200);
  expect((await at.clientWith(other.accessToken).get("/v1/me")).body.code).toBe("session-ended");
  expect((await at.anyone.post("/v1/sign-in/renewal").send({ refreshToken: other.refreshToken })).body.code).toBe("session-ended");
  expect((await attempt(staffNumber, code)).body.code).toBe("wrong-credentials");
  expect((await tokens(staffNumber, "a secret of mine")).mustChangeSecret).toBe(false);
  const entry = await lastEntry();
  expect(entry).toMatchObject({ kind: "secret-changed", staffId: id, data: { personId: id, afterCode: true, sessionsEnded: 1 } });
  expect(JSON.stringify(entry)).not.toMatch(/of mine|argon/);
  expect(JSON.stringify(await at.context.db.rows("SELECT data FROM ledger"))).not.toContain(code);
});

test.each([
  ["the code itself", (code: string) => code],
  ["the code in capitals", (code: string) => code.toUpperCase()],
  ["seven characters", () => "1234567"],
  ["eight blanks", () => "        "],
])("%s cannot be somebody's own secret, and nothing is stored", async (_what, secretFrom) => {
  const { staffNumber, oneTimeCode: code = "" } = await add();
  const client = at.clientWith((await tokens(staffNumber, code)).accessToken);
  const before = await whole();
  const answer = await choose(client, code, secretFrom(code));
  expect([answer.status, answer.body.code, answer.body.issues[0].pointer]).toEqual([422, "not-valid", "/secret"]);
  expect(await whole()).toEqual(before);
  await client.get("/v1/policy").expect(403);
});

test("the staff number cannot be somebody's own secret, in any case", async () => {
  const { staffNumber, oneTimeCode: code = "" } = await add({ staffNumber: "M-LONGER-77" });
  const client = at.clientWith((await tokens(staffNumber, code)).accessToken);
  expect((await choose(client, code, " m-longer-77 ")).body.issues[0].message).toContain("staff number");
});

test("a wrong present secret counts as a failed sign-in does: after five the number is locked at both doors, whatever is right", async () => {
  const { staffNumber, oneTimeCode: code = "" } = await add();
  const client = at.clientWith((await tokens(staffNumber, code)).accessToken);
  // A browser without the mark of a known device, as the client is one.
  const attempt = (number: string, secret: string) => supertest(at.app.server).post("/v1/sign-in").send({ staffNumber: number, secret });
  for (let failure = 0; failure < 3; failure += 1) {
    const answer = await choose(client, "wrong-secret", "a secret of mine");
    expect([answer.status, answer.body.code]).toEqual([403, "wrong-secret"]);
  }
  for (let failure = 0; failure < 2; failure += 1) await attempt(staffNumber, "wrong-secret").expect(401);
  for (const answer of [
    await choose(client, code, "a secret of mine"),
    await choose(client, "wrong-secret", "a secret of mine"),
    await attempt(staffNumber, code),
  ]) {
    expect([answer.status, answer.body.code, answer.headers["retry-after"]]).toEqual([429, "locked-out", "900"]);
  }
});

test("everybody changes their own secret later as well: rider, mechanic, manager, auditor", async () => {
  for (const staffNumber of ["R002", "M003", "F101", "A001"]) {
    const client = await at.signIn(staffNumber);
    await choose(client, secretOf(staffNumber), "for a while only").expect(200);
    expect((await lastEntry()).data).toMatchObject({ afterCode: false });
    await choose(client, "for a while only", secretOf(staffNumber)).expect(200);
    await (await at.signIn(staffNumber)).get("/v1/policy").expect(200);
  }
});

test("a code runs out after seven days: whoever shows it is told to ask the manager, and a session that it opened chooses nothing any more", async () => {
  const { id, staffNumber, oneTimeCode: code = "" } = await add();
  days(6.9);
  const early = await tokens(staffNumber, code);
  days(0.1);
  const late = await attempt(staffNumber, code);
  expect([late.status, late.body.code]).toEqual([401, "code-ran-out"]);
  expect(late.body.detail).toContain("Ask your manager");
  expect((await attempt(staffNumber, "wrong-secret")).body.code).toBe("wrong-credentials");
  const again = await at.anyone.post("/v1/sign-in/renewal").send({ refreshToken: early.refreshToken }).expect(200);
  expect((await choose(at.clientWith(again.body.accessToken), code, "a secret of mine")).body.code).toBe("code-ran-out");
  manager = await at.signIn("F001");
  const { oneTimeCode: fresh = "" } = await reset(id);
  await at.settleIn(staffNumber, fresh);
});

test("a reset is a record of its own, ends every session and token of the person, lifts a lock, and tells the code once", async () => {
  const { id, staffNumber, oneTimeCode: code = "" } = await add();
  await at.settleIn(staffNumber, code);
  const session = await tokens(staffNumber, secretOf(staffNumber));
  for (let failure = 0; failure < 5; failure += 1) await attempt(staffNumber, "wrong-secret").expect(401);
  const after = await reset(id);
  expect(after).toMatchObject({ id, mustChangeSecret: true, lockedUntil: null });
  expect((await at.clientWith(session.accessToken).get("/v1/me")).body.code).toBe("session-ended");
  expect((await at.anyone.post("/v1/sign-in/renewal").send({ refreshToken: session.refreshToken })).body.code).toBe("session-ended");
  expect((await attempt(staffNumber, secretOf(staffNumber))).body.code).toBe("wrong-credentials");
  const entry = await lastEntry();
  expect(entry).toMatchObject({ kind: "secret-reset", staffId: at.cast.staffId("F001"), performedAt: at.context.clock.now() });
  expect(entry.data).toEqual({ personId: id, madeBy: "service", expiresAt: after.codeExpiresAt, sessionsEnded: 2 });
  const listed = await manager.get("/v1/staff?limit=200").expect(200);
  expect(listed.text).not.toContain(after.oneTimeCode);
  const ended = await at.context.db.prisma.session.findMany({ where: { staffId: id }, select: { endedWhy: true } });
  expect(ended.map(({ endedWhy }) => endedWhy)).toContain("secret-reset");
  await attempt(staffNumber, after.oneTimeCode ?? "").expect(200);
});

test("a secret given with an amendment is a code as well, with the reset's own record beside that of the amendment", async () => {
  const { id, staffNumber, oneTimeCode: code = "" } = await add();
  await at.settleIn(staffNumber, code);
  const amended = await manager.patch(`/v1/staff/${id}`).send({ name: "Renamed", secret: "set by a manager" }).expect(200);
  expect(amended.body).toMatchObject({ name: "Renamed", mustChangeSecret: true });
  const [second, first] = await at.context.db.prisma.ledger.findMany({
    where: { machineId: null },
    orderBy: { position: "desc" },
    take: 2,
  });
  expect(first).toMatchObject({ kind: "person-amended", data: { changed: ["name"] } });
  expect(second).toMatchObject({ kind: "secret-reset", data: { madeBy: "manager" } });
  await at
    .clientWith((await tokens(staffNumber, "set by a manager")).accessToken)
    .get("/v1/policy")
    .expect(403);
});

test("who may not manage somebody does not reset them; nobody resets themselves, somebody who left, or nobody", async () => {
  const before = await whole();
  const call = (client: Client, id: string) => client.post(`/v1/staff/${id}/secret-reset`);
  const refused: [Client, string, number, string][] = [
    [await at.signIn("F101"), at.cast.staffId("R001"), 403, "other-depot"],
    [await at.signIn("F101"), at.cast.staffId("M001"), 403, "other-depot"],
    [await at.signIn("M001"), at.cast.staffId("M002"), 403, "not-your-role"],
    [manager, at.cast.staffId("F001"), 409, "own-secret"],
    [manager, at.context.newId(), 404, "not-found"],
  ];
  for (const [client, id, status, code] of refused) {
    const answer = await call(client, id);
    expect([answer.status, answer.body.code]).toEqual([status, code]);
  }
  const own = await manager.patch(`/v1/staff/${at.cast.staffId("F001")}`).send({ secret: "known to nobody" });
  expect([own.status, own.body.code]).toEqual([409, "own-secret"]);
  expect(await whole()).toEqual(before);
  const gone = await add();
  await manager.patch(`/v1/staff/${gone.id}`).send({ left: true }).expect(200);
  expect((await call(manager, gone.id)).body.code).toBe("already-left");
});

test("whoever lost their secret to somebody else reads it: when it was set and by whom, and that somebody chose one after that", async () => {
  const { id, staffNumber, oneTimeCode: code = "" } = await add();
  await at.settleIn(staffNumber, code);
  const me = async (client: Client) =>
    (await client.get("/v1/me").expect(200)).body as { secretEvents: SecretEvent[]; secretChangedAt: string };
  days(1);
  manager = await at.signIn("F001");
  const stolen = await reset(id);
  at.context.clock.advance(60_000);
  await at.settleIn(staffNumber, stolen.oneTimeCode ?? "");
  at.context.clock.advance(3_600_000);
  manager = await at.signIn("F001");
  const mine = await reset(id);
  const { accessToken } = await tokens(staffNumber, mine.oneTimeCode ?? "");
  const seen = await me(at.clientWith(accessToken));
  expect(seen.secretEvents.map(({ what, by }) => [what, by?.staffNumber])).toEqual([
    ["set", "F001"],
    ["chosen", staffNumber],
    ["set", "F001"],
    ["chosen", staffNumber],
    ["set", "F001"],
  ]);
  expect(seen.secretChangedAt).toBe(at.context.clock.now().toISOString());
});

test("of a reset and a change at the same moment one holds, and whoever came too late is told", async () => {
  for (let turn = 0; turn < 4; turn += 1) {
    const { id, staffNumber, oneTimeCode: code = "" } = await add();
    const client = await at.settleIn(staffNumber, code);
    const [changed, after] = await Promise.all([choose(client, secretOf(staffNumber), "a secret of mine"), reset(id)]);
    // Where the change came first, the reset took its place; either way the code is what counts, and the session is over.
    expect([200, 401]).toContain(changed.status);
    if (changed.status === 401) expect(changed.body.code).toBe("session-ended");
    expect((await client.get("/v1/me")).body.code).toBe("session-ended");
    expect((await attempt(staffNumber, "a secret of mine")).body.code).toBe("wrong-credentials");
    expect((await tokens(staffNumber, after.oneTimeCode ?? "")).mustChangeSecret).toBe(true);
  }
});

test("of two changes at the same moment from two sessions one holds, and the other session is over; from one session the second is told", async () => {
  const { staffNumber, oneTimeCode: code = "" } = await add();
  const clients = await Promise.all([tokens(staffNumber, code), tokens(staffNumber, code)]);
  const [one, two] = clients.map(({ accessToken }) => at.clientWith(accessToken)) as [Client, Client];
  const answers = await Promise.all([choose(one, code, "the first of two"), choose(two, code, "the second of two")]);
  expect(answers.map(({ status }) => status).sort((a, b) => a - b)).toEqual([200, 401]);
  const [kept, secret] = answers[0].status === 200 ? [one, "the first of two"] : [two, "the second of two"];
  await kept.get("/v1/policy").expect(200);
  const twice = await Promise.all([choose(kept, secret, "once more, please"), choose(kept, secret, "once more again")]);
  expect(twice.map(({ status, body }) => `${status} ${body.code}`).sort()).toEqual(["200 undefined", "403 wrong-secret"]);
});
