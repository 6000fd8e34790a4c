// A new key takes the place of the old one while several processes run and are restarted one after the other.
import { mkdtemp, readFile, stat } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { expect, test } from "vitest";
import { makeKeys, openKeys, readKeys, rotated, rotateKeys } from "../../src/keys/index.ts";
import { readAccessToken, signAccessToken } from "../../src/people/tokens.ts";

const noon = new Date("2026-11-29T12:00:00Z");
const at = (hours: number) => new Date(noon.getTime() + hours * 3_600_000);
const about = { staffId: "019f59bd-3540-7392-bbde-0cd26f93c1ca", sessionId: "019f59bd-3540-7392-bbde-0cd26f93c1cb" };
const token = (keys: Awaited<ReturnType<typeof readKeys>>, now: Date) => signAccessToken(keys, "ferrule", about, now);
const read = (keys: Awaited<ReturnType<typeof readKeys>>, sent: string, now: Date) =>
  readAccessToken(keys, "ferrule", sent, now).then(
    () => "taken",
    (error: { code: string }) => error.code,
  );

test("published first and signing later: whichever process was restarted, each takes the tokens of the other, and nobody is refused", async () => {
  const before = await makeKeys();
  const next = await rotated(before, noon, 24);
  const [old, restarted] = [await readKeys(before, "before"), await readKeys(next.json, "after")];
  for (const hours of [0, 12, 23.9]) {
    expect(await read(old, await token(restarted, at(hours)), at(hours))).toBe("taken");
    expect(await read(restarted, await token(old, at(hours)), at(hours))).toBe("taken");
  }
  // From then on the new key signs; who holds a token of the old one goes on until that runs out.
  expect(restarted.signingAt(at(23.9)).kid).toBe(old.signingAt(noon).kid);
  expect(restarted.signingAt(at(24)).kid).toBe(next.kid);
  expect(await read(restarted, await token(old, at(24.2)), at(24.2))).toBe("taken");
  expect(await read(restarted, await token(restarted, at(24.2)), at(24.2))).toBe("taken");
});

test("a retired key opens no door and signs nothing, and whoever has stolen it gets no further; it stays published", async () => {
  const before = await makeKeys();
  const next = await rotated(before, noon, 24);
  const [stolen, ring] = [await readKeys(before, "before"), await readKeys(next.json, "after")];
  expect(await read(ring, await token(stolen, at(25)), at(25))).toBe("not-signed-in");
  expect(ring.heldAt(at(25)).map(({ kid }) => kid)).toEqual([next.kid]);
  expect(ring.publicSet.keys.map(({ kid }) => kid)).toEqual([next.kid, stolen.signingAt(noon).kid]);
  // The next rotation leaves its private half out.
  const after = await rotated(next.json, at(48), 24);
  expect(JSON.parse(after.json).keys).toHaveLength(2);
  expect(after.json).not.toContain(JSON.parse(before).keys[0].d);
});

test("a second rotation waits for the first, and a set in which every key ends is refused", async () => {
  const next = await rotated(await makeKeys(), noon, 24);
  await expect(rotated(next.json, at(1), 24)).rejects.toThrow(/signs from 2026-11-30T12:00:00.000Z. Nothing was changed/);
  const ending = JSON.stringify({ keys: [{ ...JSON.parse(await makeKeys()).keys[0], believedUntil: at(1).toISOString() }] });
  await expect(readKeys(ending, "FERRULE_KEYS")).rejects.toThrow("FERRULE_KEYS is not a JWK set");
});

test("a set without times is as it was: the first signs, all are believed", async () => {
  const [one, two] = [JSON.parse(await makeKeys()).keys[0], JSON.parse(await makeKeys()).keys[0]];
  const ring = await readKeys(JSON.stringify({ keys: [one, two] }), "both");
  const second = await readKeys(JSON.stringify({ keys: [two] }), "second");
  expect(ring.signingAt(noon).kid).toBe(ring.publicSet.keys[0]?.kid);
  expect(await read(ring, await token(second, noon), noon)).toBe("taken");
});

test("the file of this installation is written whole, for its owner alone; keys of the environment are told and nothing is written", async () => {
  const config = { keys: null, dataFolder: await mkdtemp(join(tmpdir(), "ferrule-keys-")) };
  await expect(rotateKeys(config, noon, 24)).rejects.toThrow("There are no keys in");
  await openKeys(config);
  const file = join(config.dataFolder, "keys.json");
  const done = await rotateKeys(config, noon, 24);
  expect([done.written, await readFile(file, "utf8"), (await stat(file)).mode & 0o777]).toEqual([true, done.json, 0o600]);
  const given = { keys: await makeKeys(), dataFolder: config.dataFolder };
  expect((await rotateKeys(given, noon, 24)).written).toBe(false);
  expect(await readFile(file, "utf8")).toBe(done.json);
});
