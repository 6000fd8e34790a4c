// The session that pages keep in cookies: where it holds, where it does not, and who may not use it.
import supertest from "supertest";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { openTestApp, type TestApp } from "../support/app.ts";
import { secretOf } from "../support/cast.ts";
import { openTestHouse } from "../support/house.ts";

let app: TestApp;
beforeAll(async () => {
  app = await openTestApp();
});
afterAll(() => app.close());

// Keeps no cookies by itself, unlike an agent: each call has what the test gives it.
const bare = () => supertest(app.app.server);

const ours = { "sec-fetch-site": "same-origin" };
const who = { staffNumber: "R001", secret: secretOf("R001") };

const cookiesOf = (answer: { headers: Record<string, unknown> }): Record<string, string> =>
  Object.fromEntries(((answer.headers["set-cookie"] ?? []) as string[]).map((line) => [line.slice(0, line.indexOf("=")), line] as const));
const pairOf = (line: string | undefined): string => (line ?? "").split(";")[0] ?? "";

async function enter(): Promise<{ access: string; refresh: string }> {
  const answer = await bare().post("/v1/session").set(ours).send(who).expect(200);
  const cookies = cookiesOf(answer);
  return { access: pairOf(cookies["ferrule-access"]), refresh: pairOf(cookies["ferrule-refresh"]) };
}

test("tokens come in cookies that no script and no other site gets, and not in the answer", async () => {
  const answer = await bare().post("/v1/session").set(ours).send(who).expect(200);
  expect(Object.keys(answer.body).sort()).toEqual(["expiresInSeconds", "mustChangeSecret", "person"]);
  const cookies = cookiesOf(answer);
  expect(cookies["ferrule-access"]).toMatch(/; Path=\/; HttpOnly; SameSite=Strict$/);
  expect(cookies["ferrule-access"]).toContain("Max-Age=900");
  // RFC 6265 section 5.1.4: sent to this address only.
  expect(cookies["ferrule-refresh"]).toMatch(/; Path=\/v1\/session\/renewal; HttpOnly; SameSite=Strict$/);
});

test("in production cookies go over TLS only", async () => {
  const house = await openTestHouse(undefined, { environment: "production" });
  const production = await openTestApp(house);
  try {
    const answer = await supertest(production.app.server).post("/v1/session").set(ours).send(who).expect(200);
    for (const line of Object.values(cookiesOf(answer))) expect(line).toContain("; Secure");
  } finally {
    await production.close();
  }
});

test("the cookie signs calls of the pages, and a header comes before it", async () => {
  const { access } = await enter();
  const me = await bare()
    .get("/v1/me")
    .set({ ...ours, cookie: access })
    .expect(200);
  expect(me.body.person.staffNumber).toBe("R001");
  const { accessToken } = await app.tokensOf("M001");
  const other = await bare()
    .get("/v1/me")
    .set({ cookie: access, authorization: `Bearer ${accessToken}` })
    .expect(200);
  expect(other.body.person.staffNumber).toBe("M001");
});

describe("another site", () => {
  const strangers: Record<string, Record<string, string>> = {
    "another site": { "sec-fetch-site": "cross-site" },
    "a neighbour below the same name": { "sec-fetch-site": "same-site" },
    "a browser that says only where the page is from": { origin: "https://elsewhere.example" },
    "a page without an origin": { origin: "null" },
  };

  test.each(Object.entries(strangers))("%s neither reads nor writes nor signs in with the rider's cookie", async (_, headers) => {
    const { access, refresh } = await enter();
    const refused = [
      await bare()
        .get("/v1/me")
        .set({ ...headers, cookie: access }),
      await bare()
        .post("/v1/sign-out")
        .set({ ...headers, cookie: access }),
      await bare()
        .post("/v1/session/renewal")
        .set({ ...headers, cookie: refresh }),
      await bare().post("/v1/session").set(headers).send(who),
    ];
    expect(refused.map(({ status, body }) => [status, body.code])).toEqual(refused.map(() => [403, "cross-site"]));
    await bare()
      .get("/v1/me")
      .set({ ...ours, cookie: access })
      .expect(200);
  });

  test("a call that says nothing of where it is from may read and not write", async () => {
    const { access } = await enter();
    await bare().get("/v1/me").set({ cookie: access }).expect(200);
    expect((await bare().post("/v1/sign-out").set({ cookie: access })).body.code).toBe("cross-site");
  });

  test("an address that was typed opens a paper and changes nothing", async () => {
    const { access } = await enter();
    await bare().get("/v1/me").set({ "sec-fetch-site": "none", cookie: access }).expect(200);
    expect((await bare().post("/v1/sign-out").set({ "sec-fetch-site": "none", cookie: access })).body.code).toBe("cross-site");
  });

  test("an older browser that names this very host is believed", async () => {
    const { access } = await enter();
    const host = "ferrule.example";
    await bare()
      .post("/v1/sign-out")
      .set({ host, origin: `https://${host}`, cookie: access })
      .expect(200);
  });
});

test("a renewal rotates, one that is replayed ends the session, and signing out takes the cookies away", async () => {
  const { refresh } = await enter();
  const renewed = await bare()
    .post("/v1/session/renewal")
    .set({ ...ours, cookie: refresh })
    .expect(200);
  const access = pairOf(cookiesOf(renewed)["ferrule-access"]);
  await bare()
    .get("/v1/me")
    .set({ ...ours, cookie: access })
    .expect(200);
  const replayed = await bare()
    .post("/v1/session/renewal")
    .set({ ...ours, cookie: refresh });
  expect([replayed.status, replayed.body.code]).toEqual([401, "session-ended"]);
  expect(
    (
      await bare()
        .get("/v1/me")
        .set({ ...ours, cookie: access })
    ).body.code,
  ).toBe("session-ended");

  const again = await enter();
  const left = await bare()
    .post("/v1/sign-out")
    .set({ ...ours, cookie: again.access })
    .expect(200);
  for (const line of Object.values(cookiesOf(left))) expect(line).toMatch(/=; .*Expires=Thu, 01 Jan 1970/);
  expect((await bare().post("/v1/session/renewal").set(ours)).body.code).toBe("not-signed-in");
});
