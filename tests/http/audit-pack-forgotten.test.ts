// Packs of what was forgotten, and of what is from before checkpoints stated the chains: they hold for both checks, and say what is left.
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, expect, test } from "vitest";
import { verifyPack } from "../../src/audit/verify-pack.ts";
import { forgetOld } from "../../src/keeping/index.ts";
import { signClaim } from "../../src/keys/index.ts";
import { takeCheckpoint } from "../../src/ledger/index.ts";
import { expectAnswer, reportOf } from "../support/acts.ts";
import { Forger } from "../support/forged-packs.ts";
import { hasPython, packOf, verifyElsewhere, zipOf } from "../support/packs.ts";
import { addTestMachine, nilCheckOf } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";

const service = testService();
const { app, as } = service;
let folder: string;
const elsewhere = hasPython();
const month = "2026-07";
const left = "Person R002";

/** A checkpoint as the code from before wrote it. */
async function takeOldCheckpoint(): Promise<void> {
  const last = await takeCheckpoint(app.context);
  if (!last) throw new Error("the firm is founded");
  const [firm] = await app.context.db.rows<{ id: string }>("SELECT id FROM firm");
  const { treeSize, rootSha256, takenAt } = last;
  const number = last.number + 1;
  const { kid, jws } = await signClaim(app.context, "checkpoint", { firmId: firm?.id, number, treeSize, rootSha256, takenAt });
  await app.context.db.rows(
    `INSERT INTO checkpoint (number, tree_size, root_sha256, taken_at, kid, jws)
     VALUES ($1::int, $2::float8::bigint, decode($3::text, 'hex'), $4::text::timestamptz, $5::text, $6::text)`,
    [number, treeSize, rootSha256, takenAt, kid, jws],
  );
}

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), "ferrule-forgotten-"));
  const machineId = await addTestMachine(app);
  await takeOldCheckpoint();
  for (const who of ["R001", "R002"]) {
    app.context.clock.advance(3_600_000);
    await expectAnswer((await as(who)).post("/v1/daily-checks").send(nilCheckOf(app, machineId)), 201);
  }
  await expectAnswer((await as("R002")).post("/v1/defects").send(reportOf(app, machineId, "horn.weak", { note: "by me" })), 201);
});
afterAll(() => rm(folder, { recursive: true, force: true }));

test("a pack with a checkpoint from before chains were stated holds, and says what that one does not count", async () => {
  const path = await zipOf(folder, await packOf(service, { month }));
  expect(await verifyPack(path)).toMatchObject({
    ...{ holds: true, limits: [expect.stringContaining("1 of its checkpoints are from before chains were stated")] },
  });
  if (elsewhere) expect(await verifyElsewhere(path)).toMatchObject({ holds: true });
});

test("a pack of the first format stays readable and says that it cannot show that nothing is left out; one made since may not pass for it", async () => {
  const downgraded = async (change: (pack: Forger) => Promise<void>) => {
    const pack = new Forger(app, await packOf(service, { month }));
    await change(pack);
    // As it was then: without these files, and every leaf that is no record a plain part of the tree.
    for (const name of ["names", "neighbours", "chains"]) pack.files.delete(`${name}.ndjson`);
    pack.manifest.files = pack.manifest.files.filter(({ name }) => pack.files.has(name));
    return verifyPack(await zipOf(folder, await pack.signedAsFirst()));
  };
  expect(await downgraded((pack) => pack.signCheckpoint({ chainCount: undefined, chainsSha256: undefined }))).toMatchObject({
    ...{ holds: true, limits: [expect.stringContaining("cannot prove that no record is left out")] },
  });
  expect(await downgraded(async () => undefined)).toMatchObject({ holds: false, why: expect.stringContaining("first format") });
});

test("a pack with forgotten words and an anonymous person holds for both, tells neither, and says how many records that are", async () => {
  await expectAnswer((await as("F001")).patch(`/v1/staff/${app.cast.staffId("R002")}`).send({ left: true }), 200);
  await expectAnswer((await as("F001")).post(`/v1/staff/${app.cast.staffId("R002")}/anonymise`).send({ reason: "asked for it" }), 200);
  app.context.clock.moveTo("2028-03-28T12:00:00.000Z");
  const forgotten = await forgetOld(app.context);
  expect(forgotten).toBeGreaterThan(0);
  const files = await packOf(service, { month });
  const path = await zipOf(folder, files);
  const verdict = await verifyPack(path);
  expect(verdict).toMatchObject({ holds: true });
  if (verdict.holds) expect(verdict.forgotten).toBeGreaterThan(0);
  if (elsewhere) expect(await verifyElsewhere(path)).toMatchObject({ holds: true, says: expect.stringMatching(/[1-9]\d* forgotten/) });
  const names = new Forger(app, files).lines<{ id: string; called: string; forgotten: boolean }>("names");
  const gone = names.find(({ id }) => id === app.cast.staffId("R002"));
  expect(gone).toMatchObject({ forgotten: true, number: expect.stringMatching(/^FORMER-/) });
  for (const name of ["names.ndjson", "records.ndjson", "records.csv", "read-me.txt"])
    expect(files.get(name)?.toString()).not.toContain(left);
  expect(files.get("read-me.txt")?.toString()).toMatch(/of which [1-9]\d* were forgotten/);
});
