// Several people at the same moment. On the embedded database there is one session; on a server they truly run side by side.
import { randomUUID } from "node:crypto";
import { expect, test } from "vitest";
import { expectAnswer, onBoard, repairOf, reportOf } from "../support/acts.ts";
import { onServer } from "../support/database.ts";
import { addTestMachine, checkFinding, nilCheckOf } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";

const { app, as } = testService();
const rounds = onServer() ? 12 : 3;

const chainOf = (machineId: string) =>
  app.context.db.rows<{ position: number; kind: string }>(
    "SELECT position, kind FROM ledger WHERE chain_id = $1::text::uuid ORDER BY position",
    [machineId],
  );
const clearancesOf = async (machineId: string) =>
  (
    await app.context.db.rows<{ held: unknown[] }>("SELECT state->'clearances' AS held FROM machine WHERE id = $1::text::uuid", [machineId])
  )[0]?.held;

test("of two mechanics who sign off at once one does, and the other is told that the defect is closed", async () => {
  for (let round = 0; round < rounds; round += 1) {
    const machineId = await addTestMachine(app);
    const { defect } = await expectAnswer((await as("R001")).post("/v1/defects").send(reportOf(app, machineId, "horn.silent")), 201);
    await expectAnswer((await as("M001")).post(`/v1/defects/${defect.id}/repairs`).send(repairOf(app)), 201);
    const mechanics = [await as("M001"), await as("M002")];
    const answers = await Promise.all(
      mechanics.map((mechanic) => mechanic.post(`/v1/defects/${defect.id}/sign-off`).send({ id: randomUUID() })),
    );
    expect(answers.map(({ status, body }) => `${status} ${body.code ?? ""}`).sort()).toEqual(["201 ", "409 defect-closed"]);
    expect((await chainOf(machineId)).filter(({ kind }) => kind === "defect-signed-off")).toHaveLength(1);
  }
});

test("a nil-defect check and a grounding at the same moment leave the machine grounded with nobody cleared, whichever is first", async () => {
  for (let round = 0; round < rounds; round += 1) {
    const machineId = await addTestMachine(app);
    const [rider, other] = [await as("R001"), await as("R002")];
    const nil = rider.post("/v1/daily-checks").send(nilCheckOf(app, machineId));
    const grounding = other.post("/v1/daily-checks").send(checkFinding(app, machineId, "fuel.drips"));
    const answers = await Promise.all(round % 2 === 0 ? [nil, grounding] : [grounding, nil]);
    expect(answers.map(({ status }) => status)).toEqual([201, 201]);
    expect((await onBoard(as, machineId)).standing).toBe("grounded");
    expect(await clearancesOf(machineId)).toEqual([]);
  }
});

test("sixteen different checks on one machine at once are all stored, in a chain without a gap", async () => {
  const machineId = await addTestMachine(app);
  const before = (await chainOf(machineId)).length;
  const rider = await as("R001");
  const answers = await Promise.all(Array.from({ length: 16 }, () => rider.post("/v1/daily-checks").send(nilCheckOf(app, machineId))));
  expect(answers.map(({ status }) => status)).toEqual(Array.from({ length: 16 }, () => 201));
  const positions = (await chainOf(machineId)).map(({ position }) => position);
  expect(positions).toEqual(Array.from({ length: before + 16 }, (_, index) => index + 1));
  const [row] = await app.context.db.rows<{ count: number; told: number }>(
    `SELECT record_count AS count, (SELECT max(position) FROM machine_state_history h WHERE h.machine_id = m.id) AS told
     FROM machine m WHERE id = $1::text::uuid`,
    [machineId],
  );
  expect(row).toEqual({ count: before + 16, told: before + 16 });
});

test("sixteen people who report the same defect at once raise one, seen sixteen times", async () => {
  const machineId = await addTestMachine(app);
  const rider = await as("R001");
  const answers = await Promise.all(
    Array.from({ length: 16 }, () => rider.post("/v1/defects").send(reportOf(app, machineId, "horn.silent"))),
  );
  expect(answers.map(({ status }) => status)).toEqual(Array.from({ length: 16 }, () => 201));
  expect(new Set(answers.map(({ body }) => body.defect.id)).size).toBe(1);
  const list = await expectAnswer((await as("F001")).get("/v1/defects").query({ machineId }), 200);
  expect(list.items.map(({ sightings }: { sightings: number }) => sightings)).toEqual([16]);
});

test("of two managers who add the same registration mark at once one does, and the other is told that it is taken", async () => {
  const manager = await as("F001");
  await addTestMachine(app);
  const modelId = (await expectAnswer(manager.get("/v1/models"), 200)).items[0].id;
  for (let round = 0; round < rounds; round += 1) {
    const body = { registrationMark: `RACE${round}`, modelId, depotId: app.cast.homeDepotId, odometerKm: 1, inServiceFrom: "2026-07-01" };
    const answers = await Promise.all([manager.post("/v1/machines").send(body), manager.post("/v1/machines").send(body)]);
    expect(answers.map(({ status, body: { code } }) => `${status} ${code ?? ""}`).sort()).toEqual(["201 ", "409 mark-taken"]);
  }
});

test("one id sent at once for two machines is stored for one of them and refused for the other", async () => {
  for (let round = 0; round < rounds; round += 1) {
    const machines = [await addTestMachine(app), await addTestMachine(app)] as const;
    const id = randomUUID();
    const rider = await as("R001");
    const answers = await Promise.all(machines.map((machineId) => rider.post("/v1/daily-checks").send(nilCheckOf(app, machineId, { id }))));
    const statuses = answers.map(({ status }) => status).sort((a, b) => a - b);
    expect(statuses[0]).toBe(201);
    expect([409, 422]).toContain(statuses[1]);
    const stored = (await Promise.all(machines.map(chainOf))).flat().filter(({ kind }) => kind === "daily-check");
    expect(stored).toHaveLength(1);
  }
});
