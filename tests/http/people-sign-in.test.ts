import { createLocalJWKSet, type JSONWebKeySet, jwtVerify } from "jose";
import { expect, test } from "vitest";
import type { SignedIn } from "../../shared/contracts/people.ts";
import { makeKeys, readKeys } from "../../src/keys/index.ts";
import { namesOf, newSignInState, openPeople } from "../../src/people/index.ts";
import { codeOf, secretOf } from "../support/cast.ts";
import { testService } from "../support/test-service.ts";

const { app: at } = testService();

const minutes = (count: number) => at.context.clock.advance(count * 60_000);
const days = (count: number) => minutes(count * 24 * 60);
const attempt = (staffNumber: string, secret: string) => at.anyone.post("/v1/sign-in").send({ staffNumber, secret });
const renew = (refreshToken: string) => at.anyone.post("/v1/sign-in/renewal").send({ refreshToken });
const me = (accessToken: string) => at.clientWith(accessToken).get("/v1/me");
const sessions = () => at.context.db.prisma.session.count();

/** A rider of their own, with a secret of their own, for a test that spoils one. */
async function newcomer(staffNumber: string): Promise<string> {
  const manager = await at.signIn("F001");
  const body = {
    staffNumber,
    name: `Person ${staffNumber}`,
    role: "rider",
    depotIds: [at.cast.homeDepotId],
    secret: codeOf(staffNumber),
  };
  const answer = await manager.post("/v1/staff").send(body).expect(201);
  await at.settleIn(staffNumber);
  return (answer.body as { id: string }).id;
}

test("signing in answers tokens and the person, whose token opens what is theirs", async () => {
  const answer = await attempt("R001", secretOf("R001")).expect(200);
  const { accessToken, refreshToken, expiresInSeconds, person } = answer.body as SignedIn;
  expect(answer.headers["cache-control"]).toBe("no-store");
  expect(expiresInSeconds).toBe(900);
  expect(refreshToken).toMatch(/^[\w-]{43}$/);
  const expected = {
    ...{ id: at.cast.staffId("R001"), staffNumber: "R001", name: "Person R001", role: "rider", roles: ["rider"] },
    ...{ allDepots: false, depotIds: [at.cast.homeDepotId], competences: [], licenceClass: null, mustChangeSecret: false },
  };
  expect(person).toEqual(expected);
  const mine = await me(accessToken).expect(200);
  expect(mine.body).toEqual({
    person: expected,
    role: "rider",
    roles: ["rider"],
    depots: [{ id: at.cast.homeDepotId, name: "Home", timeZone: "Europe/London" }],
    competences: [],
    ...{ mustChangeSecret: false, codeExpiresAt: null, secretChangedAt: null, secretEvents: [] },
  });
});

test("a person of all depots sees them all by name", async () => {
  const mine = await (await at.signIn("M001")).get("/v1/me").expect(200);
  expect(mine.body.depots.map((depot: { name: string }) => depot.name)).toEqual(["Far", "Home"]);
  expect(mine.body.competences).toContain("steering-and-bearings");
});

test("a staff number is taken in any case and with spaces around it", async () => {
  await attempt("  r002 ", secretOf("R002")).expect(200);
});

test("an unknown number, a wrong secret and a person who left are told the same", async () => {
  const id = await newcomer("R801");
  await (await at.signIn("F001")).patch(`/v1/staff/${id}`).send({ left: true }).expect(200);
  const before = await sessions();
  const answers = [
    await attempt("R999", secretOf("R999")),
    await attempt("R001", "wrong-secret"),
    await attempt("R801", secretOf("R801")),
    await attempt("no such form!", "wrong-secret"),
  ];
  for (const answer of answers) {
    expect(answer.status).toBe(401);
    expect(answer.type).toBe("application/problem+json");
    expect({ ...answer.body, requestId: "" }).toEqual({ ...answers[0]?.body, requestId: "" });
    expect(answer.body.code).toBe("wrong-credentials");
  }
  expect(await sessions()).toBe(before);
});

test.each([
  ["nothing", {}],
  ["no secret", { staffNumber: "R001" }],
  ["an unknown field", { staffNumber: "R001", secret: "x", role: "manager" }],
  ["a number that is a number", { staffNumber: 1, secret: "x" }],
  ["a secret of 201 characters", { staffNumber: "R001", secret: "x".repeat(201) }],
  ["a list", []],
])("a sign-in with %s is not valid, and begins no session", async (_what, body) => {
  const before = await sessions();
  const answer = await at.anyone.post("/v1/sign-in").send(body).expect(422);
  expect(answer.body).toMatchObject({ code: "not-valid", status: 422 });
  expect(answer.body.issues.length).toBeGreaterThan(0);
  expect(JSON.stringify(answer.body)).not.toContain("xxx");
  expect(await sessions()).toBe(before);
});

test("a body that is not JSON and one that is far too large are refused", async () => {
  const post = (text: string) => at.anyone.post("/v1/sign-in").set("content-type", "application/json").send(text);
  expect((await post("{")).body.code).toBe("not-json");
  expect((await post(`"${"x".repeat(5_000_000)}"`)).body.code).toBe("too-large");
});

test("five failures in a row lock the number for 15 minutes, and the answer does not tell whether the secret was right", async () => {
  await newcomer("R802");
  for (let failure = 0; failure < 5; failure += 1) await attempt("R802", "wrong-secret").expect(401);
  const wrong = await attempt("R802", "wrong-secret");
  const right = await attempt("R802", secretOf("R802"));
  expect(right.status).toBe(429);
  expect(right.headers["retry-after"]).toBe("900");
  expect(right.body.code).toBe("locked-out");
  expect({ ...wrong.body, requestId: "" }).toEqual({ ...right.body, requestId: "" });
  minutes(14);
  expect((await attempt("R802", secretOf("R802"))).headers["retry-after"]).toBe("60");
  minutes(1);
  await attempt("R802", secretOf("R802")).expect(200);
});

test("after a lock one more failure locks again, until a right sign-in starts the count anew", async () => {
  await newcomer("R803");
  for (let failure = 0; failure < 5; failure += 1) await attempt("R803", "wrong-secret").expect(401);
  minutes(15);
  await attempt("R803", "wrong-secret").expect(401);
  await attempt("R803", secretOf("R803")).expect(429);
  minutes(15);
  await attempt("R803", secretOf("R803")).expect(200);
  for (let failure = 0; failure < 4; failure += 1) await attempt("R803", "wrong-secret").expect(401);
  await attempt("R803", secretOf("R803")).expect(200);
});

test("of twenty wrong guesses sent side by side five are judged and counted, the others meet the lock", async () => {
  const id = await newcomer("R804");
  const answers = await Promise.all(Array.from({ length: 20 }, () => attempt("R804", "wrong-secret")));
  expect(answers.filter((answer) => answer.status === 401)).toHaveLength(5);
  expect(answers.filter((answer) => answer.status === 429)).toHaveLength(15);
  const counted = await at.context.db.prisma.signInFailure.findMany({ where: { staffId: id } });
  expect(counted.map(({ source, failures }) => [source.split(" ")[0], failures])).toEqual([["device", 5]]);
});

test("right sign-ins sent side by side all succeed, each with a session of its own", async () => {
  await newcomer("R805");
  const answers = await Promise.all(Array.from({ length: 12 }, () => attempt("R805", secretOf("R805"))));
  expect(answers.map((answer) => answer.status)).toEqual(Array.from({ length: 12 }, () => 200));
  expect(new Set(answers.map((answer) => answer.body.refreshToken)).size).toBe(12);
});

test("only hashes of secrets and refresh tokens are kept", async () => {
  const { refreshToken } = await at.tokensOf("R001");
  const tokens = await at.context.db.rows<{ all: string }>(`SELECT string_agg(token_hash, ' ') AS "all" FROM refresh_token`);
  const staff = await at.context.db.rows<{ all: string }>(`SELECT string_agg(secret_hash, ' ') AS "all" FROM staff`);
  expect(tokens[0]?.all).not.toContain(refreshToken);
  expect(staff[0]?.all).not.toContain(secretOf("R001"));
});

test("a secret is hashed by Argon2id with 19 MiB, two passes and one lane, and an unknown number costs the same work", async () => {
  const id = await newcomer("R806");
  const row = await at.context.db.prisma.staff.findUniqueOrThrow({ where: { id } });
  const form = /^\$argon2id\$v=19\$m=19456,t=2,p=1\$/;
  expect(row.secretHash).toMatch(form);
  expect(at.context.signIn.nobodysHash).toMatch(form);
});

test("a renewal answers new tokens, and the session goes on", async () => {
  const first = await at.tokensOf("R001");
  minutes(20);
  expect((await me(first.accessToken)).body.code).toBe("token-expired");
  const second = (await renew(first.refreshToken).expect(200)).body as SignedIn;
  expect(second.refreshToken).not.toBe(first.refreshToken);
  expect(second.person.staffNumber).toBe("R001");
  await me(second.accessToken).expect(200);
  await renew(second.refreshToken).expect(200);
});

test("a refresh token that comes again ends the session: access token and newest refresh token are refused", async () => {
  const replayed = () => at.context.db.prisma.session.count({ where: { endedWhy: "replayed", staffId: at.cast.staffId("R001") } });
  const before = await replayed();
  const first = await at.tokensOf("R001");
  const second = (await renew(first.refreshToken).expect(200)).body as SignedIn;
  await me(second.accessToken).expect(200);
  const replay = await renew(first.refreshToken);
  expect(replay.status).toBe(401);
  expect(replay.body.code).toBe("session-ended");
  expect((await me(second.accessToken)).body.code).toBe("session-ended");
  expect((await renew(second.refreshToken)).body.code).toBe("session-ended");
  expect(await replayed()).toBe(before + 1);
});

test("of two renewals with one token at the same moment one wins, and the session ends", async () => {
  const first = await at.tokensOf("R002");
  const answers = await Promise.all([renew(first.refreshToken), renew(first.refreshToken)]);
  expect(answers.map((answer) => answer.status).sort((a, b) => a - b)).toEqual([200, 401]);
  const won = answers.find((answer) => answer.status === 200)?.body as SignedIn;
  expect((await me(won.accessToken)).body.code).toBe("session-ended");
  expect((await renew(won.refreshToken)).body.code).toBe("session-ended");
});

test("a replay ends its own session only", async () => {
  const [one, other] = [await at.tokensOf("R001"), await at.tokensOf("R001")];
  await renew(one.refreshToken).expect(200);
  await renew(one.refreshToken).expect(401);
  await me(other.accessToken).expect(200);
});

test("an unknown refresh token is refused, an access token is none, and a renewal is checked for its form", async () => {
  const { accessToken } = await at.tokensOf("R001");
  expect((await renew("a".repeat(43))).body.code).toBe("session-ended");
  expect((await renew(accessToken)).status).toBe(422);
  expect((await at.anyone.post("/v1/sign-in/renewal").send({ refreshToken: "a", staffNumber: "R001" })).body.code).toBe("not-valid");
});

test("a session that is not renewed for 14 days is over, and one that is renewed is over after 30", async () => {
  const idle = await at.tokensOf("R001");
  let kept = await at.tokensOf("R001");
  days(13);
  kept = (await renew(kept.refreshToken).expect(200)).body as SignedIn;
  days(1);
  expect((await renew(idle.refreshToken)).body.code).toBe("session-ended");
  days(12);
  kept = (await renew(kept.refreshToken).expect(200)).body as SignedIn;
  // day 26; the last renewal would carry it to day 40
  days(3);
  minutes(24 * 60 - 10);
  kept = (await renew(kept.refreshToken).expect(200)).body as SignedIn;
  await me(kept.accessToken).expect(200);
  minutes(10);
  expect((await me(kept.accessToken)).body.code).toBe("session-ended");
  expect((await renew(kept.refreshToken)).body.code).toBe("session-ended");
});

test("signing out ends this session at once, refresh token included, and no other", async () => {
  const [mine, other] = [await at.tokensOf("R001"), await at.tokensOf("R001")];
  await me(mine.accessToken).expect(200);
  await at.clientWith(mine.accessToken).post("/v1/sign-out").expect(200, { signedOut: true });
  expect((await me(mine.accessToken)).body.code).toBe("session-ended");
  expect((await renew(mine.refreshToken)).body.code).toBe("session-ended");
  await me(other.accessToken).expect(200);
});

test.each([
  ["no header", undefined],
  ["another scheme", "Basic UjAwMTp4"],
  ["an empty token", "Bearer "],
  ["something that is no token", "Bearer abc"],
  ["three parts that are no token", "Bearer a.b.c"],
])("%s is answered 401 with the scheme to use", async (_what, header) => {
  for (const call of [at.anyone.get("/v1/me"), at.anyone.post("/v1/sign-out")]) {
    const answer = await (header === undefined ? call : call.set("authorization", header));
    expect(answer.status).toBe(401);
    expect(answer.body.code).toBe("not-signed-in");
    expect(answer.headers["www-authenticate"]).toMatch(/^Bearer/);
  }
});

test("sign-in is asked before role, and role before the body is looked at", async () => {
  const body = { nonsense: true };
  expect((await at.anyone.post("/v1/staff").send(body)).status).toBe(401);
  expect((await (await at.signIn("R001")).post("/v1/staff").send(body)).status).toBe(403);
  expect((await (await at.signIn("F001")).post("/v1/staff").send(body)).status).toBe(422);
});

test("anybody can verify an access token with the published keys", async () => {
  const answer = await at.anyone.get("/.well-known/jwks.json").expect(200);
  expect(answer.headers["cache-control"]).toBe("public, max-age=300");
  expect(JSON.stringify(answer.body)).not.toContain('"d"');
  const { accessToken } = await at.tokensOf("R001");
  const found = createLocalJWKSet(answer.body as JSONWebKeySet);
  const { payload } = await jwtVerify(accessToken, found, { issuer: "ferrule", audience: "ferrule", currentDate: at.context.clock.now() });
  expect(payload.sub).toBe(at.cast.staffId("R001"));
});

test("a session that another process ended is refused here as soon as the notification is heard", async () => {
  const { accessToken } = await at.tokensOf("R001");
  await me(accessToken).expect(200);
  // Another process: it knows nothing of this one's memory and tells it through the database only.
  await at.context.db.rows(
    `WITH ended AS (UPDATE session SET ended_at = now(), ended_why = 'signed-out' WHERE staff_id = $1::uuid AND ended_at IS NULL RETURNING id)
     SELECT pg_notify('ferrule_sessions', id::text)::text FROM ended`,
    [at.cast.staffId("R001")],
  );
  await expect.poll(async () => (await me(accessToken)).body.code).toBe("session-ended");
});

test("a change whose notification was lost counts after ten seconds", async () => {
  const { accessToken } = await at.tokensOf("R001");
  await me(accessToken).expect(200);
  await at.context.db.rows("UPDATE session SET ended_at = now(), ended_why = 'signed-out' WHERE staff_id = $1::uuid AND ended_at IS NULL", [
    at.cast.staffId("R001"),
  ]);
  at.context.clock.advance(10_000);
  expect((await me(accessToken)).body.code).toBe("session-ended");
});

test("what is over is removed with the person's next sign-in, a month later", async () => {
  await newcomer("R807");
  await at.tokensOf("R807");
  days(14 + 31);
  const { person } = await at.tokensOf("R807");
  expect(await at.context.db.prisma.session.count({ where: { staffId: person.id } })).toBe(1);
});

test("names are found by id, and nobody's id is missing", async () => {
  const [known, unknown] = [at.cast.staffId("M001"), at.context.newId()];
  const names = await namesOf(at.context.db, [known, unknown, known]);
  expect([...names]).toEqual([[known, { name: "Person M001", staffNumber: "M001" }]]);
  expect((await namesOf(at.context.db, [])).size).toBe(0);
});

test("a service with other keys refuses the token", async () => {
  const { accessToken } = await at.tokensOf("R002");
  const ledger = { ...at.context, keys: await readKeys(await makeKeys(), "other") };
  const other = await openPeople({ ...ledger, signIn: await newSignInState(ledger) });
  const request = { headers: { authorization: `Bearer ${accessToken}` } } as never;
  await expect(other.authenticate(request)).rejects.toMatchObject({ code: "not-signed-in" });
  await other.close();
});
