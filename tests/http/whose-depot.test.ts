// Whose depot a call is about, as its row says it: at every such door somebody of another depot is refused, and somebody of all is not.
import { randomUUID } from "node:crypto";
import { beforeAll, expect, test } from "vitest";
import { z } from "zod";
import { SHEET_VERSION } from "../../shared/catalogue/sheet.ts";
import type { Route } from "../../src/platform/index.ts";
import { allRoutes } from "../../src/rooms.ts";
import { expectAnswer, reportOf } from "../support/acts.ts";
import { expectProblem, mayCall, queries } from "../support/every-route.ts";
import { plainPicture } from "../support/pictures.ts";
import { addTestMachine, inspectionOf, nilCheckOf } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";

const { app, as } = testService();
/** one of each kind, of the home depot */
let ofHome: Readonly<Record<string, string>>;

beforeAll(async () => {
  const [rider, mechanic, manager] = [await as("R001"), await as("M001"), await as("F001")];
  const machine = await addTestMachine(app);
  const inspection = inspectionOf(app, machine);
  await expectAnswer(mechanic.post("/v1/weekly-inspections").send(inspection), 201);
  const check = nilCheckOf(app, machine);
  await expectAnswer(rider.post("/v1/daily-checks").send(check), 201);
  const photo = randomUUID();
  const bytes = await plainPicture("jpeg");
  await expectAnswer(rider.post("/v1/photos").query({ id: photo }).type("image/jpeg").send(bytes), 201);
  const defect = reportOf(app, machine, "horn.weak", { photoIds: [photo] });
  await expectAnswer(rider.post("/v1/defects").send(defect), 201);
  const fall = { id: randomUUID(), happenedAt: app.context.clock.now().toISOString(), hit: "fell-over-standing" };
  await expectAnswer(rider.post(`/v1/machines/${await addTestMachine(app)}/falls`).send(fall), 201);
  const out = { id: randomUUID(), since: app.context.clock.now().toISOString(), workshop: "Harbour Street", reason: "Ignition" };
  const away = `/v1/machines/${await addTestMachine(app)}/outside-work`;
  await expectAnswer(mechanic.post(away).send({ ...out, expectedDay: "2029-12-31" }), 201);
  const campaign = {
    id: randomUUID(),
    name: "Stand bolts",
    machineIds: [machine],
    job: "Tighten them",
    grounds: false,
    dueDay: "2029-12-31",
  };
  await expectAnswer(manager.post("/v1/campaigns").send(campaign), 201);
  const draft = randomUUID();
  const begun = { machineId: machine, sheetVersion: SHEET_VERSION, revision: 0, answers: [] };
  await expectAnswer(mechanic.put(`/v1/weekly-inspections/drafts/${draft}`).send(begun), 200);
  const pack = await expectAnswer(manager.post("/v1/audit-packs").send({ month: "2026-07", depotId: app.cast.homeDepotId }), 202);
  ofHome = {
    ...{ machine, inspection: inspection.id, check: check.id, photo, defect: defect.id, fall: fall.id, draft, pack: pack.id },
    ...{ "outside-work": out.id, campaign: campaign.id },
    ...{ depot: app.cast.homeDepotId, record: check.id, person: app.cast.staffId("R002") },
  };
});

const reading = allRoutes.filter(({ method }) => method === "GET");
const ofObject = reading.filter(({ whose, path }) => whose.ask !== undefined && path.includes(":id"));
const ofView = reading.filter(({ whose }) => whose.name === "in view");

const get = async (staffNumber: string, { path, whose }: Route, query: object) =>
  (await as(staffNumber)).get(path.replace(":id", ofHome[whose.name] ?? "none of the kind")).query(query);

test("what `:id` stands for is shown to nobody of another depot", async () => {
  expect([...new Set(ofObject.map(({ whose }) => whose.name))].sort()).toEqual(Object.keys(ofHome).sort());
  for (const definition of ofObject) {
    const { operationId, whose } = definition;
    const query = queries[operationId] ?? {};
    expectProblem(await get("F101", definition, query), 403, "other-depot", operationId);
    if (!mayCall(definition, "rider")) continue;
    // Of another rider's check a rider does not even hear that it is there.
    const [status, code] = whose.name === "check" ? ([404, "not-found"] as const) : ([403, "other-depot"] as const);
    expectProblem(await get("R101", definition, query), status, code, `${operationId} as a rider`);
  }
});

test("it is shown to who has all depots", async () => {
  const inJson = ofObject.filter(({ answers }) => answers[200] instanceof z.ZodType);
  expect(inJson.length).toBeGreaterThan(10);
  for (const definition of inJson) {
    const answer = await get("F001", definition, queries[definition.operationId] ?? {});
    expect(answer.status, `${definition.operationId}: ${answer.text}`).toBe(200);
  }
});

test("a depot that is asked for is shown to nobody of another, and what none asks for by its machine neither", async () => {
  const wants = (definition: Route, field: string): boolean => definition.query instanceof z.ZodObject && field in definition.query.shape;
  expect(ofView.filter((definition) => !wants(definition, "depotId"))).toEqual([]);
  for (const definition of ofView) {
    const query = wants(definition, "month") ? { month: "2026-07" } : {};
    for (const [who, role] of [
      ["F101", "manager"],
      ["R101", "rider"],
    ] as const) {
      if (!mayCall(definition, role)) continue;
      const asked = { ...query, depotId: app.cast.homeDepotId };
      expectProblem(await get(who, definition, asked), 403, "other-depot", `${definition.operationId} as ${role}`);
    }
  }
  for (const [path, who] of [
    ["/v1/field-kit", "R101"],
    ["/v1/reports/labels.pdf", "F101"],
  ] as const) {
    expectProblem(await (await as(who)).get(path).query({ machineId: ofHome["machine"] }), 403, "other-depot", path);
  }
});
