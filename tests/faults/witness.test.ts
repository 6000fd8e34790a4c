// The witness over real HTTP: each checkpoint is shown to it, whatever it does nobody waits for it, and what it missed it sees later.
import { randomBytes } from "node:crypto";
import { pino } from "pino";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test, vi } from "vitest";
import type { AppContext } from "../../src/acts/index.ts";
import { buildApp } from "../../src/app.ts";
import { takeCheckpoint } from "../../src/ledger/index.ts";
import { MovedClock, readConfig } from "../../src/platform/index.ts";
import { keepWitnessing, openWitness, readAuthorities, readTimeStamps, readToken, type Witnessing } from "../../src/witness/index.ts";
import { expectAnswer, peopleAtHand } from "../support/acts.ts";
import { openTestApp, type TestApp } from "../support/app.ts";
import { openTestContext, type TestContext } from "../support/context.ts";
import {
  hasOpenssl,
  type Manner,
  makeTimeAuthority,
  openWitnessServer,
  stamping,
  type TimeAuthority,
  type WitnessServer,
} from "../support/time-authority.ts";

const pace = { lookEveryMs: 20, firstPauseMs: 20, mostPauseMs: 80, betweenMs: 1 };
const until = (look: () => void | Promise<void>): Promise<void> => vi.waitFor(look, { timeout: 120_000, interval: 25 });

describe.skipIf(!hasOpenssl())("the witness", () => {
  let authority: TimeAuthority;
  let server: WitnessServer;
  let app: TestApp;
  let context: TestContext;
  let witnessing: Witnessing | null = null;
  /** the last checkpoint before the test */
  let before = 0;
  const lines: { msg: string; code?: string; why?: string; failures?: number; level: number }[] = [];

  beforeAll(async () => {
    authority = await makeTimeAuthority();
    server = await openWitnessServer(stamping(authority));
    const witness = { url: server.url, host: new URL(server.url).host, authorization: null, authorities: authority.rootFile };
    // The authority has no other time than this machine's.
    const opened = await openTestContext(new Date().toISOString(), { witness });
    context = { ...opened, log: pino({ level: "debug" }, { write: (line: string) => void lines.push(JSON.parse(line)) }) };
    app = await openTestApp(context);
  });
  afterAll(async () => {
    await app.close();
    await server.close();
    await authority.remove();
  });
  beforeEach(async () => {
    before = (await taken()).number;
    await settle();
    lines.length = 0;
  });
  afterEach(() => witnessing?.stop());

  const taken = async () => {
    context.clock.moveTo(new Date());
    const checkpoint = await takeCheckpoint(context);
    if (!checkpoint) throw new Error("the firm is founded");
    return checkpoint;
  };
  const begin = async ({ mostMs, by = context }: { mostMs?: number; by?: AppContext } = {}): Promise<void> => {
    const witness = await openWitness(by, mostMs);
    if (!witness) throw new Error("the settings name one");
    witnessing = await keepWitnessing(by, witness, pace);
  };
  const gauge = (name: string): number => witnessing?.gauges.find((one) => one.name === name)?.value() ?? Number.NaN;
  /** What the witness said in this test. */
  const stamped = () => readTimeStamps(context.db, before + 1, before + 1000);
  const said = (code?: string) => lines.find((line) => line.code !== undefined && (code === undefined || line.code === code));
  /** Lets it see all that there is. */
  const settle = async (): Promise<void> => {
    server.answerBy(stamping(authority));
    await begin();
    await until(async () => expect(await readTimeStamps(context.db, before, before)).toHaveLength(1));
    await until(() => expect(gauge("ferrule_witness_lacking")).toBe(0));
    await witnessing?.stop();
    context.clock.moveTo(new Date());
  };

  test("sees each checkpoint after it was taken; its token is what was signed, holds against the authority, and openssl says the same", async () => {
    const asked = server.asked();
    const first = await taken();
    await begin();
    await until(async () => expect(await stamped()).toHaveLength(1));
    const second = await taken();
    await until(async () => expect(await stamped()).toHaveLength(2));
    const believed = await readAuthorities(authority.rootFile);
    for (const [index, checkpoint] of [first, second].entries()) {
      const row = (await stamped())[index];
      expect(row).toMatchObject({ number: checkpoint.number, authority: "Test Clock good, Made up for a test", isBelieved: true });
      const told = await expectAnswer((await peopleAtHand(app)("A001")).get(`/v1/checkpoints/${checkpoint.number}/time-stamp`), 200);
      expect(told).toMatchObject({ number: checkpoint.number, stampedAt: row?.stampedAt.toISOString(), isBelieved: true });
      const token = Buffer.from(told.token, "base64");
      expect((await readToken(token, Buffer.from(checkpoint.jws), believed)).at).toEqual(row?.stampedAt);
      expect(await authority.complaint(token, told.sha256)).toBeNull();
    }
    await until(() => expect(gauge("ferrule_witness_lacking")).toBe(0));
    expect(gauge("ferrule_witness_failures")).toBe(0);
    expect(gauge("ferrule_witness_last_timestamp_seconds")).toBe(((await stamped())[1]?.stampedAt.getTime() ?? 0) / 1000);
    expect(server.asked() - asked).toBe(2);
  });

  test("says of a checkpoint that it has not seen that it has not", async () => {
    const { number } = await taken();
    const auditor = await peopleAtHand(app)("A001");
    await expectAnswer(auditor.get(`/v1/checkpoints/${number}/time-stamp`), 404, "not-found");
    await expectAnswer(auditor.get("/v1/checkpoints/9999/time-stamp"), 404, "not-found");
  });

  test("that is away holds up no checkpoint, leaves readiness green, is logged with growing pauses, and sees what it missed when it is back", async () => {
    server.answerBy((_request, response) => void response.destroy());
    await begin();
    const checkpoints = [await taken(), await taken(), await taken()];
    await until(() => expect(gauge("ferrule_witness_failures")).toBeGreaterThan(3));
    await until(() => expect(gauge("ferrule_witness_lacking")).toBe(3));
    const nobody = () => Promise.reject(new Error("nobody signs in here"));
    const built = await buildApp(context, nobody, witnessing?.gauges);
    try {
      expect((await built.inject("/readyz")).statusCode).toBe(200);
      expect((await built.inject("/metrics")).body).toMatch(/^ferrule_witness_lacking 3$/m);
    } finally {
      await built.close();
    }
    expect(said()).toMatchObject({ level: 40, code: "unreachable", failures: 1 });
    server.answerBy(stamping(authority));
    await until(async () => expect((await stamped()).map(({ number }) => number)).toEqual(checkpoints.map(({ number }) => number)));
    await until(() => expect(lines.map(({ msg }) => msg)).toContain("the witness answers again"));
    expect(gauge("ferrule_witness_failures")).toBe(0);
  });

  const huge: Manner = (_request, response) => {
    response.writeHead(200, { "content-type": "application/timestamp-reply" });
    const more = (): void => {
      while (!response.destroyed && response.write(Buffer.alloc(16_384)));
    };
    response.on("drain", more);
    more();
  };
  const drop: Manner = (_request, response) => {
    response.writeHead(200, { "content-type": "application/timestamp-reply" });
    response.write(Buffer.of(0x30));
  };
  const reply = (body: Buffer | string, status = 200, headers: Record<string, string> = {}): Manner => {
    return (_request, response) => void response.writeHead(status, { "content-type": "application/timestamp-reply", ...headers }).end(body);
  };

  test.each<[string, string, Manner]>([
    ["never ends its answer", "large", huge],
    ["begins its answer and falls silent", "slow", drop],
    ["takes the question and says nothing", "slow", () => undefined],
    ["answers with a page", "media", reply("<html>", 200, { "content-type": "text/html" })],
    ["answers with an error", "status", reply("", 500)],
    ["answers with noise", "form", reply(randomBytes(500))],
    ["answers with nothing", "form", reply("")],
  ])("that %s is refused and logged as '%s', and nothing is kept", async (_name, code, manner) => {
    server.answerBy(manner);
    await taken();
    // Who is slow is waited for no longer than a moment; beside many busy processes everybody else is slow too.
    await begin({ mostMs: code === "slow" ? 300 : 60_000 });
    await until(() => expect(said()).toMatchObject({ code, level: 40 }));
    expect(await stamped()).toEqual([]);
  });

  test("is followed to no other address", async () => {
    const elsewhere = await openWitnessServer(stamping(authority));
    try {
      for (const status of [301, 302, 303, 307, 308]) {
        lines.length = 0;
        server.answerBy(reply("", status, { location: elsewhere.url }));
        await taken();
        await begin();
        await until(() => expect(said("status")?.why).toContain(String(status)));
        await witnessing?.stop();
      }
      expect(elsewhere.asked()).toBe(0);
      expect(await stamped()).toEqual([]);
    } finally {
      await elsewhere.close();
    }
  });

  test("that answers an earlier question again is refused", async () => {
    let kept: Buffer | null = null;
    server.answerBy(async (request, response, body) => {
      kept ??= await authority.answer(body);
      await reply(kept)(request, response, body);
    });
    await taken();
    await begin();
    await until(async () => expect(await stamped()).toHaveLength(1));
    await taken();
    await until(() => expect(said()).toMatchObject({ code: "imprint" }));
    expect(await stamped()).toHaveLength(1);
  });

  test("whose time is far from the time here is refused", async () => {
    await taken();
    await begin({ by: { ...context, clock: new MovedClock(new Date(Date.now() + 3_600_000)) } });
    await until(() => expect(said()).toMatchObject({ code: "time" }));
    expect(await stamped()).toEqual([]);
  });

  test("of another authority than the settings name is refused", async () => {
    const other = await makeTimeAuthority();
    try {
      server.answerBy(stamping(other));
      await taken();
      await begin();
      await until(() => expect(said()).toMatchObject({ code: "authority" }));
    } finally {
      // What is still being asked would write into the folder while it goes.
      await witnessing?.stop();
      await other.remove();
    }
  });

  test("gets name and password where its address has them, and neither is logged", async () => {
    const heard: unknown[] = [];
    server.answerBy((request, response, body) => {
      heard.push(request.headers.authorization, request.headers["content-type"]);
      return stamping(authority)(request, response, body);
    });
    const address = server.url.replace("http://", "http://clock:a%20secret@");
    const { witness } = readConfig({ NODE_ENV: "test", FERRULE_WITNESS_URL: address });
    await taken();
    await begin({ by: { ...context, config: { ...context.config, witness } } });
    await until(async () => expect(await stamped()).toHaveLength(1));
    expect(heard).toEqual([`Basic ${Buffer.from("clock:a secret").toString("base64")}`, "application/timestamp-query"]);
    expect((await stamped())[0]?.isBelieved).toBe(false);
    expect(JSON.stringify(lines)).not.toContain("secret");
  });

  test("is asked no more once the service closes, also while it hangs", async () => {
    const asked = server.asked();
    server.answerBy(() => undefined);
    await taken();
    await begin({ mostMs: 600_000 });
    await until(() => expect(server.asked()).toBe(asked + 1));
    await witnessing?.stop();
    expect(lines.filter(({ level }) => level >= 40)).toEqual([]);
  });

  test("what it said is never changed or removed", async () => {
    const { number } = await taken();
    await begin();
    await until(async () => expect(await stamped()).toHaveLength(1));
    for (const sql of [
      "UPDATE checkpoint_time_stamp SET authority = 'x'",
      "DELETE FROM checkpoint_time_stamp",
      "TRUNCATE checkpoint_time_stamp",
    ])
      await expect(context.db.rows(sql)).rejects.toMatchObject({ code: "FR001" });
    expect((await stamped()).map((row) => row.number)).toEqual([number]);
  });
});
