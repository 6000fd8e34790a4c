// Who may send is asked for the moment when it was done: a machine that has moved since, a rider who has, and a defect that anybody saw.
import { randomUUID } from "node:crypto";
import { describe, expect, test } from "vitest";
import { expectAnswer, onBoard, repairOf, reportOf } from "../support/acts.ts";
import { codeOf } from "../support/cast.ts";
import { expectAgreement } from "../support/proofs.ts";
import { addTestMachine, checkFinding, inspectionOf, nilCheckOf } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";

const { app, as } = testService();

const minute = 60_000;
const tick = (minutes = 1) => app.context.clock.advance(minutes * minute);
const post = async (who: string, path: string, body: object, status = 201, code?: string) =>
  expectAnswer((await as(who)).post(path).send(body), status, code);
const move = async (machineId: string, depotId: string) => {
  tick();
  await expectAnswer((await as("F001")).patch(`/v1/machines/${machineId}`).send({ depotId }), 200);
  tick();
};
const codes = (reasons: readonly { code: string }[]) => reasons.map(({ code }) => code);

/** A rider or mechanic of the home depot, added through the service's own door. */
async function addPerson(role: "rider" | "mechanic"): Promise<string> {
  const staffNumber = randomUUID().slice(0, 8).toUpperCase();
  const body = { staffNumber, name: "Somebody", role, depotIds: [app.cast.homeDepotId], secret: codeOf(staffNumber) };
  tick();
  await post("F001", "/v1/staff", {
    ...body,
    ...(role === "mechanic" ? { competences: ["general", "electrics", "brakes", "inspection"] } : {}),
  });
  await app.settleIn(staffNumber);
  tick();
  return staffNumber;
}
async function moveAway(staffNumber: string): Promise<void> {
  tick();
  const { items } = await expectAnswer((await as("F001")).get("/v1/staff").query({ limit: 200 }), 200);
  const id = items.find((one: { staffNumber: string }) => one.staffNumber === staffNumber).id;
  await expectAnswer((await as("F001")).patch(`/v1/staff/${id}`).send({ depotIds: [app.cast.farDepotId] }), 200);
  tick();
}

describe("a dangerous defect grounds the machine", () => {
  test("though the machine moved before the check arrived: it is kept, flagged, with the depot of that moment", async () => {
    const machineId = await addTestMachine(app);
    const body = checkFinding(app, machineId, "front-tyre-tread.cords-show");
    await move(machineId, app.cast.farDepotId);
    const { check, clearance } = await post("R001", "/v1/daily-checks", body);
    expect([check.flags, clearance.decision]).toEqual([expect.arrayContaining(["other-depot"]), "do-not-ride"]);
    expect(await onBoard(as, machineId)).toMatchObject({ standing: "grounded" });
    const { record } = await expectAnswer((await as("A001")).get(`/v1/records/${check.id}`), 200);
    expect(record.data.depotIdThen).toBe(app.cast.homeDepotId);
  });

  test("though the rider moved before the report arrived", async () => {
    const rider = await addPerson("rider");
    const machineId = await addTestMachine(app);
    const body = reportOf(app, machineId, "fuel.drips");
    await moveAway(rider);
    expect((await post(rider, "/v1/defects", body)).flags).toEqual(["other-depot"]);
    expect((await onBoard(as, machineId)).standing).toBe("grounded");
  });

  test("whoever of the firm saw it, at whichever depot: by a check, a report or an inspection", async () => {
    const mechanic = await addPerson("mechanic");
    const far = () => addTestMachine(app, { depotId: app.cast.farDepotId });
    for (const [who, path, bodyOf] of [
      ["R001", "/v1/daily-checks", (id: string) => checkFinding(app, id, "fuel.drips")],
      ["R001", "/v1/defects", (id: string) => reportOf(app, id, "fuel.drips")],
      [mechanic, "/v1/defects", (id: string) => reportOf(app, id, "fuel.drips")],
    ] as const) {
      const machineId = await far();
      const body = bodyOf(machineId);
      await post(who, path, body);
      expect((await onBoard(as, machineId)).standing).toBe("grounded");
      tick();
      await post(who, path, body, 200);
    }
    const machineId = await far();
    const inspection = inspectionOf(app, machineId);
    const answers = inspection.answers.map((answer) =>
      answer.itemId === "front-spokes" ? { ...answer, result: "defect" as const, observationIds: ["front-spokes.broken"] } : answer,
    );
    expect((await post(mechanic, "/v1/weekly-inspections", { ...inspection, answers })).inspection.flags).toContain("other-depot");
    expect((await onBoard(as, machineId)).standing).toBe("grounded");
  });

  test("and a minor one is kept, but clears nobody to ride a machine of another depot", async () => {
    const machineId = await addTestMachine(app, { depotId: app.cast.farDepotId });
    const { clearance } = await post("R001", "/v1/daily-checks", checkFinding(app, machineId, "horn.weak"));
    expect([clearance.decision, codes(clearance.reasons)]).toEqual(["do-not-ride", ["other-depot", "minor-defect"]]);
    expect((await onBoard(as, machineId)).standing).toBe("unchecked");
  });
});

describe("a check that found nothing", () => {
  test("is taken from one who was of the machine's depot when it was done, and from nobody else", async () => {
    const rider = await addPerson("rider");
    const machineId = await addTestMachine(app);
    const body = nilCheckOf(app, machineId);
    await moveAway(rider);
    const late = nilCheckOf(app, machineId);
    const { check, clearance } = await post(rider, "/v1/daily-checks", body);
    expect([check.flags, clearance.decision]).toEqual([expect.arrayContaining(["other-depot"]), "ride"]);
    await post(rider, "/v1/daily-checks", late, 403, "other-depot");
    await post(rider, "/v1/daily-checks", { ...late, answers: [] }, 403, "other-depot");
    await post("R101", "/v1/daily-checks", nilCheckOf(app, machineId), 403, "other-depot");
    await post("R101", "/v1/daily-checks", { ...nilCheckOf(app, machineId), performedAt: "1999-01-01T00:00:00Z" }, 403, "other-depot");
  });

  test("made before the machine moved is kept and clears nobody at its new depot", async () => {
    const machineId = await addTestMachine(app);
    const body = nilCheckOf(app, machineId);
    await move(machineId, app.cast.farDepotId);
    const { clearance } = await post("R001", "/v1/daily-checks", body);
    expect(codes(clearance.reasons)).toEqual(["moved-since-check"]);
    expect((await onBoard(as, machineId)).standing).toBe("unchecked");
    expect((await post("R101", "/v1/daily-checks", nilCheckOf(app, machineId))).clearance.decision).toBe("ride");
  });
});

test("a repetition gets its receipt after machine or sender have moved, and nobody else gets it", async () => {
  const rider = await addPerson("rider");
  const machineId = await addTestMachine(app);
  const body = nilCheckOf(app, machineId);
  const first = await post(rider, "/v1/daily-checks", body);
  await move(machineId, app.cast.farDepotId);
  expect(await post(rider, "/v1/daily-checks", body, 200)).toEqual(first);
  await move(machineId, app.cast.homeDepotId);
  await moveAway(rider);
  expect(await post(rider, "/v1/daily-checks", body, 200)).toEqual(first);
  await post("R001", "/v1/daily-checks", body, 422, "id-reused");
});

test("what somebody has recorded stays theirs to read when the machine has moved", async () => {
  const machineId = await addTestMachine(app);
  const { check } = await post("R001", "/v1/daily-checks", nilCheckOf(app, machineId));
  await move(machineId, app.cast.farDepotId);
  const late = await post("R001", "/v1/daily-checks", { ...checkFinding(app, machineId, "horn.weak"), performedAt: check.performedAt });
  for (const { id } of [check, late.check]) await expectAnswer((await as("R001")).get(`/v1/daily-checks/${id}`), 200);
  const { items } = await expectAnswer((await as("R001")).get("/v1/daily-checks").query({ machineId }), 200);
  expect(new Set(items.map(({ id }: { id: string }) => id))).toEqual(new Set([check.id, late.check.id]));
  await expectAnswer((await as("R002")).get(`/v1/daily-checks/${late.check.id}`), 404, "not-found");
});

test("a repair is taken from a mechanic who was of the depot when it was done; a sign-off is asked for now", async () => {
  const mechanic = await addPerson("mechanic");
  const machineId = await addTestMachine(app);
  const { defect } = await post("R001", "/v1/defects", reportOf(app, machineId, "horn.silent"));
  tick();
  const repair = repairOf(app);
  await moveAway(mechanic);
  await post(mechanic, `/v1/defects/${defect.id}/repairs`, repair);
  await post(mechanic, `/v1/defects/${defect.id}/repairs`, repairOf(app), 403, "other-depot");
  await post(mechanic, `/v1/defects/${defect.id}/sign-off`, { id: randomUUID() }, 403, "other-depot");
});

test("a machine that comes to another depot is unchecked there, and its rider is told so", async () => {
  const machineId = await addTestMachine(app);
  await post("M001", "/v1/daily-checks", nilCheckOf(app, machineId));
  expect((await onBoard(as, machineId)).standing).toBe("fit");
  await move(machineId, app.cast.farDepotId);
  expect(await onBoard(as, machineId)).toMatchObject({ standing: "unchecked", reasons: [{ code: "unchecked" }] });
  const kit = await expectAnswer((await as("R101")).get("/v1/field-kit").query({ depotId: app.cast.farDepotId }), 200);
  expect(kit.items.find(({ id }: { id: string }) => id === machineId).state.clearances).toEqual([]);
});

test("and every state can be rebuilt from its records", () => expectAgreement(app.context));
