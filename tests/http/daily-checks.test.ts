// Daily checks over HTTP: the clearance, what is kept and flagged, what arrives late, and sending the same twice.
import { randomUUID } from "node:crypto";
import { describe, expect, test } from "vitest";
import type { DailyCheckBody } from "../../shared/contracts/checks.ts";
import { nilAnswers } from "../../shared/rules/as-new.ts";
import { expectAnswer, onBoard, repairOf, reportOf, throughItsCourse } from "../support/acts.ts";
import { chainMachine } from "../support/machines.ts";
import { addTestMachine, checkFinding, inspectionOf, nilCheckOf } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";

const { app, as } = testService();

const minute = 60_000;
const day = 24 * 60 * minute;
const tick = (milliseconds = minute) => app.context.clock.advance(milliseconds);
const ago = (minutes: number) => new Date(app.context.clock.now().getTime() - minutes * minute).toISOString();
const submit = async (body: object, who = "R001", status = 201, code?: string) =>
  expectAnswer((await as(who)).post("/v1/daily-checks").send(body), status, code);
const nil = async (machineId: string, who = "R001", changes: Partial<DailyCheckBody> = {}) =>
  submit(nilCheckOf(app, machineId, changes), who);
const finding = async (machineId: string, seen: string, who = "R001", changes: Partial<DailyCheckBody> = {}) =>
  submit(checkFinding(app, machineId, seen, changes), who);
const codes = (reasons: readonly { code: string }[]) => reasons.map(({ code }) => code);
const amend = async (id: string, body: object) => expectAnswer((await as("F001")).patch(`/v1/machines/${id}`).send(body), 200);

describe("what the rider is told", () => {
  test("a minor defect may be ridden until its day; a major or dangerous one grounds in the very next read", async () => {
    const machineId = await addTestMachine(app);
    const minor = await finding(machineId, "horn.weak");
    const due = new Date(app.context.clock.now().getTime() + 7 * day).toISOString().slice(0, 10);
    expect(minor.clearance).toMatchObject({ decision: "ride-with-defects", reasons: [{ code: "minor-defect", day: due }] });
    for (const seen of ["stop-lamp.out", "fuel.drips"]) {
      const other = await addTestMachine(app);
      const found = await finding(other, seen);
      expect(found.clearance).toMatchObject({ decision: "do-not-ride", validUntil: null, reasons: [{ code: "grounding-defect" }] });
      expect((await onBoard(as, other)).standing).toBe("grounded");
    }
  });

  test("a note alone is major; 'defect' without a word is major too, and flagged", async () => {
    for (const [note, flag] of [
      ["Feels odd", false],
      [undefined, true],
    ] as const) {
      const machineId = await addTestMachine(app);
      const body = nilCheckOf(app, machineId);
      const answers = body.answers.map((answer) =>
        answer.itemId === "horn" ? { itemId: "horn", result: "defect" as const, ...(note ? { note } : {}) } : answer,
      );
      const got = await submit({ ...body, answers });
      expect(got.defects).toMatchObject([{ itemId: "horn", category: "major" }]);
      expect(got.clearance.decision).toBe("do-not-ride");
      expect(got.check.flags.includes("defect-not-described")).toBe(flag);
    }
  });

  test("overdue inspection, expired paper, withdrawal and first use each forbid to ride with their reason, and together all are named", async () => {
    const fresh = await addTestMachine(app, { inspected: false });
    expect(codes((await nil(fresh)).clearance.reasons)).toEqual(["first-use-inspection"]);
    const paper = { kind: "insurance", number: "1", validFrom: "2026-01-01", validTo: "2026-01-31" };
    const papers = await addTestMachine(app);
    await expectAnswer((await as("F001")).post(`/v1/machines/${papers}/papers`).send(paper), 201);
    expect(codes((await nil(papers)).clearance.reasons)).toEqual(["papers-expired"]);
    const away = await addTestMachine(app);
    await amend(away, { withdrawn: { reason: "Sold" } });
    expect(codes((await nil(away)).clearance.reasons)).toEqual(["withdrawn"]);
    await amend(away, { withdrawn: null });
    expect(codes((await nil(away)).clearance.reasons)).toEqual(["return-inspection"]);
    const late = await addTestMachine(app);
    await expectAnswer((await as("F001")).post(`/v1/machines/${late}/papers`).send(paper), 201);
    tick(8 * day);
    await amend(late, { withdrawn: { reason: "Crash" } });
    const { clearance } = await finding(late, "horn.silent");
    expect(clearance.decision).toBe("do-not-ride");
    expect(codes(clearance.reasons)).toEqual(["withdrawn", "grounding-defect", "papers-expired", "inspection-overdue"]);
  });

  test("a grounding by one rider ends the clearance of the other, and a nil check from before it clears nothing when it arrives late", async () => {
    const machineId = await addTestMachine(app);
    await nil(machineId, "R001");
    const early = nilCheckOf(app, machineId);
    tick();
    const found = await finding(machineId, "horn.silent", "R002");
    expect((await onBoard(as, machineId)).standing).toBe("grounded");
    const defectId = found.defects[0].id;
    tick();
    await expectAnswer((await as("M001")).post(`/v1/defects/${defectId}/repairs`).send(repairOf(app)), 201);
    await expectAnswer((await as("M001")).post(`/v1/defects/${defectId}/sign-off`).send({ id: randomUUID() }), 201);
    expect((await onBoard(as, machineId)).standing).toBe("unchecked");
    const late = await submit(early);
    expect(late.clearance.decision).toBe("do-not-ride");
    expect(codes(late.clearance.reasons)).toEqual(["grounded-since-check"]);
    expect((await onBoard(as, machineId)).standing).toBe("unchecked");
    expect((await nil(machineId)).clearance.decision).toBe("ride");
  });

  test("a check from yesterday is kept and clears nothing", async () => {
    const machineId = await addTestMachine(app);
    tick(day);
    const got = await nil(machineId, "R001", { performedAt: ago(24 * 60) });
    expect(codes(got.clearance.reasons)).toEqual(["check-too-old"]);
    expect(got.check.flags).toContain("arrived-late");
  });

  test("an older check of the same rider that arrives after a newer one does not shorten the clearance", async () => {
    const machineId = await addTestMachine(app);
    const older = nilCheckOf(app, machineId);
    tick(2 * 60 * minute);
    const { clearance } = await nil(machineId);
    await submit(older);
    const [row] = await app.context.db.rows<{ held: { validUntil: string }[] }>(
      "SELECT state->'clearances' AS held FROM machine WHERE id = $1::text::uuid",
      [machineId],
    );
    expect(row?.held.map(({ validUntil }) => validUntil)).toEqual([clearance.validUntil]);
  });
});

describe("what arrives is never lost", () => {
  test("a defect seen at 05:30 that arrives at 09:00 grounds though a sign-off came between, which is named beside it", async () => {
    const machineId = await addTestMachine(app);
    const seen = checkFinding(app, machineId, "horn.silent");
    await throughItsCourse(app, as, machineId, "horn.silent");
    expect((await onBoard(as, machineId)).standing).toBe("unchecked");
    tick(3 * 60 * minute);
    const late = await submit(seen, "R002");
    expect(late.clearance.decision).toBe("do-not-ride");
    expect((await onBoard(as, machineId)).standing).toBe("grounded");
    const [signOff] = await app.context.db.rows<{ id: string }>(
      "SELECT id FROM ledger WHERE chain_id = $1::text::uuid AND kind = 'defect-signed-off'",
      [machineId],
    );
    expect(late.defects).toMatchObject([{ sighting: false, signedOffBetween: signOff?.id, recurringOf: null }]);
    expect(late.check.flags).toContain("arrived-late");
  });

  test("the same defect again is a sighting, a worse observation at the item grounds, and it stays one defect", async () => {
    const machineId = await addTestMachine(app);
    const first = await finding(machineId, "front-brake-cable.long-travel");
    expect(first.clearance.decision).toBe("ride-with-defects");
    const again = await finding(machineId, "front-brake-cable.frayed", "R002");
    expect(again.defects).toMatchObject([{ id: first.defects[0].id, sighting: true, category: "dangerous", dueDay: null }]);
    expect((await onBoard(as, machineId)).standing).toBe("grounded");
    const milder = await finding(machineId, "front-brake-cable.long-travel");
    expect(milder.defects).toMatchObject([{ category: "dangerous" }]);
  });

  test("the same item within 28 days of its sign-off is marked as recurring, after 29 it is not", async () => {
    const machineId = await addTestMachine(app);
    const closed = await throughItsCourse(app, as, machineId, "horn.silent");
    tick(28 * day);
    const again = await finding(machineId, "horn.silent");
    expect(again.defects[0].recurringOf).toBe(closed);
    const other = await addTestMachine(app);
    await throughItsCourse(app, as, other, "horn.silent");
    tick(29 * day);
    expect((await finding(other, "horn.silent")).defects[0].recurringOf).toBeNull();
  });

  test.each<[string, (body: DailyCheckBody) => object, string]>([
    ["an unknown sheet version", (body) => ({ ...body, sheetVersion: "1999-01" }), "sheet-unknown"],
    ["a missing answer", (body) => ({ ...body, answers: body.answers.filter(({ itemId }) => itemId !== "steering") }), "answers-missing"],
    ["a doubled answer", (body) => ({ ...body, answers: [...body.answers, { itemId: "steering", result: "ok" }] }), "answer-doubled"],
    ["an unknown item", (body) => ({ ...body, answers: [...body.answers, { itemId: "wings", result: "ok" }] }), "item-unknown"],
    [
      "an item of another machine",
      (body) => ({ ...body, answers: [...body.answers, { itemId: "belt", result: "ok" }] }),
      "item-not-on-this-machine",
    ],
    [
      "an item waved away",
      (body) => ({ ...body, answers: body.answers.map((one) => (one.itemId === "steering" ? { ...one, result: "not-applicable" } : one)) }),
      "not-applicable-claimed",
    ],
  ])("%s is kept and flagged where a defect is reported, and refused with its place where none is", async (_what, spoil, flag) => {
    const machineId = await addTestMachine(app);
    const got = await submit(spoil(checkFinding(app, machineId, "stop-lamp.out")));
    expect(got.check.flags).toContain(flag);
    expect(got.clearance.decision).toBe("do-not-ride");
    expect((await onBoard(as, machineId)).standing).toBe("grounded");
    const refused = await submit(spoil(nilCheckOf(app, await addTestMachine(app))), "R001", 422, "check-not-whole");
    expect(refused.issues[0]).toEqual({ pointer: expect.stringMatching(/^\/answers/), message: expect.any(String) });
  });

  test("an odometer gone backwards, one that jumped and a clock ahead are kept and flagged; the odometer and the time stay believable", async () => {
    const machineId = await addTestMachine(app);
    expect((await nil(machineId, "R001", { odometerKm: 900 })).check.flags).toContain("odometer-backwards");
    expect((await nil(machineId, "R001", { odometerKm: 90_000 })).check.flags).toContain("odometer-jump");
    const ahead = await finding(machineId, "stop-lamp.out", "R001", { performedAt: ago(-6), odometerKm: 1010 });
    expect(ahead.check).toMatchObject({ flags: expect.arrayContaining(["clock-ahead"]), performedAt: ago(0) });
    expect((await nil(machineId, "R001", { performedAt: ago(-4) })).check.flags).not.toContain("clock-ahead");
    const shown = await expectAnswer((await as("F001")).get(`/v1/machines/${machineId}`), 200);
    expect(shown.odometerKm).toBe(1010);
  });

  test("a check whose clock is ahead clears nothing on a day on which the machine was grounded: nobody knows which came first", async () => {
    const machineId = await addTestMachine(app);
    const defectId = (await finding(machineId, "stop-lamp.out")).check.defectIds[0];
    tick();
    await expectAnswer((await as("M001")).post(`/v1/defects/${defectId}/repairs`).send(repairOf(app)), 201);
    await expectAnswer((await as("M002")).post(`/v1/defects/${defectId}/sign-off`).send({ id: app.context.newId() }), 201);
    tick();
    const ahead = await nil(machineId, "R001", { performedAt: ago(-30) });
    expect(ahead.clearance).toMatchObject({ decision: "do-not-ride", reasons: [{ code: "grounded-since-check" }] });
    expect((await nil(machineId)).clearance.decision).toBe("ride");
  });
});

describe("the same again", () => {
  test("answers 200 with the same receipt byte for byte, whatever happened since; with another body, machine, person or kind it is refused", async () => {
    const [machineId, other] = [await addTestMachine(app), await addTestMachine(app)];
    const body = checkFinding(app, machineId, "horn.weak");
    const first = await (await as("R001")).post("/v1/daily-checks").send(body);
    tick();
    await expectAnswer((await as("R002")).post("/v1/defects").send(reportOf(app, machineId, "horn.silent")), 201);
    const again = await (await as("R001")).post("/v1/daily-checks").send(body);
    expect([first.status, again.status, again.text]).toEqual([201, 200, first.text]);
    const shown = await (await as("R001")).get(`/v1/daily-checks/${body.id}`);
    expect(shown.text).toBe(first.text);
    await submit({ ...body, odometerKm: 1001 }, "R001", 422, "id-reused");
    await submit({ ...body, machineId: other }, "R001", 422, "id-reused");
    await submit(body, "R002", 422, "id-reused");
    const report = reportOf(app, machineId, "horn.weak", { id: body.id });
    await expectAnswer((await as("R001")).post("/v1/defects").send(report), 422, "id-reused");
    const inspection = inspectionOf(app, machineId, { id: body.id });
    await expectAnswer((await as("M001")).post("/v1/weekly-inspections").send(inspection), 422, "id-reused");
  });

  test("twenty sendings of one check at once store it once: one 201, the others 200 or 409 id-in-progress", async () => {
    const machineId = await addTestMachine(app);
    const body = nilCheckOf(app, machineId);
    const rider = await as("R001");
    const answers = await Promise.all(Array.from({ length: 20 }, () => rider.post("/v1/daily-checks").send(body)));
    const statuses = answers.map(({ status, body: { code } }) => (status === 409 ? code : status));
    expect(statuses.filter((status) => status === 201)).toHaveLength(1);
    expect(statuses.filter((status) => ![200, 201, "id-in-progress"].includes(status))).toEqual([]);
    const [row] = await app.context.db.rows<{ count: number }>(
      "SELECT count(*)::int AS count FROM ledger WHERE chain_id = $1::text::uuid AND kind = 'daily-check'",
      [machineId],
    );
    expect(row?.count).toBe(1);
  });
});

test("riders read their own checks only; mechanics, managers and auditors those of their depots", async () => {
  const machineId = await addTestMachine(app);
  const { check } = await nil(machineId);
  const listed = async (who: string) =>
    (await expectAnswer((await as(who)).get("/v1/daily-checks").query({ machineId }), 200)).items.map(({ id }: { id: string }) => id);
  for (const who of ["R001", "M001", "F001", "A001"]) expect(await listed(who), who).toEqual([check.id]);
  for (const who of ["R002", "R101", "F101"]) expect(await listed(who), who).toEqual([]);
  await expectAnswer((await as("R002")).get(`/v1/daily-checks/${check.id}`), 404, "not-found");
  await expectAnswer((await as("F101")).get(`/v1/daily-checks/${check.id}`), 403, "other-depot");
});

test("a note on an item that is well is kept and flagged, and is no defect", async () => {
  const machineId = await addTestMachine(app);
  const [first, ...others] = nilAnswers(chainMachine);
  if (!first) throw new Error("the sheet is empty");
  const body = nilCheckOf(app, machineId, { answers: [{ ...first, note: "A little stiff when cold" }, ...others] });
  const { check, clearance, defects } = (await (await app.signIn("R001")).post("/v1/daily-checks").send(body)).body;
  expect([clearance.decision, defects, check.flags.includes("ok-with-note")]).toEqual(["ride", [], true]);
  expect(check.answers[0].note).toBe("A little stiff when cold");
});

test("an observation that was answered under another item is a defect of its own item, with its competence", async () => {
  const machineId = await addTestMachine(app);
  const body = nilCheckOf(app, machineId);
  const observationIds = ["front-brake-cable.frayed"];
  const answers = body.answers.map((answer) =>
    answer.itemId === "horn" ? { ...answer, result: "defect" as const, observationIds } : answer,
  );
  const { check, clearance, defects } = await submit({ ...body, answers });
  expect(clearance.decision).toBe("do-not-ride");
  expect(check.flags).toContain("observation-unknown");
  expect(defects).toMatchObject([{ itemId: "front-brake-cable", category: "dangerous", observationIds }]);
  const shown = await expectAnswer((await as("M001")).get(`/v1/defects/${defects[0].id}`), 200);
  expect(shown).toMatchObject({ competence: "brakes", secondPerson: true });
});
