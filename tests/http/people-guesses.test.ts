// Whoever guesses a secret is slowed down; whose secret it is goes on working on a device of their own.
import supertest from "supertest";
import { beforeEach, expect, test } from "vitest";
import { letIn } from "../../src/people/index.ts";
import { networkOf } from "../../src/people/sign-in-source.ts";
import { codeOf, secretOf } from "../support/cast.ts";
import { openTestContext } from "../support/context.ts";
import { testService } from "../support/test-service.ts";

// Addresses are those that the proxy of this machine tells of.
const { app: at } = testService(() => openTestContext(undefined, { trustProxy: "127.0.0.1" }));
// What was counted for one test is no concern of the next.
beforeEach(() => at.context.clock.advance(2 * 86_400_000));

const minutes = (count: number) => at.context.clock.advance(count * 60_000);

/** A browser at an address, which keeps its cookies. */
function browserAt(address: string) {
  const agent = supertest.agent(at.app.server);
  return async (secret: string, staffNumber = "F001"): Promise<number> =>
    (await agent.post("/v1/sign-in").set("x-forwarded-for", address).send({ staffNumber, secret })).status;
}
const guess = async (browser: (secret: string) => Promise<number>, times: number): Promise<number[]> => {
  const statuses: number[] = [];
  for (let time = 0; time < times; time += 1) statuses.push(await browser("not-the-secret"));
  return statuses;
};
const right = secretOf("F001");

test("five wrong secrets from one address close the number there, and neither on the owner's own device nor at another address", async () => {
  const own = browserAt("198.51.100.7");
  expect(await own(right)).toBe(200);
  expect(await guess(browserAt("203.0.113.9"), 6)).toEqual([401, 401, 401, 401, 401, 429]);
  expect(await browserAt("203.0.113.9")(right)).toBe(429);
  expect(await own(right)).toBe(200);
  expect(await browserAt("192.0.2.44")(right)).toBe(200);
  minutes(15);
  expect(await browserAt("203.0.113.9")(right)).toBe(200);
});

test("those who watch the service see how many numbers, devices and networks are held back, and never whose", async () => {
  const figures = async (): Promise<Record<string, number>> => {
    const { text } = await supertest(at.app.server).get("/metrics");
    expect(text).not.toMatch(/F001|203\.0\.113|device [0-9a-f]/);
    return Object.fromEntries([...text.matchAll(/^ferrule_sign_in_held_back\{of="(\w+)"\} (\d+)$/gm)].map(([, of, n]) => [of, Number(n)]));
  };
  const none = { numbers: 0, everywhere: 0, devices: 0, networks: 0 };
  expect(await figures()).toEqual(none);
  const own = browserAt("198.51.100.7");
  expect(await own(right)).toBe(200);
  await guess(own, 5);
  await guess(browserAt("203.0.113.9"), 4);
  expect(await figures()).toEqual({ ...none, numbers: 1, devices: 1 });
  await guess(browserAt("203.0.113.9"), 1);
  await guess((secret) => browserAt("203.0.113.9")(secret, "R001"), 5);
  expect(await figures()).toEqual({ ...none, numbers: 2, devices: 1, networks: 1 });
  for (let address = 20; address < 35; address += 1) await guess(browserAt(`203.0.113.${address}`), 4);
  expect(await figures()).toMatchObject({ numbers: 2, everywhere: 1 });
  minutes(61);
  expect(await figures()).toEqual(none);
});

test("a colleague on the same network closes nothing on the owner's device, and a known device that guesses is closed itself", async () => {
  const own = browserAt("198.51.100.7");
  expect(await own(right)).toBe(200);
  await guess(browserAt("198.51.100.7"), 6);
  expect(await own(right)).toBe(200);
  expect(await guess(own, 6)).toEqual([401, 401, 401, 401, 401, 429]);
  expect(await own(right)).toBe(429);
});

test("a device is known to nobody but whoever signed in on it, and a token that was made up to nobody", async () => {
  const shared = browserAt("203.0.113.9");
  expect(await shared(secretOf("R001"), "R001")).toBe(200);
  await guess(shared, 5);
  // Counted by the network, not by the rider's device: another browser there meets the lock.
  expect(await browserAt("203.0.113.9")(right)).toBe(429);
  expect(await shared(secretOf("R001"), "R001")).toBe(200);
  const madeUp = async (letter: string, secret: string) =>
    (
      await supertest(at.app.server)
        .post("/v1/sign-in")
        .set("x-forwarded-for", "203.0.113.77")
        .set("cookie", `ferrule-device=${letter.repeat(43)}`)
        .send({ staffNumber: "F001", secret })
    ).status;
  for (const letter of "abcde") expect(await madeUp(letter, "not-the-secret")).toBe(401);
  expect(await madeUp("f", right)).toBe(429);
});

test("from many addresses at once 60 guesses in an hour are judged and no more, and the owner's device goes on", async () => {
  const own = browserAt("198.51.100.7");
  expect(await own(right)).toBe(200);
  const statuses: number[] = [];
  for (let address = 0; address < 16; address += 1) statuses.push(...(await guess(browserAt(`203.0.113.${address}`), 4)));
  expect(statuses.filter((status) => status === 401)).toHaveLength(60);
  expect(statuses.slice(60)).toEqual([429, 429, 429, 429]);
  expect(await browserAt("192.0.2.44")(right)).toBe(429);
  expect(await own(right)).toBe(200);
  minutes(60);
  expect(await browserAt("192.0.2.44")(right)).toBe(200);
});

test("addresses of one IPv6 network count together, and an IPv4 address in IPv6 form is the IPv4 address", () => {
  expect(networkOf("2001:db8:1:2:aaaa::1")).toBe(networkOf("2001:0db8:0001:0002:ffff:1:2:3"));
  expect(networkOf("2001:db8:1:2::1")).not.toBe(networkOf("2001:db8:1:3::1"));
  expect(networkOf("::ffff:203.0.113.9")).toBe(networkOf("203.0.113.9"));
  expect(networkOf("203.0.113.9")).not.toBe(networkOf("203.0.113.10"));
});

test("the operator's command opens what was closed, and makes a code for a manager whom nobody else can help, with its record", async () => {
  await guess(browserAt("203.0.113.9"), 6);
  expect(await letIn(at.context, "F001", false)).toEqual({ name: "Person F001", sources: 2, oneTimeCode: null });
  expect(await browserAt("203.0.113.9")(right)).toBe(200);
  const session = await at.signIn("F001");
  const done = await letIn(at.context, "F001", true);
  await session.get("/v1/me").expect(401);
  expect(await browserAt("203.0.113.9")(right)).toBe(401);
  const client = await at.settleIn("F001", done?.oneTimeCode ?? "");
  const { body } = await client.get("/v1/me").expect(200);
  expect(body.secretEvents.map(({ what, by }: { what: string; by: unknown }) => [what, by]).slice(0, 2)).toEqual([
    ["chosen", { staffNumber: "F001", name: "Person F001" }],
    ["set", null],
  ]);
  const [record] = await at.context.db.rows<{ staffId: string | null; madeBy: string }>(
    `SELECT staff_id AS "staffId", data->>'madeBy' AS "madeBy" FROM ledger WHERE kind = 'secret-reset' ORDER BY position DESC LIMIT 1`,
  );
  expect(record).toEqual({ staffId: null, madeBy: "operator" });
  expect(await letIn(at.context, "X999", true)).toBeNull();
});

test("nothing of where somebody signed in is kept once they are forgotten, and no address as it is", async () => {
  const manager = await at.signIn("F001");
  const body = { staffNumber: "R850", name: "Person R850", role: "rider", depotIds: [at.cast.homeDepotId], secret: codeOf("R850") };
  const { id } = (await manager.post("/v1/staff").send(body).expect(201)).body;
  await at.settleIn("R850");
  await browserAt("203.0.113.9")("not-the-secret", "R850");
  const kept = () =>
    at.context.db.rows(
      "SELECT source AS said FROM sign_in_failure WHERE staff_id = $1::text::uuid UNION ALL SELECT token_hash FROM known_device WHERE staff_id = $1::text::uuid",
      [id],
    );
  expect(JSON.stringify(await kept())).not.toContain("203.0.113");
  expect((await kept()).length).toBeGreaterThan(1);
  await manager.patch(`/v1/staff/${id}`).send({ left: true }).expect(200);
  await manager.post(`/v1/staff/${id}/anonymise`).send({ reason: "asked for it" });
  expect(await kept()).toEqual([]);
});
