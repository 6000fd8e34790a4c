// The two commands, as somebody types them: the service itself on a data folder of its own, killed, started again, stopped,
// and README's morning walked by hand.
import { type ChildProcess, execFileSync, spawn } from "node:child_process";
import { once } from "node:events";
import { existsSync, mkdtempSync, readFileSync, renameSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { createInterface } from "node:readline";
import { afterAll, beforeAll, expect, test } from "vitest";

const top = new URL("../../", import.meta.url).pathname;
const data = mkdtempSync(join(tmpdir(), "ferrule-first-start-"));
const running = new Set<ChildProcess>();

/** Starts `npm start`'s script and waits for a line that holds `until`. */
async function start(until: string): Promise<{ child: ChildProcess; lines: string[] }> {
  const { DATABASE_URL: _none, ...environment } = process.env;
  const child = spawn(process.execPath, [".config/start.mjs"], {
    cwd: top,
    env: { ...environment, NODE_ENV: "development", FERRULE_DATA: data, PORT: "0", LOG_LEVEL: "warn" },
    stdio: ["ignore", "pipe", "pipe"],
  });
  running.add(child);
  const lines: string[] = [];
  await new Promise<void>((found, failed) => {
    child.once("exit", (code) => failed(new Error(`it ended with ${code}: ${lines.join("\n")}`)));
    for (const stream of [child.stdout, child.stderr]) {
      createInterface({ input: stream }).on("line", (line) => {
        lines.push(line);
        if (line.includes(until)) found();
      });
    }
  });
  return { child, lines };
}

async function stop(child: ChildProcess, signal: NodeJS.Signals): Promise<number | null> {
  const ended = once(child, "exit");
  child.kill(signal);
  const [code] = (await ended) as [number | null];
  running.delete(child);
  return code;
}

const addressIn = (lines: readonly string[]): string => {
  const address = lines.map((line) => /Ferrule is at (\S+)/.exec(line)?.[1]).find((found) => found !== undefined);
  if (!address) throw new Error("no address was printed");
  return address;
};

async function boardOf(url: string): Promise<{ totals: Record<string, number>; machines: unknown[] }> {
  const headers = { "content-type": "application/json" };
  const signIn = await fetch(`${url}/v1/sign-in`, {
    method: "POST",
    headers,
    body: JSON.stringify({ staffNumber: "F001", secret: "demo-F001" }),
  });
  const { accessToken } = (await signIn.json()) as { accessToken: string };
  const board = await fetch(`${url}/v1/readiness`, { headers: { authorization: `Bearer ${accessToken}` } });
  return (await board.json()) as { totals: Record<string, number>; machines: unknown[] };
}

const hasCurl = (): boolean => {
  try {
    execFileSync("curl", ["--version"], { stdio: "ignore" });
    return true;
  } catch {
    return false;
  }
};

let service: { child: ChildProcess; lines: string[] };
let first: readonly string[];
const isUp = (): boolean => service.child.exitCode === null && service.child.signalCode === null;
/** The service, begun again where another test ended it. */
async function up(): Promise<typeof service> {
  if (!isUp()) service = await start("Ferrule is at");
  return service;
}
async function down(): Promise<void> {
  if (isUp()) await stop(service.child, "SIGTERM");
}
beforeAll(async () => {
  const interrupted = await start("week 2 of 13");
  await stop(interrupted.child, "SIGKILL");
  service = await start("Ferrule is at");
  first = service.lines;
}, 900_000);
afterAll(() => {
  for (const child of running) child.kill("SIGKILL");
  rmSync(data, { recursive: true, force: true });
});

test("a first start that was killed half-way begins anew: the demo firm is whole, its people are printed", async () => {
  expect(first.some((line) => line.includes("it starts again"))).toBe(true);
  expect(first.filter((line) => /^ {2}[RMFA]\d{3} {2}demo-/.test(line))).toHaveLength(30);
  expect((await boardOf(addressIn((await up()).lines))).machines).toHaveLength(24);
});

test("README's morning, word for word, ends with the rider on the road and the papers in hand", async () => {
  if (!hasCurl()) {
    if (process.env["CI"]) throw new Error("CI walks the morning, and there is no curl here");
    console.info("There is no curl here: README's morning was not walked.");
    return;
  }
  const block = /```sh\n(url=[\s\S]*?)```/.exec(readFileSync(join(top, "README.md"), "utf8"))?.[1];
  if (!block) throw new Error("README has no morning");
  const folder = mkdtempSync(join(tmpdir(), "ferrule-morning-"));
  const output = execFileSync("bash", ["-e", "-c", block], {
    cwd: folder,
    env: { ...process.env, FERRULE_URL: addressIn((await up()).lines) },
    encoding: "utf8",
  });
  const papers = ["fleet.pdf", "defect.pdf"].map((name) => readFileSync(join(folder, name)).subarray(0, 5).toString());
  rmSync(folder, { recursive: true });
  expect(output).toContain("do-not-ride: Dangerous defect: Front tyre tread and walls");
  expect(output).toContain("after the repair: grounded");
  expect(output).toContain("after the sign-off: unchecked");
  expect(output).toMatch(/^ride(-with-defects)? until /m);
  expect(output).toContain("A competent person signed the defect off");
  expect(papers).toEqual(["%PDF-", "%PDF-"]);
});

test("it stops with success when told to, and a second start keeps all data", async () => {
  const before = await boardOf(addressIn((await up()).lines));
  expect(await stop(service.child, "SIGTERM")).toBe(0);
  service = await start("Ferrule is at");
  expect(service.lines.some((line) => line.includes("founding"))).toBe(false);
  const after = await boardOf(addressIn(service.lines));
  expect(after.totals).toEqual(before.totals);
  expect(await stop(service.child, "SIGTERM")).toBe(0);
});

/** What a start says that is refused, after the words that it could not. */
async function refusal(environment: Record<string, string>): Promise<string> {
  const { DATABASE_URL: _none, ...own } = process.env;
  const child = spawn(process.execPath, [".config/start.mjs"], {
    cwd: top,
    env: { ...own, FERRULE_DATA: data, PORT: "0", LOG_LEVEL: "warn", ...environment },
    stdio: ["ignore", "ignore", "pipe"],
  });
  running.add(child);
  const said: string[] = [];
  createInterface({ input: child.stderr }).on("line", (line) => said.push(line));
  const [code] = (await once(child, "close")) as [number | null];
  running.delete(child);
  expect(code).toBe(1);
  return said.find((line) => line.startsWith("Ferrule could not start. "))?.slice(25) ?? said.join("\n");
}

test("a data folder without its keys stops the start and makes no new ones; with them back it goes on", async () => {
  await down();
  renameSync(join(data, "keys.json"), join(data, "elsewhere.json"));
  expect(await refusal({ NODE_ENV: "development" })).toMatch(
    /^The records of this database are signed with the key [\w-]{43}, which is not in the data folder/,
  );
  expect(existsSync(join(data, "keys.json"))).toBe(false);
  renameSync(join(data, "elsewhere.json"), join(data, "keys.json"));
  service = await start("Ferrule is at");
  expect(await stop(service.child, "SIGTERM")).toBe(0);
});

test("in production a database that is not named, or is named wrongly, stops the start; so does the demo firm's, asked for by name", async () => {
  await down();
  const production = { NODE_ENV: "production" };
  expect(await refusal(production)).toContain("In production DATABASE_URL names the PostgreSQL server, and it is not set.");
  expect(await refusal({ ...production, DATABASE_URL: "" })).toContain("it is not set");
  expect(await refusal({ ...production, DATABASE_URL: "127.0.0.1:5432/ferrule" })).toContain(
    "is neither a postgres:// address nor the word embedded",
  );
  expect(await refusal({ ...production, DATABASE_URL: "embedded" })).toContain("This store holds the demo firm");
});
