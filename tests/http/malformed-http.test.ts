// What is no HTTP, or too much of it, is answered before any route or hook is found: with a problem all the same.
import type { AddressInfo } from "node:net";
import { beforeAll, expect, test } from "vitest";
import { openLog } from "../../src/platform/index.ts";
import { openTestContext } from "../support/context.ts";
import { type RawAnswer, rawCall } from "../support/raw-call.ts";
import { testService } from "../support/test-service.ts";

let port: number;
const lines: string[] = [];
const { app } = testService(async () => ({
  ...(await openTestContext()),
  log: openLog("info", { write: (line: string) => void lines.push(line) }),
}));
beforeAll(() => {
  port = (app.app.server.address() as AddressInfo).port;
});

function expectBareProblem(answer: RawAnswer | undefined, status: number, code: string): void {
  expect(answer).toMatchObject({
    status,
    headers: {
      "content-type": "application/problem+json; charset=utf-8",
      "cache-control": "no-store",
      "x-content-type-options": "nosniff",
      "content-security-policy": "default-src 'none'; frame-ancestors 'none'",
      connection: "close",
      "x-request-id": expect.stringMatching(/^[0-9a-f-]{36}$/),
    },
    body: { type: `/problems/${code}`, title: expect.any(String), detail: expect.any(String), status, code },
  });
  expect(answer?.body.requestId).toBe(answer?.headers["x-request-id"]);
}

const post = "POST /v1/sign-in HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\n";

test.each([
  ["headers over 16 kB", `GET /healthz HTTP/1.1\r\nHost: x\r\nX-Long: ${"secret-word ".repeat(2000)}\r\n\r\n`, 431, "headers-too-large"],
  ["an address over 16 kB", `GET /${"x".repeat(20_000)} HTTP/1.1\r\nHost: x\r\n\r\n`, 431, "headers-too-large"],
  ["words that are no HTTP", "secret-word, please\r\n\r\n", 400, "not-http"],
  ["a method that there is not", "FETCH /healthz HTTP/1.1\r\nHost: x\r\n\r\n", 400, "not-http"],
  // RFC 9112 section 6.3: two lengths are an attempt to smuggle a call past a proxy
  ["two lengths", `${post}Content-Length: 2\r\nTransfer-Encoding: chunked\r\n\r\n2\r\n{}\r\n0\r\n\r\n`, 400, "not-http"],
  ["a chunk without its length", `${post}Transfer-Encoding: chunked\r\n\r\nzz\r\n{}\r\n0\r\n\r\n`, 400, "not-http"],
  ["a chunk with 20 kB beside it", `${post}Transfer-Encoding: chunked\r\n\r\n2;${"x".repeat(20_000)}\r\n{}\r\n0\r\n\r\n`, 413, "too-large"],
])("%s: one problem, an entry in the log without what was sent, and the connection is closed", async (_what, text, status, code) => {
  lines.length = 0;
  const answers = await rawCall(port, text);
  expect(answers).toHaveLength(1);
  expectBareProblem(answers[0], status, code);
  expect(lines.join("")).toContain(`"code":"${code}"`);
  expect(lines.join("")).not.toContain("secret-word");
});

test("an address that cannot be decoded or is too long gets the same strict headers", async () => {
  for (const address of ["/v1/defects/%ff", `/v1/defects/${"x".repeat(300)}`]) {
    const [answer] = await rawCall(port, `GET ${address} HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n`);
    expectBareProblem(answer, 422, "not-valid");
  }
});

// RFC 9112 section 3.2: a server answers 400 to a call of HTTP/1.1 without Host
test("a call that names no host is refused with a problem", async () => {
  const [answer] = await rawCall(port, "GET /healthz HTTP/1.1\r\nConnection: close\r\n\r\n");
  expect(answer).toMatchObject({
    status: 400,
    headers: { "content-type": "application/problem+json; charset=utf-8" },
    body: { code: "not-http" },
  });
});

test("an expectation that is not known is passed over, as RFC 9110 section 10.1.1 allows", async () => {
  const [answer] = await rawCall(port, "GET /healthz HTTP/1.1\r\nHost: x\r\nExpect: tea\r\nConnection: close\r\n\r\n");
  expect([answer?.status, answer?.body]).toEqual([200, { status: "up" }]);
});

test("a call that does not arrive in time is ended with a problem, and there is such a time", async () => {
  const { server } = app.app;
  expect(server.requestTimeout).toBeGreaterThan(0);
  expect(server.headersTimeout).toBeGreaterThan(0);
  // What Node.js tells once that time is over.
  const late = Object.assign(new Error("Request timeout"), { code: "ERR_HTTP_REQUEST_TIMEOUT" });
  server.once("connection", (socket) => server.emit("clientError", late, socket));
  const [answer] = await rawCall(port, "GET /healthz HTTP/1.1\r\n");
  expectBareProblem(answer, 408, "too-slow");
});

test("a client that went away is not answered, and the service goes on", async () => {
  const { server } = app.app;
  lines.length = 0;
  const gone = Object.assign(new Error("read ECONNRESET"), { code: "ECONNRESET" });
  server.once("connection", (socket) => server.emit("clientError", gone, socket));
  expect(await rawCall(port, "GET /healthz HTTP/1.1\r\n")).toEqual([]);
  expect(lines).toEqual([]);
  await app.anyone.get("/healthz").expect(200);
});
