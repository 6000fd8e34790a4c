// Advisories: worth watching, no last day, they ground nothing; the next inspection says of each whether it is still so, gone, or worse.
import { randomUUID } from "node:crypto";
import { describe, expect, test } from "vitest";
import type { WeeklyAnswer, WeeklyInspectionReceipt } from "../../shared/contracts/checks.ts";
import { rebuildState } from "../../src/acts/index.ts";
import { expectAnswer, onBoard, reportOf } from "../support/acts.ts";
import { addTestMachine, checkFinding, inspectionFinding, inspectionOf, nilCheckOf } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";

const { app, as } = testService();

const post = async (who: string, path: string, body: object, status = 201, code?: string) =>
  expectAnswer((await as(who)).post(path).send(body), status, code);
/** An inspection made a minute later, which says this of an advisory at an item. */
async function inspect(
  machineId: string,
  itemId: string,
  said: Partial<WeeklyAnswer>,
  { who = "M001", status = 201, code }: { who?: string; status?: number; code?: string } = {},
): Promise<WeeklyInspectionReceipt> {
  app.context.clock.advance(60_000);
  const { answers, ...body } = inspectionOf(app, machineId);
  const saying = answers.map((answer) => (answer.itemId === itemId ? { ...answer, ...said } : answer));
  return post(who, "/v1/weekly-inspections", { ...body, answers: saying }, status, code);
}
/** A machine with an advisory at its load box, found by an inspection. */
async function scratched(): Promise<{ machineId: string; defectId: string }> {
  const machineId = await addTestMachine(app);
  app.context.clock.advance(60_000);
  const { defects } = await post("M001", "/v1/weekly-inspections", inspectionFinding(app, machineId, "load-mounting.scratched"));
  expect(defects).toMatchObject([{ category: "advisory", status: "open", dueDay: null }]);
  return { machineId, defectId: defects[0].id };
}
const defectOf = async (id: string) => expectAnswer((await as("M001")).get(`/v1/defects/${id}`), 200);

describe("an advisory", () => {
  test("of a rider leaves the clearance as it was, and stands in no plan", async () => {
    const machineId = await addTestMachine(app);
    const receipt = await post("R001", "/v1/daily-checks", checkFinding(app, machineId, "steering.grip-worn"));
    expect(receipt).toMatchObject({ clearance: { decision: "ride", reasons: [] }, defects: [{ category: "advisory", dueDay: null }] });
    expect(await onBoard(as, machineId)).toMatchObject({ standing: "fit", reasons: [] });
    const plan = await expectAnswer((await as("F001")).get("/v1/readiness/plan").query({ depotId: app.cast.homeDepotId, days: 14 }), 200);
    const jobs = (plan.days as { jobs: { machineId: string; kind: string }[] }[]).flatMap((day) => day.jobs);
    expect(jobs.filter((job) => job.machineId === machineId && job.kind.endsWith("repair"))).toEqual([]);
    app.context.clock.advance(8 * 86_400_000);
    expect((await onBoard(as, machineId)).reasons.map(({ code }) => code)).toEqual(["inspection-overdue", "unchecked"]);
  });

  test("is asked about at the next inspection, which cannot be signed without a word on it", async () => {
    const { machineId, defectId } = await scratched();
    const refused = await inspect(machineId, "load-mounting", {}, { status: 422, code: "inspection-not-whole" });
    expect(refused).toMatchObject({ issues: [{ pointer: expect.stringMatching(/^\/answers\/\d+\/advisories$/) }] });

    const stays = await inspect(machineId, "load-mounting", { advisories: [{ defectId, now: "stays" }] });
    expect(stays.defects).toMatchObject([{ id: defectId, sighting: true, category: "advisory" }]);
    expect(await defectOf(defectId)).toMatchObject({ category: "advisory", status: "open", sightings: 2, dueDay: null });

    const gone = await inspect(machineId, "load-mounting", { advisories: [{ defectId, now: "gone" }] });
    expect(gone.closed).toMatchObject([{ id: defectId, status: "not-found" }]);
    await inspect(machineId, "load-mounting", {});
    expect((await rebuildState(app.context.db, machineId))?.differences).toEqual([]);
  });

  test("that is worse is raised by what is seen now: one defect, graver, with its day", async () => {
    const { machineId, defectId } = await scratched();
    await inspect(machineId, "load-mounting", { advisories: [{ defectId, now: "worse" }] }, { status: 422, code: "inspection-not-whole" });
    const worse = await inspect(machineId, "load-mounting", {
      ...{ result: "defect", observationIds: ["load-mounting.bracket-cracked"] },
      advisories: [{ defectId, now: "worse" }],
    });
    expect(worse).toMatchObject({ standing: "grounded", defects: [{ id: defectId, sighting: true, category: "major" }] });
    expect((await rebuildState(app.context.db, machineId))?.differences).toEqual([]);
  });

  test("seen by a rider at the daily item is asked about at the weekly one of its part, and work there closes it as signed off", async () => {
    const machineId = await addTestMachine(app);
    const { defects } = await post("R001", "/v1/daily-checks", checkFinding(app, machineId, "steering.grip-worn"));
    const advisories = [{ defectId: defects[0].id, now: "gone" as const }];
    const receipt = await inspect(machineId, "handlebars", { actions: ["replaced"], advisories });
    expect(receipt.closed).toMatchObject([{ id: defects[0].id, status: "signed-off" }]);
  });

  test("is neither put off nor closed by one without the competence, and a rider cannot make one of what is graver", async () => {
    const { machineId, defectId } = await scratched();
    const untilDay = app.context.clock.now().toISOString().slice(0, 10);
    await post("M001", `/v1/defects/${defectId}/deferral`, { id: randomUUID(), untilDay, reason: "Later" }, 409, "only-minor-deferred");
    const { defect } = await post("R001", "/v1/defects", reportOf(app, machineId, "bodywork.carrier-loose"));
    expect(defect).toMatchObject({ id: defectId, category: "major" });
    expect((await post("R001", "/v1/defects", reportOf(app, machineId, "bodywork.carrier-loose"))).defect.category).toBe("major");
  });
});

describe("re-grading", () => {
  test("a minor defect is lowered to an advisory by a mechanic with the competence, and its day goes", async () => {
    const machineId = await addTestMachine(app);
    const { defects } = await post("R001", "/v1/daily-checks", checkFinding(app, machineId, "horn.weak"));
    const path = `/v1/defects/${defects[0].id}/regrades`;
    const body = { id: randomUUID(), category: "advisory", reason: "Weak, and well above what is needed" };
    await post("M003", path, body, 403, "competence-missing");
    const { defect } = await post("M001", path, body);
    expect(defect).toMatchObject({ category: "advisory", dueDay: null, status: "open" });
    app.context.clock.advance(60_000);
    expect((await post("R001", "/v1/daily-checks", nilCheckOf(app, machineId))).clearance.decision).toBe("ride");
    expect((await rebuildState(app.context.db, machineId))?.differences).toEqual([]);
  });

  test("what grounds steering, wheels or brakes is lowered to an advisory by two who looked, as it is to minor", async () => {
    const machineId = await addTestMachine(app);
    const { defects } = await post("R001", "/v1/daily-checks", checkFinding(app, machineId, "front-brake-cable.frayed"));
    const path = `/v1/defects/${defects[0].id}/regrades`;
    const said = () => ({ id: randomUUID(), category: "advisory", reason: "A wisp of the sheath, not a strand" });
    await post("M001", path, said());
    expect((await onBoard(as, machineId)).standing).toBe("grounded");
    await post("M002", path, said());
    expect((await onBoard(as, machineId)).standing).not.toBe("grounded");
    expect(await defectOf(defects[0].id)).toMatchObject({ category: "advisory", dueDay: null });
  });
});
