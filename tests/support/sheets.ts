// A model and machines for tests over HTTP, made through the service's own doors, and the bodies that are sent about them.
import { randomUUID } from "node:crypto";
import { isKnownSheet, itemsFor, SHEET_VERSION } from "../../shared/catalogue/sheet.ts";
import type { DailyAnswer, DailyCheckBody, WeeklyInspectionBody } from "../../shared/contracts/checks.ts";
import { answersAsNew } from "./answers-as-new.ts";
import type { TestApp } from "./app.ts";
import { chainMachine, testMachine, testModel } from "./machines.ts";

/** Adds the test model once and a machine of it; answers the machine's id. `inspected` also gives it the first-use inspection. */
export async function addTestMachine(
  app: TestApp,
  { mark = `T${randomUUID().slice(0, 7)}`, depotId = app.cast.homeDepotId, inspected = true } = {},
): Promise<string> {
  const manager = await app.signIn("F001");
  const models = await manager.get("/v1/models").query({ limit: 200 });
  let model = (models.body.items as { id: string; name: string }[]).find(({ name }) => name === "Test model");
  if (!model) {
    const added = await manager.post("/v1/models").send(testModel("Test model"));
    if (added.status !== 201) throw new Error(added.text);
    model = added.body as { id: string; name: string };
  }
  const inServiceFrom = app.context.clock.now().toISOString().slice(0, 10);
  const machine = await manager
    .post("/v1/machines")
    .send({ registrationMark: mark, modelId: model.id, depotId, odometerKm: 1000, inServiceFrom });
  if (machine.status !== 201) throw new Error(machine.text);
  const machineId = machine.body.id as string;
  if (inspected) {
    const mechanic = await app.signIn("M001");
    const inspection = await mechanic.post("/v1/weekly-inspections").send(inspectionOf(app, machineId));
    if (inspection.status !== 201) throw new Error(inspection.text);
  }
  return machineId;
}

/** A nil-defect check made now. */
export const nilCheckOf = (app: TestApp, machineId: string, changes: Partial<DailyCheckBody> = {}): DailyCheckBody => ({
  id: randomUUID(),
  machineId,
  sheetVersion: SHEET_VERSION,
  performedAt: app.context.clock.now().toISOString(),
  durationSeconds: 59,
  odometerKm: 1000,
  answers: nilOn(changes.sheetVersion),
  ...changes,
});

/** Every item of that version answered "ok"; of the newest where the version never was. */
const nilOn = (version: string = SHEET_VERSION): DailyAnswer[] =>
  itemsFor(chainMachine, "daily", isKnownSheet(version) ? version : SHEET_VERSION).map(({ id }) => ({ itemId: id, result: "ok" }));

/** A check made now that finds `observationId` and nothing else. */
export function checkFinding(
  app: TestApp,
  machineId: string,
  observationId: string,
  changes: Partial<DailyCheckBody> = {},
): DailyCheckBody {
  const itemId = observationId.split(".")[0] ?? "";
  const answers = nilOn(changes.sheetVersion).map((answer) =>
    answer.itemId === itemId ? { itemId, result: "defect" as const, observationIds: [observationId] } : answer,
  );
  return nilCheckOf(app, machineId, { answers, ...changes });
}

/** A weekly inspection made now that finds `observationId` and nothing else. */
export function inspectionFinding(app: TestApp, machineId: string, observationId: string, changes: Partial<WeeklyInspectionBody> = {}) {
  const itemId = observationId.split(".")[0] ?? "";
  const answers = answersAsNew(testMachine).map((answer) =>
    answer.itemId === itemId ? { ...answer, result: "defect" as const, observationIds: [observationId] } : answer,
  );
  return inspectionOf(app, machineId, { answers, ...changes });
}

/** A weekly inspection made now on which all is as new. */
export const inspectionOf = (app: TestApp, machineId: string, changes: Partial<WeeklyInspectionBody> = {}): WeeklyInspectionBody => ({
  id: randomUUID(),
  machineId,
  sheetVersion: SHEET_VERSION,
  performedAt: app.context.clock.now().toISOString(),
  odometerKm: 1000,
  answers: answersAsNew(testMachine),
  ...changes,
});
