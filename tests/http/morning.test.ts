// The main job in one piece: a check, a defect that grounds, a repair, a sign-off by a second person, and the board beside it all.
import { randomUUID } from "node:crypto";
import { expect, test } from "vitest";
import { addTestMachine, checkFinding, nilCheckOf } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";

const { app } = testService();

const standingOf = async (machineId: string): Promise<string> => {
  const board = await (await app.signIn("F001")).get("/v1/readiness").query({ depotId: app.cast.homeDepotId });
  return board.body.machines.find((machine: { machineId: string }) => machine.machineId === machineId).standing;
};

test("a machine goes from unchecked to fit, is grounded by what a rider sees, and rides again only after repair, second person and a new check", async () => {
  const machineId = await addTestMachine(app);
  const [rider, other, mechanic, second] = await Promise.all(["R001", "R002", "M001", "M002"].map(app.signIn));
  if (!rider || !other || !mechanic || !second) throw new Error("the cast is not whole");
  expect(await standingOf(machineId)).toBe("unchecked");

  const nil = await rider.post("/v1/daily-checks").send(nilCheckOf(app, machineId));
  expect(nil.status, nil.text).toBe(201);
  expect(nil.body.clearance.decision).toBe("ride");
  expect(await standingOf(machineId)).toBe("fit");

  app.context.clock.advance(60_000);
  const found = await other.post("/v1/daily-checks").send(checkFinding(app, machineId, "front-brake-cable.frayed"));
  expect(found.status, found.text).toBe(201);
  expect(found.body.clearance.decision).toBe("do-not-ride");
  expect(await standingOf(machineId)).toBe("grounded");
  const [{ id: defectId }] = found.body.defects;

  app.context.clock.advance(60_000);
  const early = await second.post(`/v1/defects/${defectId}/sign-off`).send({ id: randomUUID() });
  expect([early.status, early.body.code]).toEqual([409, "repair-missing"]);
  const bodge = await mechanic
    .post(`/v1/defects/${defectId}/repairs`)
    .send({ id: randomUUID(), performedAt: app.context.clock.now().toISOString(), workDone: "Bound it up" });
  expect([bodge.status, bodge.body.code]).toEqual([422, "new-part-needed"]);
  const repair = await mechanic.post(`/v1/defects/${defectId}/repairs`).send({
    id: randomUUID(),
    performedAt: app.context.clock.now().toISOString(),
    workDone: "New front brake cable",
    parts: [{ name: "Front brake cable", quantity: 1 }],
  });
  expect(repair.status, repair.text).toBe(201);
  expect(await standingOf(machineId)).toBe("grounded");

  const self = await mechanic.post(`/v1/defects/${defectId}/sign-off`).send({ id: randomUUID(), reading: { value: 25, unit: "mm" } });
  expect([self.status, self.body.code]).toEqual([403, "second-person-needed"]);
  const unread = await second.post(`/v1/defects/${defectId}/sign-off`).send({ id: randomUUID() });
  expect([unread.status, unread.body.code]).toEqual([422, "reading-missing"]);
  const outside = await second.post(`/v1/defects/${defectId}/sign-off`).send({ id: randomUUID(), reading: { value: 45, unit: "mm" } });
  expect([outside.status, outside.body.code]).toEqual([422, "reading-outside"]);
  const off = await second.post(`/v1/defects/${defectId}/sign-off`).send({ id: randomUUID(), reading: { value: 25, unit: "mm" } });
  expect(off.status, off.text).toBe(201);
  expect(off.body.machine.standing).toBe("unchecked");
  expect(await standingOf(machineId)).toBe("unchecked");

  app.context.clock.advance(60_000);
  const again = await rider.post("/v1/daily-checks").send(nilCheckOf(app, machineId));
  expect(again.body.clearance.decision).toBe("ride");
  expect(await standingOf(machineId)).toBe("fit");
});
