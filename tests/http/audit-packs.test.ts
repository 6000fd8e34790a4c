// Audit packs over HTTP: ordered, watched, fetched, read by ZIP readers that are not ours, and checked down to the bit.
import { execFileSync } from "node:child_process";
import { createHash, randomUUID } from "node:crypto";
import { existsSync } from "node:fs";
import { mkdtemp, readdir, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { verifyPack } from "../../src/audit/verify-pack.ts";
import { type Worker, workOff } from "../../src/audit/work-off.ts";
import { makeKeys, readKeys, signClaim } from "../../src/keys/index.ts";
import { takeCheckpoint } from "../../src/ledger/index.ts";
import { canonical } from "../../src/platform/index.ts";
import { expectAnswer, reportOf, throughItsCourse } from "../support/acts.ts";
import { type Files, filesOf, linesOf, zipOf } from "../support/packs.ts";
import { addTestMachine, checkFinding, inspectionOf, nilCheckOf } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";
import { wholeBody } from "../support/whole-body.ts";

const { app, as } = testService();
let folder: string;
const worker = (): Worker => ({ id: randomUUID(), alone: false, stopped: () => false });
/** One that takes an order and then hears that the process ends. */
const goingAway = (): Worker => {
  const answers = [false];
  return { ...worker(), stopped: () => answers.shift() ?? true };
};
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), "ferrule-packs-"));
  const machines = [await addTestMachine(app), await addTestMachine(app), await addTestMachine(app)];
  await takeCheckpoint(app.context);
  for (const [n, machineId] of machines.entries()) {
    app.context.clock.advance(3_600_000);
    await expectAnswer((await as("R001")).post("/v1/daily-checks").send(nilCheckOf(app, machineId, { odometerKm: 1010 + n })), 201);
    await takeCheckpoint(app.context);
    await expectAnswer((await as("M001")).post("/v1/weekly-inspections").send(inspectionOf(app, machineId)), 201);
  }
  await throughItsCourse(app, as, machines[0] ?? "", "horn.silent");
  const found = checkFinding(app, machines[1] ?? "", "stop-lamp.out");
  await expectAnswer((await as("R001")).post("/v1/daily-checks").send({ ...found, odometerKm: 1020 }), 201);
  await expectAnswer(
    (await as("R002")).post("/v1/defects").send(reportOf(app, machines[2] ?? "", "horn.weak", { note: "ก่อนออกรถ – тормоз" })),
    201,
  );
  const campaign = {
    id: randomUUID(),
    name: "Stand bolts",
    machineIds: machines,
    job: "Tighten both",
    grounds: false,
    dueDay: "2026-12-31",
  };
  await expectAnswer((await as("F001")).post("/v1/campaigns").send(campaign), 201);
  const ending = { id: randomUUID(), reason: "Withdrawn by the maker" };
  await expectAnswer((await as("F001")).post(`/v1/campaigns/${campaign.id}/ending`).send(ending), 201);
});
afterAll(() => rm(folder, { recursive: true, force: true }));

const month = "2026-07";
const order = async (body: object, who = "A001") => expectAnswer((await as(who)).post("/v1/audit-packs").send(body), 202);
const show = async (id: string, who = "A001") => expectAnswer((await as(who)).get(`/v1/audit-packs/${id}`), 200);
const download = async (id: string, who = "A001"): Promise<Buffer> => {
  const answer = await (await as(who)).get(`/v1/audit-packs/${id}/download`).buffer(true).parse(wholeBody);
  expect([answer.status, answer.headers["content-type"]]).toEqual([200, "application/zip"]);
  return answer.body as Buffer;
};
const makeOne = async (body: object = { month }, who = "A001"): Promise<{ id: string; bytes: Buffer; path: string }> => {
  const { id } = await order(body, who);
  await workOff(app.context, worker());
  const bytes = await download(id, who);
  const path = join(folder, `${id}.zip`);
  await writeFile(path, bytes);
  return { id, bytes, path };
};

describe("a pack", () => {
  test("is ordered, worked off and fetched; it holds every record of the month, and the check of it holds", async () => {
    const before = await app.context.db.rows<{ n: number }>("SELECT count(*)::int AS n FROM ledger");
    const ordered = await order({ month });
    expect(ordered).toMatchObject({
      month,
      depotId: null,
      state: "waiting",
      progress: 0,
      counts: null,
      requestedBy: app.cast.staffId("A001"),
    });
    await expectAnswer((await as("A001")).get(`/v1/audit-packs/${ordered.id}/download`), 409, "pack-not-ready");
    await workOff(app.context, worker());
    const ready = await show(ordered.id);
    // The order itself was a record by then.
    const records = (before[0]?.n ?? 0) + 1;
    expect(ready).toMatchObject({ state: "ready", progress: 1, failure: null, counts: { records, gaps: 0 } });
    const bytes = await download(ordered.id);
    expect(bytes.length).toBe(ready.bytes);
    const files = await filesOf(bytes);
    expect([...files.keys()].sort()).toEqual([
      ...["chains.ndjson", "checkpoints.ndjson", "keys.json", "manifest.json", "manifest.jws", "month.pdf", "names.ndjson"],
      ...["neighbours.ndjson", "read-me.txt", "records.csv", "records.ndjson", "schemas.ndjson", "tree.ndjson"],
    ]);
    expect(linesOf(files, "records.ndjson")).toHaveLength(records);
    expect(linesOf(files, "checkpoints.ndjson").length).toBeGreaterThanOrEqual(5);
    expect(files.get("read-me.txt")?.toString()).toContain("does not replace the maker's handbook");
    const path = join(folder, "whole.zip");
    await writeFile(path, bytes);
    expect(await verifyPack(path, { kid: app.keys.signingAt(new Date()).kid })).toMatchObject({
      holds: true,
      kid: app.keys.signingAt(new Date()).kid,
    });
    const taken = await app.context.db.rows<{ data: object }>(
      "SELECT data FROM ledger WHERE kind = 'report-taken' ORDER BY position DESC LIMIT 1",
    );
    expect(taken[0]?.data).toMatchObject({ paper: "audit-pack", packId: ordered.id });
  });

  test("of one depot holds that depot's records and the firm's, and proves them among all the others", async () => {
    const { path, bytes } = await makeOne({ month, depotId: app.cast.homeDepotId }, "F001");
    expect(await verifyPack(path)).toMatchObject({ holds: true });
    const depots = new Set(linesOf(await filesOf(bytes), "records.ndjson").map((line) => JSON.parse(line).depotId));
    expect([...depots].filter((depotId) => depotId !== null)).toEqual([app.cast.homeDepotId]);
  });

  test("of a month without a record is one, and holds", async () => {
    const { path, bytes } = await makeOne({ month: "2020-02" });
    expect(await verifyPack(path)).toMatchObject({ holds: true, manifest: { records: 0, chains: 0 } });
    expect(linesOf(await filesOf(bytes), "tree.ndjson").length).toBeGreaterThan(0);
  });

  test("asked for twice while it is made is the same, and a new one afterwards", async () => {
    const first = await order({ month });
    expect((await order({ month }, "F001")).id).toBe(first.id);
    const both = await Promise.all([order({ month: "2026-06" }), order({ month: "2026-06" }, "F001")]);
    expect(both[0].id).toBe(both[1].id);
    await workOff(app.context, worker());
    expect((await order({ month })).id).not.toBe(first.id);
    await workOff(app.context, worker());
  });

  test("is refused for a month to come, one that is none, an unknown depot, the whole firm for one depot's manager, riders and mechanics", async () => {
    const post = async (who: string, body: object, status: number, code: string) =>
      expectAnswer((await as(who)).post("/v1/audit-packs").send(body), status, code);
    const { issues } = await post("A001", { month: "2026-08" }, 422, "period-not-valid");
    expect(issues).toMatchObject([{ pointer: "/month" }]);
    for (const wrong of [{ month: "2026-13" }, { month: "July" }, {}, { month, more: 1 }, { month, depotId: "x" }]) {
      await post("A001", wrong, 422, "not-valid");
    }
    await post("A001", { month, depotId: randomUUID() }, 404, "not-found");
    await post("F101", { month }, 403, "other-depot");
    await post("F101", { month, depotId: app.cast.homeDepotId }, 403, "other-depot");
    for (const who of ["R001", "M001"]) await post(who, { month }, 403, "not-your-role");
    const { id } = await order({ month });
    for (const path of ["", "/events", "/download"]) {
      await expectAnswer((await as("F101")).get(`/v1/audit-packs/${id}${path}`), 403, "other-depot");
      await expectAnswer((await as("A001")).get(`/v1/audit-packs/${randomUUID()}${path}`), 404, "not-found");
    }
    await workOff(app.context, worker());
  });

  test("tells its progress as server-sent events until it is ready, and what is ended already at once", async () => {
    const { id } = await order({ month });
    const address = app.app.server.address();
    if (address === null || typeof address === "string") throw new Error("it listens on a port");
    const { accessToken } = await app.tokensOf("A001");
    const watch = async () => {
      const answer = await fetch(`http://127.0.0.1:${address.port}/v1/audit-packs/${id}/events`, {
        headers: { authorization: `Bearer ${accessToken}` },
      });
      expect(answer.headers.get("content-type")).toContain("text/event-stream");
      return answer;
    };
    const watched = await watch();
    const working = workOff(app.context, worker());
    const text = await watched.text();
    await working;
    const events = text.split("\n\n").filter((event) => event.startsWith("event: "));
    expect(events[0]).toMatch(/^event: waiting\ndata: \{/);
    expect(events.at(-1)).toMatch(/^event: ready\ndata: /);
    expect(JSON.parse(events.at(-1)?.split("\ndata: ")[1] ?? "")).toEqual(await show(id));
    expect((await (await watch()).text()).match(/^event: /gm)).toEqual(["event: "]);
  });
});

describe("what goes wrong", () => {
  test("a worker that went away in the middle is followed by another, half a pack is never served, and nothing is left of it", async () => {
    const { id } = await order({ month });
    await workOff(app.context, goingAway());
    expect((await show(id)).state).toBe("working");
    await expectAnswer((await as("A001")).get(`/v1/audit-packs/${id}/download`), 409, "pack-not-ready");
    await workOff(app.context, worker());
    expect((await show(id)).state).toBe("working");
    app.context.clock.advance(61_000);
    await workOff(app.context, worker());
    expect((await show(id)).state).toBe("ready");
    const left = await readdir(join(app.context.config.dataFolder, "packs"));
    expect(left.filter((name) => name.endsWith(".part"))).toEqual([]);
  });

  test("one that ends its process each time is given up after three", async () => {
    const { id } = await order({ month });
    for (let turn = 0; turn < 3; turn += 1) {
      await workOff(app.context, goingAway());
      app.context.clock.advance(61_000);
    }
    await workOff(app.context, worker());
    expect(await show(id)).toMatchObject({ state: "failed", failure: "The service ended each time while it was being made." });
    await expectAnswer((await as("A001")).get(`/v1/audit-packs/${id}/download`), 409, "pack-not-ready");
  });

  test("a file that is gone or was cut is not served", async () => {
    const { id, bytes } = await makeOne();
    const file = join(app.context.config.dataFolder, "packs", `${id}.zip`);
    await writeFile(file, bytes.subarray(0, -1));
    await expectAnswer((await as("A001")).get(`/v1/audit-packs/${id}/download`), 410, "pack-gone");
    await rm(file);
    await expectAnswer((await as("A001")).get(`/v1/audit-packs/${id}/download`), 410, "pack-gone");
  });
});

describe("the check fails and names what is wrong", () => {
  let files: Files;
  beforeAll(async () => {
    files = await filesOf((await makeOne()).bytes);
  });
  const why = async (changed: Iterable<readonly [string, Buffer]>): Promise<string> => {
    const verdict = await verifyPack(await zipOf(folder, changed));
    return verdict.holds ? "it holds" : verdict.why;
  };
  const with_ = (name: string, content: Buffer | string) => new Map(files).set(name, Buffer.from(content));

  test("the pack, put together again as it was, holds", async () => {
    expect(await why(files)).toBe("it holds");
  });

  test("when any one bit of any file is turned", async () => {
    let seed = 7;
    const dice = (below: number): number => {
      seed = (seed * 48_271) % 2_147_483_647;
      return seed % below;
    };
    for (const [name, content] of files) {
      if (content.length === 0) continue;
      const bits = new Set([
        0,
        content.length * 8 - 1,
        content.length * 8 - 6,
        ...Array.from({ length: 9 }, () => dice(content.length * 8)),
      ]);
      for (const bit of bits) {
        const turned = Buffer.from(content);
        turned[bit >> 3] = (turned[bit >> 3] ?? 0) ^ (1 << (bit & 7));
        expect(await why(with_(name, turned)), `${name}, bit ${bit}`).not.toBe("it holds");
      }
    }
  });

  test("when a file is missing, added, cut, renamed, doubled, or the ZIP is none", async () => {
    for (const name of files.keys()) {
      expect(await why([...files].filter(([held]) => held !== name))).toBe(`${name} is missing.`);
      const content = files.get(name) ?? Buffer.of();
      if (content.length > 0) expect(await why(with_(name, content.subarray(0, -1))), name).not.toBe("it holds");
    }
    expect(await why([...files, ["more.txt", Buffer.from("more")]])).toBe("more.txt is not named by the manifest.");
    expect(await why([...files].map(([name, content]) => [name === "records.csv" ? "records.txt" : name, content]))).toBe(
      "records.csv is missing.",
    );
    expect(await why([...files, ["keys.json", Buffer.from("{}")]])).toBe("It holds keys.json twice.");
    const none = join(folder, "none.zip");
    await writeFile(none, "this is no ZIP");
    expect(await verifyPack(none)).toMatchObject({ holds: false, why: expect.stringContaining("cannot be read as a ZIP") });
    expect(await verifyPack(join(folder, "nowhere.zip"))).toMatchObject({ holds: false });
  });

  test("when it is signed by another key than the one that was named, or by none of its own", async () => {
    const path = await zipOf(folder, files);
    expect(await verifyPack(path, { kid: "another" })).toEqual({
      holds: false,
      why: `It is signed by key ${app.keys.signingAt(new Date()).kid}, not by the one that you named.`,
    });
    const others = await readKeys(await makeKeys(), "others");
    expect(await why(with_("keys.json", canonical(others.publicSet)))).toBe("The signature of manifest.jws is not by one of its keys.");
  });

  /** The pack as somebody would forge it who has the signing key: the records changed and everything else made to fit. */
  async function forged(change: (lines: string[]) => string[], counts: object = {}): Promise<Files> {
    const lines = change(linesOf(files, "records.ndjson"));
    const changed = new Map(files).set("records.ndjson", Buffer.from(lines.map((line) => `${line}\n`).join("")));
    const manifest = JSON.parse(files.get("manifest.json")?.toString() ?? "");
    for (const file of manifest.files) {
      const content = changed.get(file.name) ?? Buffer.of();
      Object.assign(file, { bytes: content.length, sha256: createHash("sha256").update(content).digest("hex") });
    }
    Object.assign(manifest, { records: lines.length }, counts);
    changed.set("manifest.json", Buffer.from(canonical(manifest)));
    return changed.set("manifest.jws", Buffer.from((await signClaim(app.context, "pack", manifest)).jws));
  }
  const edited = (line: string, changes: object): string => canonical({ ...JSON.parse(line), ...changes });

  test("the first record that was changed, with what about it, even where the firm's own key signed the change", async () => {
    const id = JSON.parse(linesOf(files, "records.ndjson")[4] ?? "").id;
    const at4 = (changes: object) => (lines: string[]) => lines.map((line, index) => (index === 4 ? edited(line, changes) : line));
    expect(await why(await forged((lines) => lines))).toBe("it holds");
    expect(await why(await forged(at4({ data: { other: true } })))).toBe(
      `Record 5, ${id}: what it says does not have the hash that it carries.`,
    );
    expect(await why(await forged(at4({ performedAt: "2026-07-13T00:00:00.000Z" })))).toBe(
      `Record 5, ${id}: who, when or what kind does not have the hash that it carries.`,
    );
    expect(await why(await forged((lines) => lines.map((line, index) => (index === 4 ? ` ${line}` : line))))).toBe(
      `Record 5, ${id}: the line is not in canonical form.`,
    );
    expect(await why(await forged((lines) => [...lines.slice(0, 5), ...lines.slice(4)]))).toContain("that another record has");
    expect(await why(await forged((lines) => lines.slice(0, -1)))).toBe(
      `Line ${linesOf(files, "records.ndjson").length} of tree.ndjson does not fit where it stands.`,
    );
    expect(await why(await forged((lines) => lines, { gaps: 1 }))).toBe("The manifest counts 1 gaps, and there are 0.");
  });
});

describe("the check in other hands", () => {
  test.skipIf(!existsSync("/usr/bin/unzip"))("another ZIP reader finds every file whole", async () => {
    const { path } = await makeOne();
    expect(execFileSync("unzip", ["-t", path], { encoding: "utf8" })).toContain("No errors detected");
  });

  test("`npm run verify` ends with 0 for a pack that holds and with 1 for one that does not", async () => {
    const { path, bytes } = await makeOne();
    const run = (file: string) => {
      try {
        return { code: 0, says: execFileSync(process.execPath, ["--import", "tsx", "src/audit/verify.ts", file], { encoding: "utf8" }) };
      } catch (error) {
        const { status, stderr } = error as { status: number; stderr: string };
        return { code: status, says: stderr };
      }
    };
    expect(run(path)).toEqual({ code: 0, says: expect.stringContaining(`signed by key ${app.keys.signingAt(new Date()).kid}`) });
    const files = await filesOf(bytes);
    const spoilt = await zipOf(folder, files.set("records.csv", Buffer.from("nothing")));
    expect(run(spoilt)).toEqual({ code: 1, says: expect.stringContaining("Row 0 of records.csv") });
    expect(await readFile(path)).toEqual(bytes);
  });
});
