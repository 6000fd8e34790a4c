// Corrections: a mistake in a record is said in a record of its own; the old one stays, and both are shown.
import { randomUUID } from "node:crypto";
import { beforeAll, describe, expect, test } from "vitest";
import { rebuildState } from "../../src/acts/index.ts";
import { expectAnswer, onBoard } from "../support/acts.ts";
import { addTestMachine, nilCheckOf } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";

const { app, as } = testService();
let machineId: string;
let checkId: string;
beforeAll(async () => {
  machineId = await addTestMachine(app);
  const check = nilCheckOf(app, machineId, { odometerKm: 1502 });
  checkId = check.id;
  await expectAnswer((await as("R001")).post("/v1/daily-checks").send(check), 201);
});

const body = (changes: object = {}) => ({
  id: randomUUID(),
  pointer: "/submitted/odometerKm",
  right: 1052,
  reason: "Two figures swapped",
  ...changes,
});
const correct = async (sent: object, status = 201, code?: string, who = "R001", id = checkId) =>
  expectAnswer((await as(who)).post(`/v1/records/${id}/corrections`).send(sent), status, code);
const show = async (id: string, who = "A001") => expectAnswer((await as(who)).get(`/v1/records/${id}`), 200);

test("the record stays as it was and is shown beside what was and what is right, in the machine's history too", async () => {
  const machineId = await addTestMachine(app);
  const check = nilCheckOf(app, machineId, { odometerKm: 1502 });
  const checkId = check.id;
  await expectAnswer((await as("R001")).post("/v1/daily-checks").send(check), 201);
  const before = await show(checkId);
  const board = await onBoard(as, machineId);
  const sent = body();
  const receipt = await correct(sent, 201, undefined, "R001", checkId);
  expect(receipt.record).toEqual(before.record);
  const correction = { id: sent.id, corrects: checkId, pointer: sent.pointer, was: 1502, right: 1052, reason: sent.reason };
  expect(receipt.corrections).toEqual([
    { ...correction, staffId: app.cast.staffId("R001"), recordedAt: app.context.clock.now().toISOString() },
  ]);
  expect(await show(checkId)).toEqual(receipt);
  expect((await show(sent.id)).record).toMatchObject({ kind: "record-corrected", machineId });
  const { items } = await expectAnswer((await as("M001")).get(`/v1/machines/${machineId}/history`), 200);
  expect(items.slice(0, 2).map(({ id, correctedBy }: { id: string; correctedBy: string[] }) => [id, correctedBy])).toEqual([
    [sent.id, []],
    [checkId, [sent.id]],
  ]);
  // It says something; it does nothing.
  expect(await onBoard(as, machineId)).toEqual(board);
  expect((await rebuildState(app.context.db, machineId))?.differences).toEqual([]);
  const again = await correct(sent, 200, undefined, "R001", checkId);
  expect(again).toEqual(receipt);
  await correct({ ...sent, right: 1053 }, 422, "id-reused", "R001", checkId);
});

test("a record is shown with what its machine, depot and person are called now, which is no part of it", async () => {
  const { registrationMark } = await expectAnswer((await as("M001")).get(`/v1/machines/${machineId}`), 200);
  const { record, called } = await show(checkId);
  expect(called).toEqual({ machine: registrationMark, depot: "Home", staff: { name: expect.any(String), staffNumber: "R001" } });
  expect(JSON.stringify(record)).not.toContain(registrationMark);
  const [founded] = await app.context.db.rows<{ id: string }>(
    "SELECT id FROM ledger WHERE machine_id IS NULL AND depot_id IS NULL LIMIT 1",
  );
  expect((await show(founded?.id ?? "")).called).toMatchObject({ machine: null, depot: null });
});

test("what belongs to no machine is corrected in the firm's chain, as a whole where no value is named", async () => {
  await expectAnswer((await as("F001")).put("/v1/policy").send({ minorDefectDays: 5 }), 200);
  const [entry] = await app.context.db.rows<{ id: string }>(
    "SELECT id FROM ledger WHERE kind = 'policy-changed' ORDER BY position DESC LIMIT 1",
  );
  const sent = body({ pointer: undefined, right: "Agreed on Monday, typed on Friday", reason: "For the auditor" });
  const receipt = await correct(sent, 201, undefined, "F001", entry?.id);
  expect(receipt.corrections.at(-1)).toMatchObject({ pointer: null, was: null, right: sent.right });
  expect(await correct(sent, 200, undefined, "F001", entry?.id)).toEqual(receipt);
});

describe("is refused", () => {
  test.each<[string, object]>([
    ["without a reason", { reason: undefined }],
    ["without what is right", { right: undefined }],
    ["with an empty reason", { reason: " " }],
    ["with a pointer that is none", { pointer: "odometerKm" }],
    ["with more than that", { more: 1 }],
    ["with an object for what is right", { right: {} }],
  ])("%s", async (_what, changes) => {
    await correct(body(changes), 422, "not-valid");
  });

  test("where the record has no such value, not even one that every object has", async () => {
    for (const pointer of ["/submitted/wings", "/submitted/odometerKm/0", "/constructor", "/__proto__", "/submitted/answers/9999"]) {
      await correct(body({ pointer }), 422, "pointer-unknown");
    }
    expect((await correct(body({ pointer: "/submitted/answers/0/result", right: "defect" }))).corrections.at(-1)).toMatchObject({
      was: "ok",
    });
  });

  test("for another rider, another depot, an auditor, and a record that there is not", async () => {
    await correct(body(), 403, "not-your-record", "R002");
    await correct(body(), 403, "other-depot", "F101");
    await correct(body(), 403, "not-your-role", "A001");
    await correct(body(), 404, "not-found", "R001", randomUUID());
    await correct(body(), 201, undefined, "M001");
    await expectAnswer((await as("F101")).get(`/v1/records/${checkId}`), 403, "other-depot");
    await expectAnswer((await as("A001")).get(`/v1/records/${randomUUID()}`), 404, "not-found");
  });

  test("for what its author may not read: the answer would show it", async () => {
    await expectAnswer((await as("F001")).put("/v1/policy").send({ minorDefectDays: 5 }), 200);
    await expectAnswer((await as("A001")).get("/v1/records").query({ month: "2026-07", depotId: app.cast.homeDepotId }), 200);
    type Row = { id: string; kind: string; staffId: string | null; machineId: string | null; depotId: string | null };
    const rows = await app.context.db.rows<Row>(
      `SELECT DISTINCT ON (kind, machine_id IS NULL, depot_id, staff_id) id, kind, staff_id AS "staffId", machine_id AS "machineId",
         depot_id AS "depotId" FROM ledger WHERE data IS NOT NULL`,
    );
    expect(rows.map(({ kind }) => kind)).toEqual(expect.arrayContaining(["policy-changed", "person-added", "report-taken", "daily-check"]));
    for (const who of ["R001", "M001", "M003", "F001", "F101"]) {
      const client = await as(who);
      const own = app.cast.staffId(who);
      for (const { id, kind, staffId, machineId: machine } of rows) {
        const sent = { id: randomUUID(), right: "something else", reason: "To see it" };
        const answer = await client.post(`/v1/records/${id}/corrections`).send(sent);
        const reads = who.startsWith("F")
          ? await client.get(`/v1/records/${id}`)
          : await client.get(`/v1/machines/${machine ?? randomUUID()}/history`);
        const mayRead = staffId === own || reads.status === 200;
        expect([201, 403], answer.text).toContain(answer.status);
        if (answer.status === 201) expect(mayRead, `${who} ${kind}`).toBe(true);
        else expect(answer.body).not.toHaveProperty("record");
      }
    }
    const policy = rows.find(({ kind }) => kind === "policy-changed")?.id ?? "";
    await correct(body({ pointer: undefined }), 403, "not-your-record", "M001", policy);
    await correct(body({ pointer: undefined }), 201, undefined, "F001", policy);
  });
});
