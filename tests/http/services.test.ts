// Brake fluid, valves, coolant by the handbook's interval, over HTTP: the model, the sheet, the inspection, the forecast and the plan.
import { expect, test } from "vitest";
import type { Handbook } from "../../shared/contracts/machine-model.ts";
import { rebuildState } from "../../src/acts/index.ts";
import { expectAnswer } from "../support/acts.ts";
import { answersAsNew } from "../support/answers-as-new.ts";
import { chainMachine, testHandbook, testMachine } from "../support/machines.ts";
import { addTestMachine, inspectionOf } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";

const { app, as } = testService();

const features = {
  ...chainMachine,
  brakes: { front: { kind: "disc-hydraulic", workedBy: "hand" }, rear: { kind: "drum-rod", workedBy: "foot" } },
  cooling: "liquid",
} as const;
const { brakeFreeTravel, ...others } = testHandbook;
const handbook: Handbook = {
  ...others,
  brakeFreeTravel: { rear: brakeFreeTravel.rear },
  brakeFluid: { everyDays: 730 },
  valveClearance: { everyKm: 300 },
  coolant: { everyDays: 10 },
};

const addMachineOf = async (name: string): Promise<string> => {
  const manager = await as("F001");
  const model = await expectAnswer(manager.post("/v1/models").send({ name, engineCc: 110, features, handbook }), 201);
  const registrationMark = `S${name.replace(/\W/g, "")}`.slice(0, 8).toUpperCase();
  const body = {
    registrationMark,
    vin: null,
    modelId: model.id,
    depotId: app.cast.homeDepotId,
    odometerKm: 1000,
    inServiceFrom: "2026-01-01",
  };
  return (await expectAnswer(manager.post("/v1/machines").send(body), 201)).id;
};

const inspect = async (machineId: string, odometerKm: number, actions: Readonly<Record<string, ("replaced" | "adjusted")[]>> = {}) => {
  const answers = answersAsNew({ ...testMachine, features, handbook }).map((answer) => ({
    ...answer,
    ...(actions[answer.itemId] ? { actions: actions[answer.itemId] } : {}),
  }));
  const receipt = await expectAnswer(
    (await as("M001")).post("/v1/weekly-inspections").send(inspectionOf(app, machineId, { odometerKm, answers })),
    201,
  );
  expect((await rebuildState(app.context.db, machineId))?.differences).toEqual([]);
  return receipt.guidance.map(({ code, itemId }: { code: string; itemId: string }) => `${itemId} ${code}`);
};
const serviceAt = async (machineId: string, itemId: string) => {
  const sheet = await expectAnswer((await as("M001")).get(`/v1/machines/${machineId}/sheet`).query({ kind: "weekly" }), 200);
  return sheet.stations
    .flatMap(({ items }: { items: { id: string; oil?: object }[] }) => items)
    .find(({ id }: { id: string }) => id === itemId).oil;
};

test("what is due stands on the sheet, in the guidance, in the forecast and in the plan, until it is entered as done", async () => {
  const machineId = await addMachineOf("Serviced 1");
  expect(await inspect(machineId, 1000)).toEqual([]);
  expect(await serviceAt(machineId, "front-hydraulics")).toMatchObject({ due: false, daysLeft: 730 });
  expect(await serviceAt(machineId, "valve-clearance")).toMatchObject({ due: false, kmLeft: 300 });
  app.context.clock.advance(10 * 86_400_000);
  expect(await inspect(machineId, 1350)).toEqual(["coolant-level service-due", "valve-clearance service-due"]);
  const forecast = async () => (await expectAnswer((await as("F001")).get(`/v1/machines/${machineId}/forecast`), 200)).services;
  expect((await forecast()).map(({ itemId, due, by }: { itemId: string; due: boolean; by: string }) => [itemId, due, by])).toEqual([
    ["front-hydraulics", false, null],
    ["coolant-level", true, "days"],
    ["valve-clearance", true, "distance"],
  ]);
  const plan = await expectAnswer((await as("F001")).get("/v1/readiness/plan").query({ depotId: app.cast.homeDepotId, days: 7 }), 200);
  const jobs = [...plan.late, ...plan.days.flatMap(({ jobs: ofDay }: { jobs: object[] }) => ofDay)].filter(
    (job: { machineId: string; kind: string }) => job.machineId === machineId && job.kind === "service",
  );
  expect(new Set(jobs.map(({ text }: { text: string }) => text))).toEqual(
    new Set(["Due by the handbook: Coolant and its hoses", "Due by the handbook: Valve clearance"]),
  );
  app.context.clock.advance(3_600_000);
  expect(await inspect(machineId, 1350, { "coolant-level": ["replaced"], "valve-clearance": ["adjusted"] })).toEqual([]);
  expect(await forecast()).toMatchObject([
    { changed: false },
    { changed: true, kmSince: 0, due: false },
    { changed: true, kmSince: 0, due: false },
  ]);
});

test("an interval for what the machine does not have is refused, each by its own field", async () => {
  const plain = { name: "Serviced 2", engineCc: 49, features: { ...chainMachine, power: "two-stroke" }, handbook: {} };
  const every = { everyDays: 730 };
  const body = { ...plain, handbook: { brakeFluid: every, valveClearance: every, belt: every, coolant: every } };
  const problem = await expectAnswer((await as("F001")).post("/v1/models").send(body), 422, "not-valid");
  expect(problem.issues.map(({ pointer }: { pointer: string }) => pointer)).toEqual([
    "/handbook/brakeFluid",
    "/handbook/valveClearance",
    "/handbook/belt",
    "/handbook/coolant",
  ]);
});

test("a machine whose handbook has none of them is asked for none", async () => {
  const machineId = await addTestMachine(app);
  expect(await serviceAt(machineId, "valve-clearance")).toBeUndefined();
});
