// Packs that were altered by somebody with the firm's own key, each in another way: the service's check and one in another language,
// written from the pack's own text, both refuse each; and both take every pack as it was made.
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { verifyPack } from "../../src/audit/verify-pack.ts";
import { makeKeys, readKeys, signClaim } from "../../src/keys/index.ts";
import { dataHash, entryHash, takeCheckpoint } from "../../src/ledger/index.ts";
import { canonical } from "../../src/platform/index.ts";
import { expectAnswer, reportOf } from "../support/acts.ts";
import { Forger, type Line } from "../support/forged-packs.ts";
import { type Files, hasPython, linesOf, packOf, vectorsElsewhere, verifyElsewhere, zipOf } from "../support/packs.ts";
import { addTestMachine, inspectionOf, nilCheckOf } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";

const service = testService();
const { app, as } = service;
let folder: string;
let firm: Files;
let depot: Files;
const month = "2026-08";
const elsewhere = hasPython();
const format = join(import.meta.dirname, "../../src/audit/FORMAT.md");
/** One with records of July, August and September; one of July alone; one of September alone; one at the other depot. */
const machines = { whole: "", early: "", late: "", far: "" };

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), "ferrule-altered-"));
  // A spreadsheet would take that for a formula.
  await app.context.db.rows("UPDATE staff SET name = '=Person M001' WHERE staff_number = 'M001'");
  const check = async (machineId: string, odometerKm: number, who = "R001") =>
    expectAnswer((await as(who)).post("/v1/daily-checks").send(nilCheckOf(app, machineId, { odometerKm })), 201);
  machines.whole = await addTestMachine(app, { mark: "WHOLE1" });
  machines.early = await addTestMachine(app);
  machines.far = await addTestMachine(app, { depotId: app.cast.farDepotId });
  await check(machines.whole, 1010);
  // On the last evening of July by the calendar of London, and already in August by that of Ho Chi Minh City.
  app.context.clock.moveTo("2026-07-31T20:00:00.000Z");
  await expectAnswer((await as("M001")).post("/v1/weekly-inspections").send(inspectionOf(app, machines.far)), 201);
  await check(machines.far, 1011, "R101");
  await expectAnswer((await as("M001")).post("/v1/weekly-inspections").send(inspectionOf(app, machines.whole)), 201);
  for (const at of ["2026-08-03T08:00:00.000Z", "2026-08-05T08:00:00.000Z", "2026-08-20T08:00:00.000Z"]) {
    app.context.clock.moveTo(at);
    await expectAnswer((await as("R002")).post("/v1/defects").send(reportOf(app, machines.whole, "horn.weak", { note: "=1+1\n;-2" })), 201);
    await expectAnswer((await as("M001")).post("/v1/weekly-inspections").send(inspectionOf(app, machines.whole)), 201);
    await takeCheckpoint(app.context);
  }
  await expectAnswer((await as("F001")).put("/v1/policy").send({ minorDefectDays: 5 }), 200);
  app.context.clock.moveTo("2026-09-02T08:00:00.000Z");
  machines.late = await addTestMachine(app);
  await expectAnswer((await as("M001")).post("/v1/weekly-inspections").send(inspectionOf(app, machines.whole)), 201);
  firm = await packOf(service, { month });
  depot = await packOf(service, { month, depotId: app.cast.homeDepotId });
});
afterAll(() => rm(folder, { recursive: true, force: true }));

/** What both checks say of a pack; `there` is null where the other language cannot run. */
async function verdicts(files: Iterable<readonly [string, Buffer]>, { kid }: { kid?: string } = {}) {
  const path = await zipOf(folder, files);
  const [here, there] = await Promise.all([verifyPack(path, { kid }), elsewhere ? verifyElsewhere(path, kid ? { kid } : {}) : null]);
  return { here, there };
}

async function expectHolds(files: Files, { limits = 0 } = {}): Promise<void> {
  const { here, there } = await verdicts(files);
  expect(here).toMatchObject({ holds: true });
  if (here.holds) expect(here.limits).toHaveLength(limits);
  if (there) expect(there).toMatchObject({ holds: true });
}

test.skipIf(!elsewhere)("the vectors of FORMAT.md come out in another language as they stand there", async () => {
  expect(await vectorsElsewhere(format)).toBe("the vectors are as computed");
});

describe("a pack as it was made holds for both", () => {
  test("of the whole firm, with neighbours on both sides of the month, and of one depot, which says what it cannot prove", async () => {
    await expectHolds(await new Forger(app, firm).signed());
    await expectHolds(await new Forger(app, depot).signed(), { limits: 1 });
    const records = new Forger(app, firm).lines("records");
    expect(new Set(records.map(({ chainId }) => chainId))).toEqual(new Set([machines.whole, machines.far, await firmChain()]));
    expect(new Forger(app, firm).lines("neighbours").length).toBeGreaterThanOrEqual(6);
    expect(new Forger(app, depot).lines("neighbours")).toEqual([]);
    const text = depot.get("read-me.txt")?.toString() ?? "";
    expect(text).toContain("not that none is left out");
  });

  test("of a month before the firm and of one without a record", async () => {
    for (const body of [{ month: "2020-02" }, { month: "2020-02", depotId: app.cast.farDepotId }]) {
      await expectHolds(await packOf(service, body), { limits: "depotId" in body ? 1 : 0 });
    }
  });

  test("where a clock went back by a month in the middle of a chain: what lies between is shown from end to end", async () => {
    const now = app.context.clock.now();
    const clock = app.context.clock.now.bind(app.context.clock);
    try {
      app.context.clock.now = () => new Date(now.getTime() - 60 * 86_400_000);
      await expectAnswer((await as("F001")).put("/v1/policy").send({ minorDefectDays: 4 }), 200);
    } finally {
      app.context.clock.now = clock;
    }
    await expectAnswer((await as("F001")).put("/v1/policy").send({ minorDefectDays: 3 }), 200);
    for (const asked of ["2026-07", "2026-08", "2026-09"]) await expectHolds(await packOf(service, { month: asked }));
  });

  test("and says what each id in its records stands for: machines, people, depots and models", async () => {
    const names = new Map(new Forger(app, firm).lines<{ id: string; is: string; called: string }>("names").map((name) => [name.id, name]));
    expect(names.get(machines.whole)).toEqual({ id: machines.whole, is: "machine", called: "WHOLE1" });
    expect(names.get(app.cast.staffId("M001"))).toMatchObject({ is: "person", called: "=Person M001", number: "M001", forgotten: false });
    expect(names.get(app.cast.homeDepotId)).toMatchObject({ is: "depot", called: "Home" });
    for (const { chainId } of new Forger(app, firm).lines("chains")) expect(names.has(chainId) || chainId === firmId()).toBe(true);
  });
});

const firmId = (): string => JSON.parse(firm.get("manifest.json")?.toString() ?? "").firmId;
const firmChain = async () => firmId();

type Alteration = (pack: Forger) => void | Promise<void>;
const swapped = <T>(list: readonly T[], one: number, other: number): T[] =>
  list.map((item, at) => (at === one ? (list[other] as T) : at === other ? (list[one] as T) : item));
const without = <T>(list: readonly T[], at: number): T[] => list.filter((_, index) => index !== at);
const firstOf = (pack: Forger, chainId: string): number => pack.lines("records").findIndex((record) => record.chainId === chainId);
const lastOf = (pack: Forger, chainId: string): number => pack.lines("records").findLastIndex((record) => record.chainId === chainId);

/** A record with other words, its own hashes made to fit. */
function reworded(record: Line): Line {
  const data = { ...(record["data"] as object), odd: true };
  const { sha256: _, salt, data: __, previousSha256, ...envelope } = record as Line & Record<string, string>;
  const dataSha256 = dataHash(data, salt ?? "");
  const hashed = {
    ...(envelope as unknown as Parameters<typeof entryHash>[0]),
    performedAt: new Date(record["performedAt"] as string),
    recordedAt: new Date(record["recordedAt"] as string),
    dataSha256,
  };
  return { ...record, data, dataSha256, sha256: entryHash(hashed, (previousSha256 as string | null | undefined) ?? null) };
}

/** What somebody does to the pack of the whole firm, and part of what the check says. */
const ofFirm: Readonly<Record<string, readonly [Alteration, RegExp]>> = {
  "a record in the middle of its chain left out": [
    (pack) => void pack.leaveOut((_, at) => at === firstOf(pack, machines.whole) + 1),
    /left out/,
  ],
  "the first record of a chain left out": [(pack) => void pack.leaveOut((_, at) => at === firstOf(pack, machines.whole)), /left out/],
  "the last record of a chain left out": [(pack) => void pack.leaveOut((_, at) => at === lastOf(pack, machines.whole)), /left out/],
  "a machine left out": [(pack) => void pack.leaveOut(({ chainId }) => chainId === machines.whole), /left out/],
  "all records left out": [(pack) => void pack.leaveOut(() => true), /left out/],
  "a machine left out of the list of chains as well": [
    (pack) => {
      pack.leaveOut(({ chainId }) => chainId === machines.far);
      pack.put(
        "neighbours",
        pack.lines("neighbours").filter(({ chainId }) => chainId !== machines.far),
      );
      pack.put(
        "chains",
        pack.lines("chains").filter(({ chainId }) => chainId !== machines.far),
      );
    },
    /not the list that the checkpoint states/,
  ],
  "a machine left out, and the checkpoint signed anew over a shorter list": [
    async (pack) => {
      pack.leaveOut(({ chainId }) => chainId === machines.far);
      pack.put(
        "neighbours",
        pack.lines("neighbours").filter(({ chainId }) => chainId !== machines.far),
      );
      await pack.stateChains(pack.lines("chains").filter(({ chainId }) => chainId !== machines.far));
    },
    /records together/,
  ],
  "a machine left out, and its records told of another chain": [
    async (pack) => {
      const length = pack.lines<{ chainId: string; length: number }>("chains").find(({ chainId }) => chainId === machines.far)?.length ?? 0;
      pack.leaveOut(({ chainId }) => chainId === machines.far);
      pack.put(
        "neighbours",
        pack.lines("neighbours").filter(({ chainId }) => chainId !== machines.far),
      );
      const chains = pack.lines<Line & { length: number }>("chains").filter(({ chainId }) => chainId !== machines.far);
      await pack.stateChains(
        chains.map((chain) => (chain.chainId === machines.early ? { ...chain, length: chain.length + length } : chain)),
      );
    },
    /left out/,
  ],
  "a record shown as a neighbour": [
    (pack) => {
      const [out] = pack.leaveOut((_, at) => at === firstOf(pack, machines.whole) + 1);
      const { salt: _salt, data: _data, ...envelope } = out as Line;
      pack.put("neighbours", [...pack.lines("neighbours"), envelope]);
    },
    /belongs to the month/,
  ],
  "a neighbour that was made up in a record's place": [
    (pack) => {
      const [out] = pack.leaveOut((_, at) => at === firstOf(pack, machines.whole));
      const made = reworded({ ...(out as Line), recordedAt: "2026-07-30T08:00:00.000Z" });
      const { salt: _salt, data: _data, ...envelope } = made;
      pack.put("neighbours", [...pack.lines("neighbours"), envelope]);
    },
    /do not give the root|continue/,
  ],
  "a neighbour left out": [(pack) => pack.put("neighbours", pack.lines("neighbours").slice(1)), /left out/],
  "a record changed, its hashes made to fit": [(pack) => pack.replace(3, reworded), /root|continue/],
  "the words of a record taken away, as if forgotten": [
    (pack) =>
      pack.put(
        "records",
        pack.lines("records").map((record, at) => (at === lastOf(pack, machines.whole) ? { ...record, data: null, salt: null } : record)),
      ),
    /before they may be forgotten/,
  ],
  "two records in another order": [
    (pack) => {
      const [one, other] = [firstOf(pack, machines.whole), firstOf(pack, machines.far)];
      pack.put("records", swapped(pack.lines("records"), one, other));
      pack.setRows(swapped(pack.rows, one + 1, other + 1));
    },
    /root|place|continue/,
  ],
  "a record twice": [
    (pack) => {
      pack.put("records", [...pack.lines("records"), pack.lines("records").at(-1) as Line]);
      pack.setRows([...pack.rows, pack.rows.at(-1) ?? ""]);
    },
    /another record has/,
  ],
  "the spreadsheet emptied": [(pack) => pack.setRows(pack.rows.slice(0, 1)), /Row 1 of records.csv/],
  "the spreadsheet wholly empty": [(pack) => void pack.files.set("records.csv", Buffer.from("")), /Row 0 of records.csv/],
  "a row left out of the spreadsheet": [(pack) => pack.setRows(without(pack.rows, 2)), /Row 2 of records.csv/],
  "a row put into the spreadsheet": [(pack) => pack.setRows([...pack.rows, pack.rows.at(-1) ?? ""]), /of records.csv/],
  "another name in a row of the spreadsheet": [
    (pack) => pack.setRows(pack.rows.map((row) => row.replace("Person R002", "Person R001"))),
    /of records.csv/,
  ],
  "another day in a row of the spreadsheet": [
    (pack) => pack.setRows(pack.rows.map((row) => row.replaceAll("2026-08-05", "2026-08-06"))),
    /of records.csv/,
  ],
  "another name in the list and in the spreadsheet's other rows": [
    (pack) =>
      pack.put(
        "names",
        pack.lines<{ called: string }>("names").map((name) => ({ ...name, called: name.called.replace("Person R002", "Person X") })),
      ),
    /of records.csv/,
  ],
  "a name left out of the list": [
    (pack) =>
      pack.put(
        "names",
        pack.lines("names").filter(({ id }) => id !== machines.whole),
      ),
    /does not say what its ids stand for/,
  ],
  "the month called another": [(pack) => void Object.assign(pack.manifest, { month: "2026-07" }), /spans of 2026-07/],
  "the month called another, with its spans": [
    (pack) => {
      const spans = pack.manifest["spans"] as { starts: string; ends: string }[];
      const july = spans.map(({ starts, ...span }) => ({
        ...span,
        starts: starts.replace("2026-08", "2026-07").replace("2026-07-31", "2026-06-30"),
        ends: starts,
      }));
      Object.assign(pack.manifest, { month: "2026-07", spans: july });
    },
    /within the month/,
  ],
  "a depot put on another clock": [
    (pack) => void Object.assign((pack.manifest["spans"] as object[])[1] ?? {}, { timeZone: "UTC" }),
    /spans of 2026-08/,
  ],
  "a depot left out of the spans": [
    (pack) => void (pack.manifest["spans"] as object[]).splice(1, 2),
    /spans|depot that the pack is not about/,
  ],
  "the pack called one of a depot": [(pack) => void Object.assign(pack.manifest, { depotId: app.cast.homeDepotId }), /spans/],
  "an earlier checkpoint in place of the pack's": [
    (pack) => {
      const points = pack.lines<{ number: number }>("checkpoints").slice(0, -1);
      pack.put("checkpoints", points);
      Object.assign(pack.manifest, { checkpoint: points.at(-1)?.number });
    },
    /do not give the root/,
  ],
  "a checkpoint of the month over another tree": [
    (pack) => {
      const points = pack.lines<Record<string, unknown>>("checkpoints");
      pack.put(
        "checkpoints",
        points.map((point, at) => (at === 0 ? { ...point, rootSha256: points[1]?.["rootSha256"] } : point)),
      );
    },
    /does not say what was signed/,
  ],
  "a checkpoint that states no chains": [(pack) => pack.signCheckpoint({ chainCount: null, chainsSha256: null }), /Checkpoint|chains/],
  "two chains in another order": [async (pack) => pack.stateChains(swapped(pack.lines("chains"), 0, 1)), /order of the ids/],
  "the format called the first one": [
    (pack) => {
      const { spans: _spans, neighbours: _neighbours, ...first } = pack.manifest;
      for (const name of Object.keys(pack.manifest)) delete pack.manifest[name];
      Object.assign(pack.manifest, first, { format: "ferrule-audit-pack-1" });
    },
    /form|not named|first format/,
  ],
};

describe("somebody with the firm's key cannot make both believe", () => {
  for (const [name, [alter, why]] of Object.entries(ofFirm)) {
    test(name, async () => {
      const pack = new Forger(app, firm);
      await alter(pack);
      const { here, there } = await verdicts(await pack.signed());
      expect(here).toEqual({ holds: false, why: expect.stringMatching(why) });
      if (there) expect(there.holds, there.says).toBe(false);
    });
  }

  const ofDepot: Readonly<Record<string, Alteration>> = {
    "the spreadsheet emptied": (pack) => pack.setRows(pack.rows.slice(0, 1)),
    "a chain of its records not opened": (pack) =>
      pack.put(
        "chains",
        pack.lines<Record<string, unknown>>("chains").map((chain) => ("chainId" in chain ? { lineSha256: "0".repeat(64) } : chain)),
      ),
    "the month called another": (pack) => void Object.assign(pack.manifest, { month: "2026-07" }),
    "called one of the other depot": (pack) => void Object.assign(pack.manifest, { depotId: app.cast.farDepotId }),
    "called one of the whole firm": (pack) => void Object.assign(pack.manifest, { depotId: null }),
    "a chain shorter than its records": async (pack) =>
      pack.stateChains(
        pack
          .lines<Line & { length?: number }>("chains")
          .map((chain) => (chain.chainId === machines.whole ? { ...chain, length: 2 } : chain)),
      ),
  };
  for (const [name, alter] of Object.entries(ofDepot)) {
    test(`of a depot's pack: ${name}`, async () => {
      const pack = new Forger(app, depot);
      await alter(pack);
      const { here, there } = await verdicts(await pack.signed());
      expect(here.holds).toBe(false);
      if (there) expect(there.holds, there.says).toBe(false);
    });
  }

  test("anything with another key, by whoever was given the firm's thumbprint", async () => {
    const others = await readKeys(await makeKeys(), "others");
    const pack = await new Forger(app, firm).signed();
    const files = new Map(pack).set("keys.json", Buffer.from(canonical(others.publicSet)));
    const manifest = JSON.parse(pack.get("manifest.json")?.toString() ?? "");
    files.set("manifest.jws", Buffer.from((await signClaim({ ...app.context, keys: others }, "pack", manifest)).jws));
    for (const kid of [undefined, app.keys.signingAt(new Date()).kid]) {
      const { here, there } = await verdicts(files, kid === undefined ? {} : { kid });
      expect(here.holds).toBe(false);
      if (there) expect(there.holds).toBe(false);
    }
    expect((await verdicts(pack, { kid: app.keys.signingAt(new Date()).kid })).here.holds).toBe(true);
  });

  test("a manifest that was not signed", async () => {
    const text = firm.get("manifest.json")?.toString() ?? "";
    const { here, there } = await verdicts(new Map(firm).set("manifest.json", Buffer.from(text.replace('"2026-08"', '"2026-07"'))));
    expect(here).toEqual({ holds: false, why: "manifest.json is not what was signed." });
    if (there) expect(there.holds).toBe(false);
    expect(linesOf(firm, "records.ndjson").length).toBeGreaterThan(5);
  });
});
