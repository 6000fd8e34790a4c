// Whatever was opened is closed in reverse order, whatever fails on the way: of the helper that does it, and of the service as a process.
import type { ChildProcess } from "node:child_process";
import { once } from "node:events";
import { mkdtempSync, readdirSync, rmSync } from "node:fs";
import { connect, createServer } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { pino } from "pino";
import { afterAll, beforeEach, describe, expect, test } from "vitest";
import { Closing } from "../../src/platform/index.ts";
import { portOf, type Started, startProcess } from "../support/service-process.ts";

describe("closing", () => {
  let said: { step: string }[];
  let closed: string[];
  let closing: Closing;
  const begin = (mostMs: number): void => {
    closing = new Closing(pino({ level: "error" }, { write: (line: string) => void said.push(JSON.parse(line)) }), mostMs);
  };
  /** Opens one of that name; closing it is noted, and does what `then` says. */
  const open = (what: string, then: () => unknown = () => undefined): Promise<string> =>
    closing.open(
      what,
      () => what,
      (opened) => {
        closed.push(opened);
        return then();
      },
    );
  beforeEach(() => {
    [said, closed] = [[], []];
    begin(60_000);
  });

  test("goes backwards, and says that all went well", async () => {
    for (const what of ["database", "sessions", "door"]) await open(what);
    expect(await closing.end()).toBe(true);
    expect(closed).toEqual(["door", "sessions", "database"]);
    expect(said).toEqual([]);
  });

  test("goes on past a step that throws and one that fails later, names both and says that it did not go well", async () => {
    await open("database");
    await open("sessions", async () => Promise.reject(new Error("no longer there")));
    await open("door", () => {
      throw new Error("stuck");
    });
    expect(await closing.end()).toBe(false);
    expect(closed).toEqual(["door", "sessions", "database"]);
    expect(said).toMatchObject([
      { step: "door", err: { message: "stuck" } },
      { step: "sessions", err: { message: "no longer there" } },
    ]);
  });

  test("does not wait for ever: steps that never end leave time for those opened before them", async () => {
    begin(30);
    await open("database");
    await open("sessions", () => new Promise(() => undefined));
    await open("door", () => new Promise(() => undefined));
    expect(await closing.end()).toBe(false);
    expect(closed).toEqual(["door", "sessions", "database"]);
    expect(said.map(({ step }) => step)).toEqual(["door", "sessions"]);
  });

  test("asked for twice is done once", async () => {
    await open("database");
    expect(await Promise.all([closing.end(), closing.end()])).toEqual([true, true]);
    expect(closed).toEqual(["database"]);
  });

  test("what could not be opened is not closed, and the start is told why", async () => {
    await open("database");
    const opening = closing.open(
      "door",
      () => Promise.reject(new Error("the port is taken")),
      () => closed.push("door"),
    );
    await expect(opening).rejects.toThrow("the port is taken");
    expect(await closing.end()).toBe(true);
    expect(closed).toEqual(["database"]);
  });

  test("what is being opened meanwhile is closed once it is open, before what it was opened on, and nothing is opened after that", async () => {
    await open("database");
    let isOpen = (): void => undefined;
    const opening = closing.open(
      "door",
      () =>
        new Promise<void>((done) => {
          isOpen = done;
        }),
      () => closed.push("door"),
    );
    const ended = closing.end();
    await expect(open("sessions")).rejects.toThrow("sessions is not opened any more");
    isOpen();
    await expect(opening).rejects.toThrow("door was opened too late");
    expect(await ended).toBe(true);
    expect(closed).toEqual(["door", "database"]);
  });
});

describe("the service as a process", () => {
  const data = mkdtempSync(join(tmpdir(), "ferrule-closing-"));
  const running = new Set<ChildProcess>();
  afterAll(() => {
    for (const child of running) child.kill("SIGKILL");
    rmSync(data, { recursive: true, force: true });
  });

  /** A service on the embedded store of this test, as `npm start` runs it. */
  const start = (environment: Record<string, string> = {}): Started =>
    startProcess(
      [".config/start.mjs"],
      {
        // Time enough on a machine that does much else: what closes in order here never needs it.
        ...{ NODE_ENV: "production", PORT: "0", LOG_LEVEL: "info", CLOSING_LIMIT_MS: "600000" },
        ...{ FERRULE_DATA: data, DATABASE_URL: "embedded" },
        ...{ FERRULE_FIRM_NAME: "A Firm", FERRULE_MANAGER_NUMBER: "F1", FERRULE_MANAGER_SECRET: "a long secret" },
        ...environment,
      },
      running,
    );

  /** What a process that ends without closing leaves behind: the socket that holds its data folder. */
  const leftBehind = (): string[] => readdirSync(data).filter((file) => file.endsWith(".socket"));

  /** A call of which the service waits for the rest. */
  async function halfACall(port: number) {
    const socket = connect(port, "127.0.0.1").on("error", () => undefined);
    await once(socket, "connect");
    // It says that it goes on, so the service has taken the call.
    socket.write(
      "POST /v1/sign-in HTTP/1.1\r\nhost: here\r\ncontent-type: application/json\r\nexpect: 100-continue\r\ncontent-length: 100\r\n\r\n{",
    );
    const [answer] = (await once(socket, "data")) as [Buffer];
    expect(answer.toString()).toContain("100 Continue");
    return socket;
  }

  test("asked twice at the same moment, as Ctrl-C under npm does, it closes in order and ends with 0", async () => {
    const service = start();
    await service.says("Ferrule is at");
    expect(leftBehind()).toHaveLength(1);
    service.child.kill("SIGINT");
    await service.says('"closing"');
    service.child.kill("SIGINT");
    expect(await service.ended).toBe(0);
    expect(leftBehind()).toEqual([]);
  });

  test("a start that fails at its last step closes what it had opened, says one sentence and ends with 1", async () => {
    const other = createServer().listen(0, "127.0.0.1");
    await once(other, "listening");
    const { port } = other.address() as { port: number };
    const service = start({ PORT: String(port) });
    expect(await service.ended).toBe(1);
    expect(await service.says("Ferrule could not start.")).toContain(`port ${port} of 127.0.0.1 already`);
    expect(service.lines.filter((line) => line.includes("could not be closed"))).toEqual([]);
    expect(leftBehind()).toEqual([]);
    other.close();
  });

  test("told to stop while it starts, it closes what it had opened and complains of nothing", async () => {
    const service = start();
    await service.says("Opening the embedded database");
    service.child.kill("SIGTERM");
    expect(await service.ended).toBe(0);
    expect(service.lines.filter((line) => /could not/.test(line))).toEqual([]);
    expect(leftBehind()).toEqual([]);
  });

  test("a caller who never ends is named in the log, all else is closed, and the process ends with 1", async () => {
    const service = start({ CLOSING_LIMIT_MS: "20000" });
    const caller = await halfACall(portOf(await service.says("Ferrule is at")));
    service.child.kill("SIGTERM");
    expect(await service.ended).toBe(1);
    const complaints = service.lines.filter((line) => line.includes("could not be closed in order"));
    expect(complaints.map((line) => JSON.parse(line).step)).toEqual(["the door to the outside"]);
    expect(leftBehind()).toEqual([]);
    caller.destroy();
  });

  test("asked a second time it ends at once with 1, whatever is still open", async () => {
    const service = start();
    const caller = await halfACall(portOf(await service.says("Ferrule is at")));
    service.child.kill("SIGTERM");
    await service.says('"closing"');
    // Not the same moment any more, some second or other.
    const again = setInterval(() => service.child.kill("SIGINT"), 200);
    expect(await service.ended).toBe(1);
    clearInterval(again);
    await service.says("asked a second time");
    expect(service.lines.filter((line) => line.includes("could not be closed in order"))).toEqual([]);
    caller.destroy();
  });
});
