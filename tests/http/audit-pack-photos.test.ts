// Photos in an audit pack: there where they are ordered, each proved by the record that names it.
import { createHash, randomUUID } from "node:crypto";
import { mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, expect, test } from "vitest";
import { verifyPack } from "../../src/audit/verify-pack.ts";
import { workOff } from "../../src/audit/work-off.ts";
import { signClaim } from "../../src/keys/index.ts";
import { canonical } from "../../src/platform/index.ts";
import { expectAnswer, reportOf } from "../support/acts.ts";
import { type Files, hasPython, packOf, verifyElsewhere, zipOf } from "../support/packs.ts";
import { pictureTypes, plainPicture } from "../support/pictures.ts";
import { addTestMachine } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";

const month = "2026-07";
const service = testService();
const { app, as } = service;
let folder: string;
/** the hash of each photo sent, by its type */
const sent = new Map<string, string>();
const shelved = (sha256: string): string => join(app.context.config.dataFolder, "photos", sha256.slice(0, 2), sha256.slice(2));

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), "ferrule-pack-photos-"));
  const machineId = await addTestMachine(app);
  for (const [index, type] of pictureTypes.entries()) {
    const id = randomUUID();
    const photo = (await as("R001")).post("/v1/photos").query({ id }).set("content-type", `image/${type}`);
    sent.set(type, (await expectAnswer(photo.send(await plainPicture(type, 60 + index)), 201)).sha256);
    const report = reportOf(app, machineId, ["horn.weak", "stop-lamp.out", "mirror.loose"][index] ?? "", { photoIds: [id] });
    await expectAnswer((await as("R001")).post("/v1/defects").send(report), 201);
  }
  // One that no record names is no record, and in no pack.
  const loose = (await as("R001")).post("/v1/photos").query({ id: randomUUID() }).set("content-type", "image/png");
  await expectAnswer(loose.send(await plainPicture("png", 99)), 201);
});
afterAll(() => rm(folder, { recursive: true, force: true }));

const made = (body: object): Promise<Files> => packOf(service, body, "A001");
const checked = async (files: Files) => verifyPack(await zipOf(folder, files));
const photosIn = (files: Files): string[] => [...files.keys()].filter((name) => name.startsWith("photos/")).sort();
const sha = (bytes: Buffer): string => createHash("sha256").update(bytes).digest("hex");

/** The pack as somebody would forge it who has the signing key. */
async function signedAnew(files: Files): Promise<Files> {
  const manifest = JSON.parse(files.get("manifest.json")?.toString() ?? "");
  const listed = [...files].filter(([name]) => !name.startsWith("manifest."));
  manifest.files = listed.map(([name, content]) => ({ name, bytes: content.length, sha256: sha(content) }));
  const jws = (await signClaim(app.context, "pack", manifest)).jws;
  return new Map(files).set("manifest.json", Buffer.from(canonical(manifest))).set("manifest.jws", Buffer.from(jws));
}

test("ordered with photos a pack holds each photo that its records name, by its hash, and none else", async () => {
  const files = await made({ month, photos: true });
  const expected = [`photos/${sent.get("jpeg")}.jpg`, `photos/${sent.get("png")}.png`, `photos/${sent.get("webp")}.webp`].sort();
  expect(photosIn(files)).toEqual(expected);
  for (const name of expected) expect(sha(files.get(name) ?? Buffer.of())).toBe(name.slice(7, 71));
  expect(files.get("read-me.txt")?.toString()).toContain("3 of the 3 photos that the records name");
  expect(await checked(files)).toMatchObject({ holds: true, photos: { named: 3, added: 3 } });
});

test("without a word about photos it holds none and says so, and is another pack than the one with them", async () => {
  const post = async (body: object) => expectAnswer((await as("A001")).post("/v1/audit-packs").send(body), 202);
  const [without, with_] = [await post({ month }), await post({ month, photos: true })];
  expect([without.photos, with_.photos, without.id === with_.id]).toEqual([false, true, false]);
  expect((await post({ month, photos: false })).id).toBe(without.id);
  await workOff(app.context, { id: randomUUID(), alone: false, stopped: () => false });
  const files = await made({ month });
  expect(photosIn(files)).toEqual([]);
  expect(files.get("read-me.txt")?.toString()).toContain("ordered without photos");
  expect(await checked(files)).toMatchObject({ holds: true, photos: { named: 3, added: 0 } });
});

test("of another month or depot it holds none of them", async () => {
  expect(photosIn(await made({ month: "2026-06", photos: true }))).toEqual([]);
  expect(photosIn(await made({ month, depotId: app.cast.farDepotId, photos: true }))).toEqual([]);
});

test("the check names a photo that was changed, and one that no record names, even where the firm's own key signed it", async () => {
  const files = await made({ month, photos: true });
  const [first = ""] = photosIn(files);
  const other = await plainPicture("png", 77);
  expect(await checked(new Map(files).set(first, other))).toMatchObject({ holds: false, why: expect.stringContaining(first) });
  expect(await checked(await signedAnew(new Map(files).set(first, other)))).toEqual({
    ...{ holds: false, why: `${first} is no photo that a record names.` },
  });
  const added = `photos/${sha(other)}.png`;
  expect(await checked(await signedAnew(new Map(files).set(added, other)))).toEqual({
    ...{ holds: false, why: `${added} is no photo that a record names.` },
  });
  expect(await checked(await signedAnew(files))).toMatchObject({ holds: true });
});

test.skipIf(!hasPython())("the check in another language looks at the photos too", async () => {
  const files = await made({ month, photos: true });
  expect(await verifyElsewhere(await zipOf(folder, files))).toMatchObject({ holds: true });
  const other = await plainPicture("png", 77);
  const forged = await zipOf(folder, await signedAnew(new Map(files).set(`photos/${sha(other)}.png`, other)));
  expect(await verifyElsewhere(forged)).toMatchObject({ holds: false, says: expect.stringContaining("no photo that a record names") });
});

test("a photo that is gone or altered is left out, and the pack is made and says how many are there", async () => {
  await rm(shelved(sent.get("png") ?? ""));
  await writeFile(shelved(sent.get("webp") ?? ""), await plainPicture("webp", 13));
  const files = await made({ month, photos: true });
  expect(photosIn(files)).toEqual([`photos/${sent.get("jpeg")}.jpg`]);
  expect(files.get("read-me.txt")?.toString()).toContain("1 of the 3 photos that the records name");
  expect(await checked(files)).toMatchObject({ holds: true, photos: { named: 3, added: 1 } });
});
