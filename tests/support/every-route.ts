// Every route of the table as a test calls it: at an address with real ids, by somebody who may, with a body that it takes.
import { randomUUID } from "node:crypto";
import type { Response } from "supertest";
import { expect } from "vitest";
import type { Role } from "../../shared/contracts/common.ts";
import type { Route } from "../../src/platform/index.ts";
import { allRoutes } from "../../src/rooms.ts";
import { type As, peopleAtHand, repairOf, reportOf } from "./acts.ts";
import { type Client, openTestApp, type TestApp } from "./app.ts";
import { testModel } from "./machines.ts";
import { addTestMachine, checkFinding, inspectionOf, nilCheckOf } from "./sheets.ts";
import { stored } from "./small-fleet.ts";

export const writing = allRoutes.filter(({ method }) => method !== "GET");
export const taking = writing.filter(({ body }) => body !== undefined);
export const takingJson = taking.filter(({ bodyMediaTypes }) => bodyMediaTypes === undefined);
export const personOf: Readonly<Record<Role, string>> = { rider: "R001", mechanic: "M001", manager: "F001", auditor: "A001" };
export const roles: readonly Role[] = ["rider", "mechanic", "manager", "auditor"];
export const mayCall = ({ who }: Route, role: Role): boolean => who === "anyone" || who === "signed-in" || who.includes(role);

type Method = "get" | "post" | "put" | "patch";

export interface EveryRoute {
  readonly app: TestApp;
  readonly as: As;
  readonly machineId: string;
  /** the call at its address, with real ids in it or with `id` */
  call(client: Client, definition: Route, id?: string): ReturnType<Client["get"]>;
  /** somebody who may call it */
  callerOf(definition: Route): Promise<Client>;
  /** a body that each writing route takes, as far as its shape goes, by operation */
  samples(): Readonly<Record<string, Record<string, unknown>>>;
  /** Sends to every route of `routes` and expects that nothing at all was written. */
  nothingWritten(routes: readonly Route[], send: (definition: Route) => Promise<void>): Promise<void>;
}

/** Opens the service with a machine and a defect at hand; `app.close` ends it. */
export async function openEveryRoute(): Promise<EveryRoute> {
  const app = await openTestApp();
  const as = peopleAtHand(app);
  const machineId = await addTestMachine(app);
  const check = nilCheckOf(app, machineId);
  await (await as("R001")).post("/v1/daily-checks").send(check).expect(201);
  const inspection = inspectionOf(app, machineId);
  await (await as("M001")).post("/v1/weekly-inspections").send(inspection).expect(201);
  const report = await (await as("R001"))
    .post("/v1/defects")
    .send(reportOf(app, machineId, "horn.weak"))
    .expect(201);
  const paper = { kind: "insurance", number: "1", validFrom: "2026-01-01", validTo: "2026-12-31" };
  const added = await (await as("F001")).post(`/v1/machines/${machineId}/papers`).send(paper).expect(201);
  const fall = { id: randomUUID(), happenedAt: app.context.clock.now().toISOString(), hit: "fell-over-standing" };
  const fell = await (await as("R001"))
    .post(`/v1/machines/${await addTestMachine(app)}/falls`)
    .send(fall)
    .expect(201);
  const out = outsideWorkOf(app);
  await (await as("M001"))
    .post(`/v1/machines/${await addTestMachine(app)}/outside-work`)
    .send(out)
    .expect(201);
  const modelId = (await (await as("F001")).get("/v1/models").expect(200)).body.items[0].id;
  const campaign = campaignOf(modelId);
  await (await as("F001")).post("/v1/campaigns").send(campaign).expect(201);
  const others = {
    ...{ defects: report.body.defect.id, depots: app.cast.homeDepotId, models: modelId, staff: app.cast.staffId("R002") },
    ...{ papers: added.body.id, allocations: app.cast.homeDepotId, falls: fell.body.fall.id, "outside-work": out.id },
    ...{ campaigns: campaign.id, "daily-checks": check.id },
    ...{ "weekly-inspections/drafts": machineId, "weekly-inspections": inspection.id },
  };
  const addressOf = ({ path }: Route, id?: string): string => {
    const real = Object.entries(others).find(([first]) => path.startsWith(`/v1/${first}/`))?.[1] ?? machineId;
    return path
      .replace(":number", id ?? "4711-08")
      .replace(/:\w+/, id ?? real)
      .replace(":day", "2026-07-13");
  };
  return {
    app,
    as,
    machineId,
    call: (client, definition, id) => client[definition.method.toLowerCase() as Method](addressOf(definition, id)),
    callerOf: async (definition) => {
      if (definition.who === "anyone") return app.anyone;
      const role = roles.findLast((one) => mayCall(definition, one));
      return as(personOf[role ?? "manager"]);
    },
    samples: () => samplesFor(app, machineId, modelId),
    nothingWritten: async (routes, send) => {
      const before = await stored(app.context.db);
      for (const definition of routes) await send(definition);
      expect(await stored(app.context.db)).toBe(before);
    },
  };
}

/** Expects a problem of the catalogue, as a problem is written. */
export function expectProblem(answer: Response, status: number, code: string, about: string): void {
  expect({ status: answer.status, code: answer.body.code }, `${about}: ${answer.text}`).toEqual({ status, code });
  expect(answer.headers["content-type"], about).toContain("application/problem+json");
  expect(answer.body, about).toMatchObject({ type: `/problems/${code}`, title: expect.any(String), detail: expect.any(String) });
}

/** What is asked beside the id where a route needs it. */
export const queries: Readonly<Record<string, object>> = { checkSheet: { kind: "daily" } };

const campaignOf = (modelId: string) => ({
  ...{ id: randomUUID(), name: "Stand bolts", modelIds: [modelId] },
  ...{ job: "Tighten both bolts of the stand", grounds: false, dueDay: "2029-12-31" },
});

const outsideWorkOf = (app: TestApp) => ({
  ...{ id: randomUUID(), since: app.context.clock.now().toISOString(), workshop: "Harbour Street", reason: "Ignition" },
  expectedDay: "2029-12-31",
});

function samplesFor(app: TestApp, machineId: string, modelId: string): Readonly<Record<string, Record<string, unknown>>> {
  const id = randomUUID();
  const secret = "a secret of some length";
  const first = (answers: readonly unknown[]) => answers.slice(0, 2);
  return {
    signIn: { staffNumber: "Z999", secret },
    renewSignIn: { refreshToken: "x" },
    addStaff: { staffNumber: `X${id.slice(0, 6)}`, name: "Somebody", role: "mechanic", allDepots: true, competences: ["brakes"], secret },
    changeSecret: { current: "not the present one", secret },
    amendStaff: { name: "Somebody Else" },
    changePolicy: { clearanceHours: 14 },
    addDepot: { name: id, timeZone: "Europe/London", workshopHoursPerDay: 8 },
    saveInspectionDraft: { machineId, sheetVersion: "2026-11", revision: 0, odometerKm: 1000, answers: [], notes: "Later" },
    amendDepot: { name: "Home", workshopHoursPerDay: 8 },
    addModel: testModel(id),
    reviseModel: { ...testModel(id), revision: 1 },
    addMachine: {
      registrationMark: `Q${id.slice(0, 6)}`,
      modelId,
      depotId: app.cast.homeDepotId,
      odometerKm: 1,
      inServiceFrom: "2026-07-01",
      vin: null,
    },
    amendMachine: { odometerKm: 1200, reason: "New meter" },
    endPaper: { id, day: "2026-07-13", reason: "cancelled", note: "Sold" },
    addPaper: { id, kind: "insurance", number: "1", validFrom: "2026-01-01", validTo: "2026-12-31" },
    allocateMachines: {
      depotId: app.cast.homeDepotId,
      day: "2026-07-13",
      riders: [{ staffId: app.cast.staffId("R001"), licenceClass: "A1", needsLoadBox: true }],
    },
    recordStock: { id, depotId: app.cast.homeDepotId, how: "counted", quantity: 3, at: app.context.clock.now().toISOString() },
    keepPart: { name: "Brake cable", fromDay: "2026-07-01", priceMinor: null },
    keepAllocation: { allocations: [{ staffId: app.cast.staffId("R001"), machineId }] },
    reportDefect: reportOf(app, machineId, "horn.weak", { note: "Weak", itemId: "horn", photoIds: [id] }),
    recordRepair: repairOf(app, { minutes: 5 }),
    signOffDefect: { id, statement: "Gone", reading: { value: 1, unit: "mm" } },
    deferDefect: { id, untilDay: "2026-07-14", reason: "No part" },
    waitForPart: { id, part: "Rear tyre", reason: "Safe to ride", expectedDay: "2026-07-14" },
    reportFall: { id, happenedAt: app.context.clock.now().toISOString(), hit: "slid", bent: ["levers"], note: "Wet", photoIds: [id] },
    addCampaign: { ...campaignOf(modelId), machineIds: [machineId] },
    endCampaign: { id, reason: "Entered by mistake" },
    sendOut: outsideWorkOf(app),
    takeBack: { id, returnedAt: app.context.clock.now().toISOString(), workDone: "New coil", photoIds: [id], costMinor: 41_250 },
    addDefectNote: { id, note: "Ordered" },
    recordNotFound: { id, reason: "Nothing" },
    placeHold: { id, machineId, reason: "Accident on the bridge" },
    liftHold: { reason: "Settled" },
    anonymiseStaff: { reason: "Asked for in writing" },
    regradeDefect: { id, category: "major", reason: "Worse" },
    submitDailyCheck: {
      ...checkFinding(app, machineId, "horn.weak", { proof: { value: 1000, unit: "km" } }),
      answers: [{ itemId: "horn", result: "defect", observationIds: ["horn.weak"], note: "Weak", photoIds: [id] }],
    },
    correctRecord: { id, pointer: "/submitted/odometerKm", right: 1052, reason: "Two figures swapped" },
    requestAuditPack: { month: "2026-07", depotId: app.cast.homeDepotId },
    submitWeeklyInspection: { ...inspectionOf(app, machineId), answers: first(inspectionOf(app, machineId).answers), durationSeconds: 600 },
  };
}
