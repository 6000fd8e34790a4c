// A start on the wrong keys or the wrong data folder is stopped before anybody is served, and leaves nothing behind there; what was signed
// with keys that are gone can still be verified.
import { randomUUID } from "node:crypto";
import { existsSync } from "node:fs";
import { mkdir, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, expect, test } from "vitest";
import { makeKeys, openOwnKeys, publishedKeys, readClaim } from "../../src/keys/index.ts";
import { takeCheckpoint } from "../../src/ledger/index.ts";
import { knowFolder } from "../../src/photos/index.ts";
import { lockFolder } from "../../src/platform/database/folder-lock.ts";
import type { Config } from "../../src/platform/index.ts";
import { castFirm } from "../support/cast.ts";
import { openTestContext, type TestContext } from "../support/context.ts";

let context: TestContext;
let folders: string[];
beforeEach(async () => {
  context = await openTestContext();
  await castFirm(context);
  folders = [];
});
afterEach(async () => {
  await context.close();
  for (const folder of folders) await rm(folder, { recursive: true, force: true });
});

const emptyFolder = async (): Promise<string> => {
  const folder = join(tmpdir(), `ferrule-test-${randomUUID()}`);
  await mkdir(folder);
  folders.push(folder);
  return folder;
};
const as = (changes: Partial<Config>): TestContext => ({ ...context, config: { ...context.config, ...changes } });
/** A start of the service with that configuration, as far as keys and folder go; the id of the key that signs. */
async function start(changes: Partial<Config> = {}): Promise<string> {
  const one = as(changes);
  const keys = await openOwnKeys(one);
  await knowFolder(one);
  context.clock.advance(60_000);
  context = { ...context, keys };
  return keys.signingAt(new Date()).kid;
}
const keysIn = (...sets: readonly string[]): string => JSON.stringify({ keys: sets.flatMap((set) => JSON.parse(set).keys) });
const published = async (): Promise<string[]> => (await publishedKeys(context)).keys.map((key) => key.kid);
const sayThatAPhotoIsKept = () =>
  context.db.rows(
    `INSERT INTO photo VALUES (gen_random_uuid(), sha256('a'), 'image/jpeg', 1, 1, 1, sha256('b'), gen_random_uuid(), now())`,
  );

test("an empty data folder is refused by the key that it lacks, and stays empty; the right one goes on", async () => {
  const kid = await start();
  const dataFolder = await emptyFolder();
  await expect(start({ dataFolder })).rejects.toThrow(`signed with the key ${kid}, which is not in the data folder ${dataFolder}`);
  expect(existsSync(join(dataFolder, "keys.json"))).toBe(false);
  expect(await start()).toBe(kid);
});

test("keys of another installation are refused without being repeated", async () => {
  await start();
  const keys = await makeKeys();
  const error = await start({ keys }).then(() => "taken", String);
  expect(error).toContain("which is not in FERRULE_KEYS");
  expect(error).not.toContain(JSON.parse(keys).keys[0].d);
});

test("a store from before keys were known is held to the one that signed its last checkpoint, and knows it from then on", async () => {
  const kid = await start();
  await takeCheckpoint(context);
  for (const table of ["signing_key", "data_folder"]) {
    await context.db.rows(`ALTER TABLE ${table} DISABLE TRIGGER ALL`);
    await context.db.rows(`DELETE FROM ${table}`);
  }
  await expect(start({ dataFolder: await emptyFolder() })).rejects.toThrow(`signed with the key ${kid}`);
  expect(await start()).toBe(kid);
  expect(await context.db.rows("SELECT kid, vouched_by FROM signing_key")).toEqual([{ kid, vouched_by: kid }]);
});

test("a key that went after a rotation signs nothing and stays published: what it signed can be verified", async () => {
  const [old, fresh] = [await makeKeys(), await makeKeys()];
  const oldKid = await start({ keys: old });
  const checkpoint = await takeCheckpoint(context);
  const freshKid = await start({ keys: keysIn(fresh, old) });
  expect(await start({ keys: fresh })).toBe(freshKid);
  expect(await published()).toEqual([freshKid, oldKid]);
  expect(await readClaim((await publishedKeys(context)).keys, "checkpoint", checkpoint?.jws ?? "")).toMatchObject({ kid: oldKid });
});

test("while two processes hold different keys, the one that was not started again publishes the new key too", async () => {
  const [old, fresh] = [await makeKeys(), await makeKeys()];
  const oldKid = await start({ keys: old });
  const freshKid = await start({ keys: keysIn(fresh, old) });
  await start({ keys: old });
  expect(await published()).toEqual([oldKid, freshKid]);
});

test("a key that somebody wrote into the database is not published: none of ours vouches for it", async () => {
  const kid = await start();
  const theirs = await openTestContext();
  await castFirm(theirs);
  await openOwnKeys(theirs);
  const slipped = await theirs.db.rows<{ kid: string; jws: string }>("SELECT kid, jws FROM signing_key");
  await theirs.close();
  for (const one of slipped) {
    for (const by of [one.kid, kid]) await context.db.rows("INSERT INTO signing_key VALUES ($1, $2, $3, now())", [one.kid, by, one.jws]);
  }
  expect(slipped).toHaveLength(1);
  expect(await published()).toEqual([kid]);
});

test("keys that are lost are given up by name only: new ones sign, the old ones stay published, and the name does nothing later", async () => {
  const lost = await start();
  const dataFolder = await emptyFolder();
  await expect(start({ dataFolder, giveUp: ["another"] })).rejects.toThrow(`FERRULE_GIVE_UP=${lost}`);
  const fresh = await start({ dataFolder, giveUp: [lost] });
  expect(fresh).not.toBe(lost);
  expect(await published()).toEqual([fresh, lost]);
  await expect(start({ dataFolder: await emptyFolder(), giveUp: [lost] })).rejects.toThrow(`FERRULE_GIVE_UP=${fresh}`);
});

test("a folder without the photos that the database knows is refused, also with the right keys, until it is given up by name", async () => {
  const keys = await makeKeys();
  await start({ keys });
  const id = (await readFile(join(context.config.dataFolder, "folder-id"), "utf8")).trim();
  const second = await emptyFolder();
  await start({ keys, dataFolder: second });
  await sayThatAPhotoIsKept();
  const third = await emptyFolder();
  const refused = `The data folder ${third} is not the one in which the photos of this database lie`;
  await expect(start({ keys, dataFolder: third })).rejects.toThrow(refused);
  expect(existsSync(join(third, "folder-id"))).toBe(false);
  await expect(start({ keys, dataFolder: third, giveUp: [id] })).rejects.toThrow(refused);
  for (const dataFolder of [context.config.dataFolder, second]) await start({ keys, dataFolder });
  const last = (await readFile(join(second, "folder-id"), "utf8")).trim();
  await start({ keys, dataFolder: third, giveUp: [last] });
  await start({ keys, dataFolder: third });
});

test("a store from before folders were known takes the one in which photos lie, and no other", async () => {
  const keys = await makeKeys();
  await sayThatAPhotoIsKept();
  const right = await emptyFolder();
  await mkdir(join(right, "photos"));
  await expect(start({ keys, dataFolder: await emptyFolder() })).rejects.toThrow("FERRULE_GIVE_UP=photos");
  await start({ keys, dataFolder: right });
  await start({ keys, dataFolder: right });
});

test("a data folder that is a file, or in which nobody can make anything, is named by its setting", async () => {
  const file = join(await emptyFolder(), "a-file");
  await writeFile(file, "");
  const sentence = (folder: string, code: string): string =>
    `Nothing can be written to the data folder ${folder} (${code}). Name one in FERRULE_DATA that the service may write to and that has room.`;
  await expect(start({ dataFolder: file })).rejects.toThrow(sentence(file, "EEXIST"));
  await expect(lockFolder(file)).rejects.toThrow(sentence(file, "EEXIST"));
  if (process.platform !== "linux") return;
  await expect(start({ dataFolder: "/proc/self/task" })).rejects.toThrow(sentence("/proc/self/task", "ENOENT"));
});
