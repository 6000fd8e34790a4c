// Checkpoints while others write: nothing acknowledged is missing from the next one, nobody waits, and what was signed stays true.
import { createHash } from "node:crypto";
import { compactVerify, createLocalJWKSet } from "jose";
import { beforeAll, describe, expect, test } from "vitest";
import type { Checkpoint } from "../../shared/contracts/records.ts";
import { entryHash } from "../../src/ledger/hash.ts";
import { sealedChains, sha256, takeCheckpoint } from "../../src/ledger/index.ts";
import { GrowingTree, leafHash, provesConsistency } from "../../src/ledger/merkle.ts";
import { canonical } from "../../src/platform/index.ts";
import { expectAnswer, reportOf } from "../support/acts.ts";
import { provesInclusion } from "../support/inclusion.ts";
import { addTestMachine, nilCheckOf } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";

const { app, as } = testService();
const machines: string[] = [];
beforeAll(async () => {
  for (let n = 0; n < 6; n += 1) machines.push(await addTestMachine(app));
});

const take = async (options = {}): Promise<Checkpoint> => {
  const checkpoint = await takeCheckpoint(app.context, options);
  if (!checkpoint) throw new Error("the firm is founded");
  return checkpoint;
};
const leaves = () =>
  app.context.db.rows<{ id: string; index: number; sha256: string; chain: string; position: number }>(
    `SELECT l.id, s.leaf_index::float8 AS index, encode(l.sha256, 'hex') AS sha256, l.chain_id AS chain, l.position
     FROM sealed_entry s JOIN ledger l ON l.id = s.entry_id ORDER BY s.leaf_index`,
  );
const count = async () => (await app.context.db.rows<{ n: number }>("SELECT count(*)::int AS n FROM ledger"))[0]?.n ?? 0;

test("no entry that was acknowledged before a checkpoint was asked for is missing from it, with many writers on many chains", async () => {
  const acknowledged: string[] = [];
  let writing = true;
  const rider = await as("R001");
  const manager = await as("F001");
  const write = async (n: number): Promise<void> => {
    for (let turn = 0; turn < 12; turn += 1) {
      const machineId = machines[(n + turn) % machines.length] ?? "";
      const body = nilCheckOf(app, machineId);
      await expectAnswer(rider.post("/v1/daily-checks").send(body), 201);
      acknowledged.push(body.id);
      // The firm's own chain too.
      if (turn % 4 === n % 4) await expectAnswer(manager.put("/v1/policy").send({ minorDefectDays: 3 + ((n + turn) % 5) }), 200);
    }
  };
  const seal = async (): Promise<void> => {
    while (writing) {
      const before = [...acknowledged];
      const { treeSize } = await take({ most: 7 });
      const placed = new Map((await leaves()).map(({ id, index }) => [id, index]));
      for (const id of before) expect(placed.get(id) ?? Number.POSITIVE_INFINITY).toBeLessThan(treeSize);
    }
  };
  const sealing = [seal(), seal()];
  await Promise.all(Array.from({ length: 8 }, (_, n) => write(n)));
  writing = false;
  await Promise.all(sealing);

  const { treeSize, rootSha256 } = await take();
  const all = await leaves();
  expect([treeSize, all.length]).toEqual([await count(), await count()]);
  expect(all.map(({ index }) => index)).toEqual(all.map((_, index) => index));
  const tree = new GrowingTree();
  const last = new Map<string, number>();
  for (const { sha256, chain, position } of all) {
    tree.add(leafHash(Buffer.from(sha256, "hex")));
    expect(position).toBe((last.get(chain) ?? 0) + 1);
    last.set(chain, position);
  }
  expect(rootSha256).toBe(tree.root);
});

// The embedded database is one session, in which everybody waits for everybody.
test.skipIf(!process.env["TEST_DATABASE_URL"])("nobody who writes waits for a checkpoint that takes its time", async () => {
  const written = app.context.db.prisma.$transaction(async (tx) => {
    await tx.$queryRawUnsafe("SELECT size::float8 FROM tree FOR UPDATE");
    return expectAnswer((await as("R001")).post("/v1/daily-checks").send(nilCheckOf(app, machines[0] ?? "")), 201);
  });
  expect((await written).check.flags).toBeDefined();
});

describe("what is signed", () => {
  test("says firm, number, size, root, moment and chains, by a key of the published set, and is no access token", async () => {
    const checkpoint = await take();
    const published = await expectAnswer(app.anyone.get("/.well-known/jwks.json"), 200);
    const { payload, protectedHeader } = await compactVerify(checkpoint.jws, createLocalJWKSet(published), { algorithms: ["ES256"] });
    expect(protectedHeader).toEqual({ alg: "ES256", kid: app.keys.signingAt(new Date()).kid, typ: "checkpoint+jws" });
    const { number, treeSize, rootSha256, takenAt, chainCount, chainsSha256 } = checkpoint;
    const [firm] = await app.context.db.rows<{ id: string }>("SELECT id FROM firm");
    expect(new TextDecoder().decode(payload)).toBe(
      canonical({ firmId: firm?.id, number, treeSize, rootSha256, takenAt, chainCount, chainsSha256 }),
    );
    await expectAnswer(app.clientWith(checkpoint.jws).get("/v1/me"), 401, "not-signed-in");
  });

  test("is taken again without a new entry, unless a young one will do", async () => {
    const first = await take();
    const second = await take();
    expect([second.number, second.treeSize, second.rootSha256]).toEqual([first.number + 1, first.treeSize, first.rootSha256]);
    expect(await take({ unlessWithinMs: 3_600_000 })).toEqual(second);
    app.context.clock.advance(3_600_000);
    expect((await take({ unlessWithinMs: 3_600_000 })).number).toBe(second.number + 1);
  });

  /** As the format has it: SHA-256 over the SHA-256s of the canonical lines. */
  const listHash = (chains: readonly object[]): string =>
    sha256(Buffer.concat(chains.map((chain) => Buffer.from(sha256(canonical(chain)), "hex"))));

  test("states every chain with its length and its last hash, and tells an older list as it was when more has come since", async () => {
    const older = await take();
    await expectAnswer((await as("R001")).post("/v1/daily-checks").send(nilCheckOf(app, machines[0] ?? "")), 201);
    await addTestMachine(app);
    const newer = await take();
    for (const { treeSize, chainCount, chainsSha256 } of [older, newer]) {
      const chains = await sealedChains(app.context.db.rows, treeSize);
      expect([chains.length, listHash(chains)]).toEqual([chainCount, chainsSha256]);
      expect(chains.map(({ chainId }) => chainId)).toEqual(chains.map(({ chainId }) => chainId).sort());
      const last = new Map<string, object>();
      for (const { chain, position, sha256: hash, index } of await leaves())
        if (index < treeSize) last.set(chain, { chainId: chain, length: position, sha256: hash });
      expect(new Map(chains.map((chain) => [chain.chainId, chain]))).toEqual(last);
    }
    expect(newer.chainCount).toBe((older.chainCount ?? 0) + 1);
    expect(newer.chainsSha256).not.toBe(older.chainsSha256);
  });

  test("states no other chains than those that are stored: the database refuses it", async () => {
    const { number, chainCount, chainsSha256 } = await take();
    const insert = (count: number | null, hash: string | null, size = "") =>
      app.context.db.rows(
        `INSERT INTO checkpoint (number, tree_size, root_sha256, taken_at, kid, jws, chain_count, chains_sha256)
         SELECT number + 1, tree_size ${size}, root_sha256, taken_at, kid, jws, $2::int, decode($3::text, 'hex') FROM checkpoint WHERE number = $1::int`,
        [number, count, hash],
      );
    await expect(insert((chainCount ?? 0) - 1, chainsSha256)).rejects.toMatchObject({ code: "FR001" });
    await expect(insert(chainCount, sha256("others"))).rejects.toMatchObject({ code: "FR001" });
    await expect(insert(chainCount, chainsSha256, "+ 1")).rejects.toMatchObject({ code: "FR001" });
    await expect(insert(chainCount, null)).rejects.toMatchObject({ code: "23514" });
  });

  test("is never changed or removed, and no leaf is moved", async () => {
    await take();
    for (const [table, change] of [
      ["checkpoint", "tree_size = 1"],
      ["sealed_entry", "leaf_index = leaf_index + 100000"],
      ["tree_node", "sha256 = sha256('x')"],
    ]) {
      for (const sql of [`UPDATE ${table} SET ${change}`, `DELETE FROM ${table}`, `TRUNCATE ${table} CASCADE`]) {
        await expect(app.context.db.rows(sql), sql).rejects.toMatchObject({ code: "FR001" });
      }
    }
  });
});

describe("a proof", () => {
  const proofOf = async (id: string, query = {}, who = "A001") =>
    expectAnswer((await as(who)).get(`/v1/records/${id}/proof`).query(query), 200);

  test("of every kind of entry leads from what it says to the signed root, one just written included", async () => {
    const kept = await take();
    const seen = await expectAnswer((await as("R001")).post("/v1/defects").send(reportOf(app, machines[1] ?? "", "horn.weak")), 201);
    const rows = await app.context.db.rows<{ id: string }>("SELECT DISTINCT ON (kind) id FROM ledger ORDER BY kind, recorded_at DESC");
    for (const { id } of [...rows, seen.defect]) {
      const { entry, sha256, leafIndex, inclusion, checkpoint, data, salt } = await proofOf(id);
      const { previousSha256, ...envelope } = entry;
      const [performedAt, recordedAt] = [new Date(entry.performedAt), new Date(entry.recordedAt)];
      expect(entryHash({ ...envelope, performedAt, recordedAt }, previousSha256)).toBe(sha256);
      expect(entry.dataSha256).toBe(createHash("sha256").update(canonical({ data, salt })).digest("hex"));
      const leaf = leafHash(Buffer.from(sha256, "hex"));
      expect(provesInclusion(leaf, leafIndex, checkpoint.treeSize, inclusion, checkpoint.rootSha256)).toBe(true);
    }
    const { consistency, checkpoint } = await proofOf(seen.defect.id, { since: kept.number });
    expect(consistency.from).toEqual(kept);
    expect(provesConsistency(kept.treeSize, kept.rootSha256, checkpoint.treeSize, checkpoint.rootSha256, consistency.proof)).toBe(true);
  });

  test("is refused for an unknown record, a depot out of view and an unknown checkpoint; riders and mechanics have no need of one", async () => {
    const get = async (path: string, who: string, status: number, code: string) => expectAnswer((await as(who)).get(path), status, code);
    const [{ id } = { id: "" }] = await app.context.db.rows<{ id: string }>("SELECT id FROM ledger WHERE depot_id IS NOT NULL LIMIT 1");
    await get(`/v1/records/${app.context.newId()}/proof`, "A001", 404, "not-found");
    await get("/v1/records/x/proof", "A001", 422, "not-valid");
    await get(`/v1/records/${id}/proof`, "F101", 403, "other-depot");
    await get(`/v1/records/${id}/proof?since=999999`, "A001", 404, "not-found");
    for (const who of ["R001", "M001"]) await get(`/v1/records/${id}/proof`, who, 403, "not-your-role");
  });

  test("that a checkpoint continues another is given for any two, and not the wrong way round", async () => {
    const { items } = await expectAnswer((await as("F001")).get("/v1/checkpoints").query({ limit: 200 }), 200);
    const [newest, ...older] = items as Checkpoint[];
    if (!newest) throw new Error("some were taken");
    expect(older.length).toBeGreaterThan(5);
    for (const from of older) {
      const path = `/v1/checkpoints/consistency?earlier=${from.number}&later=${newest.number}`;
      const { proof, later: to } = await expectAnswer((await as("F001")).get(path), 200);
      expect(provesConsistency(from.treeSize, from.rootSha256, to.treeSize, to.rootSha256, proof)).toBe(true);
    }
    const wrong = `/v1/checkpoints/consistency?earlier=${newest.number}&later=1`;
    await expectAnswer((await as("F001")).get(wrong), 422, "checkpoints-reversed");
    await expectAnswer((await as("F001")).get("/v1/checkpoints/consistency?earlier=1"), 422, "not-valid");
  });
});
