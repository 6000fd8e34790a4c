// How many calls one address may make, whatever it calls and whatever it says about itself; and what a service that closes answers.

import type { AddressInfo } from "node:net";
import { connect } from "node:net";
import { expect, test } from "vitest";
import { openTestApp } from "../support/app.ts";
import { openTestContext } from "../support/context.ts";
import { readAnswers } from "../support/raw-call.ts";

const open = async (changes: object) => openTestApp(await openTestContext(undefined, changes));

test("addresses that there are not are counted like all others: nobody tries them out without end", async () => {
  const app = await open({ rateLimitPerMinute: 5 });
  const statuses: number[] = [];
  for (let n = 0; n < 8; n += 1) statuses.push((await app.anyone.get(`/v1/nothing-${n}`)).status);
  expect(statuses).toEqual([404, 404, 404, 404, 404, 429, 429, 429]);
  const refused = await app.anyone.delete("/v1/machines");
  expect([refused.status, refused.body.code, Number(refused.headers["retry-after"]) > 0]).toEqual([429, "too-many-calls", true]);
  await app.close();
});

test("where somebody says to come from is believed from a proxy that was named, and from nobody else", async () => {
  for (const [trustProxy, expected] of [
    [null, [401, 401, 429]],
    ["192.0.2.1", [401, 401, 429]],
    ["127.0.0.1", [401, 401, 401]],
  ] as const) {
    const app = await open({ rateLimitPerMinute: 2, trustProxy });
    const statuses: number[] = [];
    // Addresses for examples, RFC 5737
    for (const from of ["198.51.100.1", "198.51.100.2", "198.51.100.3"]) {
      statuses.push((await app.anyone.get("/v1/me").set("x-forwarded-for", from)).status);
    }
    expect(statuses, String(trustProxy)).toEqual(expected);
    await app.close();
  }
});

test("behind a named proxy, what the caller put before the proxy's own word is not believed", async () => {
  const app = await open({ rateLimitPerMinute: 2, trustProxy: "127.0.0.1" });
  const statuses: number[] = [];
  for (const made of ["203.0.113.1", "203.0.113.2", "203.0.113.3"]) {
    statuses.push((await app.anyone.get("/v1/me").set("x-forwarded-for", `${made}, 198.51.100.1`)).status);
  }
  expect(statuses).toEqual([401, 401, 429]);
  await app.close();
});

test("a call that comes while the service closes is told to come again, with a problem", async () => {
  const app = await open({});
  const { port } = app.app.server.address() as AddressInfo;
  const socket = connect(port, "127.0.0.1");
  const body = '{"staffNumber":"R001","secret":"x"}';
  const head = `POST /v1/sign-in HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\nContent-Length: ${body.length}\r\n\r\n`;
  // The first call is half sent when the service is told to stop; the second comes behind it on the same connection.
  app.app.server.once("request", () => {
    void app.app.close();
    setTimeout(() => socket.write(`${body.slice(5)}GET /healthz HTTP/1.1\r\nHost: x\r\n\r\n`), 50);
  });
  socket.write(head + body.slice(0, 5));
  const [first, second] = await readAnswers(socket);
  expect([first?.status, first?.body.code]).toEqual([401, "wrong-credentials"]);
  expect(second).toMatchObject({
    status: 503,
    body: { code: "not-ready" },
    headers: { "content-type": "application/problem+json; charset=utf-8" },
  });
  expect(Number(second?.headers["retry-after"])).toBeGreaterThan(0);
  await app.close();
});
