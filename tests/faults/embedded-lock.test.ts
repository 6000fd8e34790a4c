// One process has a data folder: however many begin at once, and whatever a dead one left there.
import { type ChildProcess, fork } from "node:child_process";
import { once } from "node:events";
import { mkdir, mkdtemp, readdir, rm, writeFile } from "node:fs/promises";
import { createServer } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, afterEach, beforeAll, beforeEach, expect, test } from "vitest";
import { lockFolder } from "../../src/platform/database/folder-lock.ts";

let folder: string;
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), "ferrule-lock-"));
});
afterEach(() => rm(folder, { recursive: true }));

const takers: ChildProcess[] = [];
const mostAtOnce = 6;
const rounds = 12;

/** A process that takes the folders it is told, says what came of it, and releases what it is told to. */
async function startTaker(): Promise<ChildProcess> {
  const taker = fork(new URL("../support/take-folder.ts", import.meta.url), {
    execArgv: ["--import", import.meta.resolve("tsx")],
    stdio: ["ignore", "inherit", "inherit", "ipc"],
  });
  takers.push(taker);
  await once(taker, "message");
  return taker;
}

async function tell(taker: ChildProcess, order: { take?: string; release?: string }): Promise<string> {
  taker.send(order);
  const [came] = (await once(taker, "message")) as [string];
  return came;
}

async function kill(taker: ChildProcess): Promise<void> {
  const gone = once(taker, "exit");
  taker.kill("SIGKILL");
  await gone;
}

beforeAll(async () => {
  await Promise.all(Array.from({ length: mostAtOnce }, startTaker));
});
afterAll(() => Promise.all(takers.filter(({ exitCode, signalCode }) => exitCode === null && signalCode === null).map(kill)));

test("a data folder in use is refused to a second owner, and free again once it is released", async () => {
  const release = await lockFolder(folder);
  await expect(lockFolder(folder)).rejects.toThrow(/Another Ferrule process/);
  await release();
  const again = await lockFolder(folder);
  await again();
  expect(await readdir(folder)).toEqual([]);
});

test("of several processes that begin at once on the lock of a dead one exactly one gets the folder", async () => {
  const dead = await startTaker();
  const folders = Array.from({ length: rounds }, (_one, round) => join(folder, `${round}`));
  for (const take of folders) expect(await tell(dead, { take })).toBe("taken");
  await kill(dead);
  for (const take of folders) {
    const came = await Promise.all(takers.slice(0, mostAtOnce).map((taker) => tell(taker, { take })));
    expect(came.filter((one) => one === "taken")).toHaveLength(1);
    expect(came.filter((one) => one.includes("Another Ferrule process"))).toHaveLength(mostAtOnce - 1);
    const winner = takers[came.indexOf("taken")] as ChildProcess;
    expect(await readdir(take)).toHaveLength(1);
    expect(await tell(winner, { release: take })).toBe("released");
    expect(await readdir(take)).toEqual([]);
  }
});

test("a process that is stopped holds its folder on", async () => {
  const holder = await startTaker();
  expect(await tell(holder, { take: folder })).toBe("taken");
  holder.kill("SIGSTOP");
  await expect(lockFolder(folder)).rejects.toThrow(/Another Ferrule process/);
  await kill(holder);
  await (await lockFolder(folder))();
});

test("a lock file that is half written, or names a process by a number that somebody else has now, is nobody's", async () => {
  await writeFile(join(folder, "in-use.socket"), "");
  await writeFile(join(folder, "in-use.0000.socket"), `${process.pid}\n`);
  await writeFile(join(folder, "in-use.5f5f5f5f5f5f.new"), "");
  const release = await lockFolder(folder);
  await expect(lockFolder(folder)).rejects.toThrow(/Another Ferrule process/);
  await release();
});

test("the lock of a Ferrule from before names came to be is held to, and taken over once it is dead", async () => {
  const before = createServer((socket) => socket.destroy());
  await new Promise<void>((done) => before.listen(join(folder, "in-use.socket"), done));
  await expect(lockFolder(folder)).rejects.toThrow(/Another Ferrule process/);
  await new Promise((done) => before.close(done));
  await (await lockFolder(folder))();
});

test("a folder whose path is too long for a socket is locked like any other", async () => {
  const long = join(folder, "a".repeat(90));
  await mkdir(long);
  const release = await lockFolder(long);
  await expect(lockFolder(long)).rejects.toThrow(/Another Ferrule process/);
  await release();
  await (await lockFolder(long))();
});
