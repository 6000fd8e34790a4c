// What a defect's paper tells of each sighting and of each reading: what was seen of this defect and no other, and the limit of its day.
import { randomUUID } from "node:crypto";
import { expect, test } from "vitest";
import { expectAnswer, repairOf, reportOf, throughItsCourse } from "../support/acts.ts";
import { testHandbook, testMachine } from "../support/machines.ts";
import { reportAt } from "../support/report-at.ts";
import { addTestMachine, checkFinding, inspectionFinding } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";

const { app, as } = testService();

const reportText = async (defectId: string, query: object = {}): Promise<string> =>
  (await reportAt(await as("M001"), `/v1/defects/${defectId}/report.pdf`, query)).read.text.replaceAll("\u00a0", " ");

test("what a weekly inspection saw again of a daily finding is told, though its item has another name", async () => {
  const machineId = await addTestMachine(app, { mark: "SEEN1" });
  app.context.clock.advance(60_000);
  const found = await expectAnswer(
    (await as("R001")).post("/v1/daily-checks").send(checkFinding(app, machineId, "bodywork.mirror-cracked")),
    201,
  );
  app.context.clock.advance(60_000);
  const again = inspectionFinding(app, machineId, "bodywork-weekly.mirror-cracked");
  const { defects } = await expectAnswer((await as("M001")).post("/v1/weekly-inspections").send(again), 201);
  expect(defects[0]).toMatchObject({ id: found.defects[0].id, sighting: true });
  const text = await reportText(found.defects[0].id);
  const course = text.slice(text.indexOf("Course"));
  expect(course).toMatch(
    /Found on a daily check by .*Seen: Mirror cracked or missing .*Seen again on a weekly inspection by [^:]*Seen: Mirror/,
  );
});

test("of one report about two items each paper tells its own part", async () => {
  const machineId = await addTestMachine(app, { mark: "SEEN2" });
  app.context.clock.advance(60_000);
  const both = { ...reportOf(app, machineId, "x"), observationIds: ["horn.weak", "front-brake-cable.frayed"] };
  const { defect } = await expectAnswer((await as("R001")).post("/v1/defects").send(both), 201);
  const text = await reportText(defect.id);
  expect(text).toContain("Seen: Cable frayed: a strand is broken");
  expect(text).not.toContain("Weak");
});

test("a reading after work stands beside the limit that the handbook set on that day, whatever it says now", async () => {
  const machineId = await addTestMachine(app, { mark: "THEN1" });
  const defectId = await throughItsCourse(app, as, machineId, "front-brake-cable.frayed", { value: 25, unit: "mm" });
  const before = app.context.clock.now().toISOString();
  expect(await reportText(defectId)).toContain("20 mm to 30 mm");
  app.context.clock.advance(60_000);
  const manager = await as("F001");
  const { items } = await expectAnswer(manager.get("/v1/models"), 200);
  const handbook = { ...testHandbook, brakeFreeTravel: { ...testHandbook.brakeFreeTravel, front: { minMm: 10, maxMm: 15 } } };
  const { features, engineCc } = testMachine;
  await expectAnswer(
    manager.put(`/v1/models/${items[0].id}`).send({ name: "Test model", engineCc, features, handbook, revision: items[0].revision }),
    200,
  );
  for (const query of [{}, { at: before }]) {
    const text = await reportText(defectId, query);
    expect(text).toContain("left 25 mm (within; 20 mm to 30 mm)");
    expect(text).not.toContain("10 mm to 15 mm");
  }
  // What is done from now on is held against what the handbook says from now on.
  app.context.clock.advance(60_000);
  const { defect } = await expectAnswer(
    (await as("R001")).post("/v1/defects").send(reportOf(app, machineId, "front-brake-cable.frayed")),
    201,
  );
  app.context.clock.advance(60_000);
  await expectAnswer((await as("M001")).post(`/v1/defects/${defect.id}/repairs`).send(repairOf(app)), 201);
  app.context.clock.advance(60_000);
  const signOff = { id: randomUUID(), reading: { value: 12, unit: "mm" } };
  await expectAnswer((await as("M002")).post(`/v1/defects/${defect.id}/sign-off`).send(signOff), 201);
  expect(await reportText(defect.id)).toContain("left 12 mm (within; 10 mm to 15 mm)");
});
