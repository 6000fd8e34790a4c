// Keeping and forgetting over HTTP: what goes when its time is over, what a hold keeps, and how what is left is told.
import { randomUUID } from "node:crypto";
import { mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { beforeAll, describe, expect, test } from "vitest";
import type { LegalHold } from "../../shared/contracts/keeping.ts";
import type { Checkpoint } from "../../shared/contracts/records.ts";
import { workOff } from "../../src/audit/index.ts";
import { verifyPack } from "../../src/audit/verify-pack.ts";
import { forgetOld } from "../../src/keeping/index.ts";
import { takeCheckpoint } from "../../src/ledger/index.ts";
import { boardOf, expectAnswer, repairOf, reportOf, throughItsCourse } from "../support/acts.ts";
import { openTestContext } from "../support/context.ts";
import { once } from "../support/once.ts";
import { expectAgreement, expectContinued, expectWholeChains } from "../support/proofs.ts";
import { addTestMachine, checkFinding, inspectionOf, nilCheckOf } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";

const { app, as } = testService(() => openTestContext("2025-01-31T06:00:00.000Z"));
let machineId: string;
let otherId: string;
let heldId: string;
let kept: Checkpoint;
const said = "Bent at the kerb by the fountain";
const ids: Record<string, string> = {};
const post = async (who: string, path: string, body: object, status = 201, code?: string) =>
  expectAnswer((await as(who)).post(path).send(body), status, code);
const get = async (who: string, path: string, status = 200, code?: string) => expectAnswer((await as(who)).get(path), status, code);
const entryOf = async (id: string) => {
  const [row] = await app.context.db.rows<{ data: object | null; salt: unknown; forgottenBy: string | null; kind: string }>(
    `SELECT kind, data, salt, forgotten_by AS "forgottenBy" FROM ledger WHERE id = $1::text::uuid`,
    [id],
  );
  if (!row) throw new Error("an entry never goes");
  return row;
};
const isForgotten = async (name: string): Promise<boolean> => (await entryOf(ids[name] ?? "")).data === null;
const check = async (who: string, body: { id: string }) => (await post(who, "/v1/daily-checks", body)).defects;

beforeAll(async () => {
  machineId = await addTestMachine(app);
  otherId = await addTestMachine(app);
  heldId = await addTestMachine(app);
  const { clock } = app.context;
  const step = () => clock.advance(60_000);
  // Closed on the day on which it was found, with words in it.
  ids["closed"] = await throughItsCourse(app, as, machineId, "horn.silent");
  step();
  const noted = reportOf(app, machineId, "horn.weak", { note: said });
  ids["noted"] = (await post("R001", "/v1/defects", noted)).defect.id;
  ids["notedReport"] = noted.id;
  step();
  const repair = repairOf(app, { workDone: said });
  ids["repair"] = repair.id;
  await post("M001", `/v1/defects/${ids["noted"]}/repairs`, repair);
  step();
  ids["signOff"] = randomUUID();
  await post("M002", `/v1/defects/${ids["noted"]}/sign-off`, { id: ids["signOff"], statement: said });
  step();
  const early = nilCheckOf(app, machineId);
  ids["early"] = early.id;
  await check("R001", early);
  ids["correction"] = randomUUID();
  await post("R001", `/v1/records/${early.id}/corrections`, {
    id: ids["correction"],
    pointer: "/submitted/odometerKm",
    right: 1001,
    reason: said,
  });
  step();
  const last = nilCheckOf(app, machineId);
  ids["last"] = last.id;
  await check("R001", last);
  // Open to this day, found by a check.
  step();
  const finding = checkFinding(app, otherId, "stop-lamp.out");
  ids["finding"] = finding.id;
  ids["open"] = (await check("R001", finding))[0].id;
  step();
  ids["otherLast"] = randomUUID();
  await check("R001", nilCheckOf(app, otherId, { id: ids["otherLast"] }));
  for (const name of ["held", "heldLast"]) {
    step();
    ids[name] = randomUUID();
    await check("R001", nilCheckOf(app, heldId, { id: ids[name] }));
  }
  const checkpoint = await takeCheckpoint(app.context);
  if (!checkpoint) throw new Error("the firm is founded");
  kept = checkpoint;
  placed = holdBody();
  hold = await post("F001", "/v1/holds", placed);
  clock.advance(60_000);
  depotHold = await post("F001", "/v1/holds", holdBody({ machineId: undefined, depotId: app.cast.farDepotId }));
});

const holdBody = (changes: object = {}) => ({ id: randomUUID(), machineId: heldId, reason: "An examiner asks", ...changes });
let placed: ReturnType<typeof holdBody>;
let hold: LegalHold;
let depotHold: LegalHold;

describe("a legal hold", () => {
  test("is placed by a manager of all depots, on a machine, a depot or the firm, and said once", async () => {
    expect(hold).toMatchObject({ id: placed.id, machineId: heldId, depotId: null, reason: placed.reason, lifted: null });
    expect(await post("F001", "/v1/holds", placed, 200)).toMatchObject({ ...hold, lifted: expect.toSatisfy(() => true) });
    await post("F001", "/v1/holds", { ...placed, reason: "Another" }, 422, "id-reused");
    await post("F001", "/v1/holds", holdBody({ id: ids["closed"] }), 422, "id-reused");
    expect(depotHold).toMatchObject({ machineId: null, depotId: app.cast.farDepotId });
    const { items } = await get("A001", "/v1/holds?state=standing&limit=1");
    expect(items).toEqual([depotHold]);
    expect((await get("A001", "/v1/holds")).items.map(({ id }: LegalHold) => id)).toEqual([depotHold.id, hold.id]);
    expect((await entryOf(placed.id)).kind).toBe("hold-placed");
  });

  test("is refused on two things at once, on what there is not, without a reason, and to whoever may not", async () => {
    await post("F001", "/v1/holds", holdBody({ depotId: app.cast.homeDepotId }), 422, "not-valid");
    await post("F001", "/v1/holds", holdBody({ machineId: randomUUID() }), 404, "not-found");
    await post("F001", "/v1/holds", holdBody({ machineId: undefined, depotId: randomUUID() }), 404, "not-found");
    await post("F001", "/v1/holds", holdBody({ reason: " " }), 422, "not-valid");
    await post("F101", "/v1/holds", holdBody(), 403, "other-depot");
    await post("A001", "/v1/holds", holdBody(), 403, "not-your-role");
    await get("M001", "/v1/retention", 403, "not-your-role");
    await get("F001", "/v1/holds?cursor=x", 422, "not-valid");
  });

  test("is only lifted: the database refuses to change or remove it", async () => {
    for (const sql of [
      "UPDATE legal_hold SET machine_id = NULL",
      "UPDATE legal_hold SET placed_at = now()",
      "DELETE FROM legal_hold",
      "TRUNCATE legal_hold",
    ]) {
      await expect(app.context.db.rows(sql), sql).rejects.toMatchObject({ code: "FR001" });
    }
  });
});

// What is told of time here happens once, whichever test asks for it first.
// 15 months: DVSA, Guide to maintaining roadworthiness, 3.1 and 4.x. The days are the depots' own.
const forgetting = once(async () => {
  // Still there on 2026-04-30.
  app.context.clock.moveTo("2026-04-30T16:00:00.000Z");
  expect((await get("A001", "/v1/retention")).due).toBe(0);
  expect(await forgetOld(app.context)).toBe(0);
  expect(await isForgotten("closed")).toBe(false);
  expect((await get("M001", `/v1/defects/${ids["noted"]}`)).note).toBe(said);
  // Kept for longer where the firm has chosen so.
  app.context.clock.moveTo("2026-05-01T12:00:00.000Z");
  await expectAnswer((await as("F001")).put("/v1/policy").send({ keepMonths: 16 }), 200);
  expect(await get("A001", "/v1/retention")).toMatchObject({ keepMonths: 16, due: 0 });
  expect(await forgetOld(app.context)).toBe(0);
  await expectAnswer((await as("F001")).put("/v1/policy").send({}), 200);
  // Forgotten after that, by one record that says so.
  const board = await boardOf(as);
  const due = await get("A001", "/v1/retention");
  expect(due).toMatchObject({ untilDay: "2025-01-31", keepMonths: 15, standingHolds: 2 });
  expect(due.held).toBeGreaterThanOrEqual(1);
  const before = await takeCheckpoint(app.context);
  const forgotten = await forgetOld(app.context);
  expect(forgotten).toBe(due.due);
  // Two defects with three entries each, a check and its correction.
  expect(forgotten).toBe(8);
  for (const name of ["closed", "noted", "repair", "signOff", "early", "correction"]) expect(await isForgotten(name), name).toBe(true);
  const { forgottenBy, salt } = await entryOf(ids["noted"] ?? "");
  expect(salt).toBeNull();
  expect(await entryOf(forgottenBy ?? "")).toMatchObject({
    kind: "records-forgotten",
    data: { records: forgotten, untilDay: "2025-01-31", keepMonths: 15, classes: expect.objectContaining({ corrections: 1 }) },
  });
  const [left] = await app.context.db.rows<{ n: number }>(
    `SELECT (SELECT count(*) FROM ledger WHERE data::text LIKE $1::text)::int + (SELECT count(*) FROM defect d WHERE d::text LIKE $1::text)::int
         + (SELECT count(*) FROM machine m WHERE m::text LIKE $1::text)::int
         + (SELECT count(*) FROM machine_state_history h WHERE h::text LIKE $1::text)::int AS n`,
    [`%${said}%`],
  );
  expect(left?.n).toBe(0);
  expect(before && before.number > kept.number).toBe(true);
  expect(await boardOf(as)).toEqual({ ...board });
  // A second run finds nothing, and writes nothing.
  const checkpoints = await app.context.db.rows("SELECT number FROM checkpoint");
  expect(await forgetOld(app.context)).toBe(0);
  expect(await app.context.db.rows("SELECT number FROM checkpoint")).toEqual(checkpoints);
  // What something still needs is there.
  for (const name of ["open", "finding", "last", "otherLast", "heldLast"]) expect(await isForgotten(name), name).toBe(false);
  const [inspections] = await app.context.db.rows<{ left: number }>(
    "SELECT count(*)::int AS left FROM weekly_inspection w JOIN ledger l ON l.id = w.id WHERE l.data IS NOT NULL",
  );
  expect(inspections?.left).toBe(3);
});

describe("a record of 2025-01-31", () => {
  test("is there to the last day of 15 months, or longer where the firm has chosen so, and is forgotten then with everything that repeats its words, but for what something still needs", async () => {
    await forgetting();
  });

  test("stays where a hold keeps it, and goes once the hold is lifted", async () => {
    await forgetting();
    expect(await isForgotten("held")).toBe(false);
    expect((await get("A001", "/v1/retention")).classes.find(({ id }: { id: string }) => id === "checks").held).toBe(1);
    const path = `/v1/holds/${hold.id}/lift`;
    await post("F101", path, { reason: "Settled" }, 403, "other-depot");
    await post("F001", `/v1/holds/${randomUUID()}/lift`, { reason: "Settled" }, 404, "not-found");
    const lifted = await post("F001", path, { reason: "Settled" }, 200);
    expect(lifted.lifted).toEqual({ by: app.cast.staffId("F001"), at: app.context.clock.now().toISOString(), reason: "Settled" });
    expect((await get("F001", "/v1/holds?state=lifted")).items).toEqual([lifted]);
    await post("F001", path, { reason: "Again" }, 409, "already-lifted");
    await forgetOld(app.context);
    expect(await isForgotten("held")).toBe(true);
  });
});

describe("afterwards", () => {
  beforeAll(forgetting);

  test("chains, checkpoints and states are as whole as before", async () => {
    await expectWholeChains(app.context);
    await expectContinued(app.context, as, kept);
    await expectAgreement(app.context);
  });

  test("an audit pack of that month still verifies, and its paper is drawn", async () => {
    const { id } = await post("A001", "/v1/audit-packs", { month: "2025-01" }, 202);
    await workOff(app.context, { id: randomUUID(), alone: false, stopped: () => false });
    const answer = await (await as("A001")).get(`/v1/audit-packs/${id}/download`).buffer(true).responseType("blob");
    const folder = await mkdtemp(join(tmpdir(), "ferrule-forgotten-"));
    try {
      await writeFile(join(folder, "pack.zip"), answer.body);
      expect(await verifyPack(join(folder, "pack.zip"))).toMatchObject({ holds: true });
    } finally {
      await rm(folder, { recursive: true });
    }
  });

  test("lists show what is left of it, and one by itself says that it was forgotten", async () => {
    const items = (await get("M001", `/v1/daily-checks?machineId=${machineId}`)).items.slice(-2);
    expect(
      items.map(({ id, forgottenBy, answers }: { id: string; forgottenBy: string; answers: [] }) => [
        id,
        forgottenBy !== null,
        answers.length > 0,
      ]),
    ).toEqual([
      [ids["last"], false, true],
      [ids["early"], true, false],
    ]);
    expect(items[1]).toMatchObject({ staffId: app.cast.staffId("R001"), odometerKm: 1000, decision: "ride", sheetVersion: null });
    await get("R001", `/v1/daily-checks/${ids["early"]}`, 410, "record-forgotten");
    await get("R001", `/v1/daily-checks/${ids["last"]}`);
    const defect = await get("M001", `/v1/defects/${ids["noted"]}`);
    expect(defect).toMatchObject({ note: null, status: "signed-off", category: "minor" });
    expect(defect.course.map(({ kind, data }: { kind: string; data: unknown }) => [kind, data])).toEqual([
      ["raised", null],
      ["repair", null],
      ["sign-off", null],
    ]);
    const history = await get("M001", `/v1/machines/${machineId}/history?limit=200`);
    expect(history.items.some(({ data }: { data: unknown }) => data === null)).toBe(true);
    const { record } = await get("A001", `/v1/records/${ids["noted"]}`);
    expect(record).toMatchObject({ kind: "defect-raised", data: null });
    expect(await get("A001", `/v1/records/${ids["noted"]}/proof`)).toMatchObject({ data: null, salt: null });
  });

  test("a repetition that nobody can compare any more, and a correction of what is gone, are told so", async () => {
    await post("R001", "/v1/daily-checks", nilCheckOf(app, machineId, { id: ids["early"] ?? "" }), 410, "record-forgotten");
    await post("M001", `/v1/defects/${ids["noted"]}/repairs`, repairOf(app, { id: ids["repair"] }), 410, "record-forgotten");
    const correction = { id: randomUUID(), right: "x", reason: "y" };
    await post("M001", `/v1/records/${ids["early"]}/corrections`, correction, 410, "record-forgotten");
    await post("F001", "/v1/holds", holdBody({ id: ids["early"] }), 422, "id-reused");
  });

  test("papers are drawn, and say that it was forgotten", async () => {
    for (const path of [
      `/v1/defects/${ids["noted"]}/report.pdf`,
      `/v1/daily-checks/${ids["early"]}/report.pdf`,
      `/v1/machines/${machineId}/roadworthiness.pdf?from=2025-01-01&to=2025-02-28`,
      "/v1/reports/defects.pdf?from=2025-01-01&to=2025-02-28",
      "/v1/reports/review.pdf?month=2025-01",
    ]) {
      const answer = await (await as("F001")).get(path);
      expect([path, answer.status, answer.headers["content-type"]]).toEqual([path, 200, "application/pdf"]);
    }
  });

  test("the machine goes on: it is inspected, checked and ridden", async () => {
    await post("M001", "/v1/weekly-inspections", inspectionOf(app, machineId));
    const { clearance } = await post("R001", "/v1/daily-checks", nilCheckOf(app, machineId));
    expect(clearance.decision).toBe("ride");
    await expectAgreement(app.context);
  });
});

describe("the database", () => {
  const refusal = (sql: string) =>
    app.context.db.rows(sql).then(
      () => null,
      (error: { code?: string }) => error.code,
    );

  test("lets a note go only with its entry, and nothing else of a closed defect ever", async () => {
    await forgetting();
    app.context.clock.advance(60_000);
    const { defect } = await post("R001", "/v1/defects", reportOf(app, machineId, "horn.weak", { note: said }));
    expect(await refusal(`UPDATE defect SET note = NULL WHERE id = '${defect.id}'`)).toBe("FR002");
    expect(await refusal(`UPDATE defect SET sightings = 9 WHERE id = '${ids["noted"]}'`)).toBe("FR002");
    expect(await refusal(`UPDATE defect SET note = 'other' WHERE id = '${ids["noted"]}'`)).toBe("FR002");
  });
});
