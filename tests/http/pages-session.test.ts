// The session that pages keep in cookies: where it holds, where it does not, and who may not use it.
import supertest from "supertest";
import { describe, expect, test } from "vitest";
import { openTestApp } from "../support/app.ts";
import { secretOf } from "../support/cast.ts";
import { openTestContext } from "../support/context.ts";
import { testService } from "../support/test-service.ts";

const { app } = testService();

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
  const context = await openTestContext(undefined, { environment: "production" });
  const production = await openTestApp(context);
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

describe("a page whose renewal was answered, and the answer lost on the way,", () => {
  /** A browser that has signed in: what it sends with a renewal, and what of its cookies the last answer changed. */
  async function browser(person = who) {
    const answer = await bare().post("/v1/session").set(ours).send(person).expect(200);
    const device = pairOf(cookiesOf(answer)["ferrule-device"]);
    const renew = async (refresh: string, mark = device) => {
      const renewed = await bare()
        .post("/v1/session/renewal")
        .set({ ...ours, cookie: [refresh, mark].filter(Boolean).join("; ") });
      const cookies = cookiesOf(renewed);
      return { status: renewed.status, refresh: pairOf(cookies["ferrule-refresh"]), access: pairOf(cookies["ferrule-access"]) };
    };
    return { device, refresh: pairOf(cookiesOf(answer)["ferrule-refresh"]), renew };
  }
  const isIn = async (access: string): Promise<boolean> =>
    (
      await bare()
        .get("/v1/me")
        .set({ ...ours, cookie: access })
    ).status === 200;
  const seconds = (count: number) => app.context.clock.advance(count * 1000);

  test("sends the same token again from the same device and goes on; what was lost leads nowhere, and ends the session if it comes", async () => {
    const { refresh, renew } = await browser();
    const lost = await renew(refresh);
    seconds(110);
    const again = await renew(refresh);
    expect([lost.status, again.status]).toEqual([200, 200]);
    const once = await renew(refresh);
    expect(await isIn(once.access)).toBe(true);
    const further = await renew(once.refresh);
    expect(further.status).toBe(200);
    expect((await renew(lost.refresh)).status).toBe(401);
    expect(await isIn(further.access)).toBe(false);
  });

  test("has no grace once what came of it was used, after two minutes, from another device, with none, or with that of somebody else", async () => {
    const others = (await browser({ staffNumber: "R002", secret: secretOf("R002") })).device;
    const refusals: Record<string, (own: Awaited<ReturnType<typeof browser>>, next: string) => Promise<number>> = {
      used: async ({ renew, refresh }, next) => {
        expect((await renew(next)).status).toBe(200);
        return (await renew(refresh)).status;
      },
      late: async ({ renew, refresh }) => {
        seconds(121);
        return (await renew(refresh)).status;
      },
      "another device": async ({ renew, refresh }) => (await renew(refresh, `ferrule-device=${"a".repeat(43)}`)).status,
      "another of this person's": async ({ renew, refresh }) => (await renew(refresh, (await browser()).device)).status,
      none: async ({ renew, refresh }) => (await renew(refresh, "")).status,
      "somebody else's": async ({ renew, refresh }) => (await renew(refresh, others)).status,
    };
    for (const [name, refuse] of Object.entries(refusals)) {
      const own = await browser();
      const next = await own.renew(own.refresh);
      expect(await refuse(own, next.refresh), name).toBe(401);
      expect(await isIn(next.access), name).toBe(false);
      expect((await own.renew(next.refresh)).status, name).toBe(401);
    }
  });

  test("made up a mark of its own has no grace either: a device is known by a sign-in", async () => {
    const { refresh, renew } = await browser();
    const mark = `ferrule-device=${"b".repeat(43)}`;
    const next = await renew(refresh, mark);
    expect((await renew(refresh, mark)).status).toBe(401);
    expect(await isIn(next.access)).toBe(false);
  });

  test("and sends it twice at the same moment gets one session that goes on, or none: never two", async () => {
    const { refresh, renew } = await browser();
    const both = await Promise.all([renew(refresh), renew(refresh)]);
    const given = both.flatMap((one) => (one.status === 200 ? [one.refresh] : []));
    const ways: number[] = [];
    for (const one of given) ways.push((await renew(one)).status);
    expect(ways.filter((status) => status === 200).length).toBeLessThanOrEqual(1);
  });
});
