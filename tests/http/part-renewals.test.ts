// A part that is renewed ends its life as an event, by whatever door the work came: an inspection, a repair after a rider's find, a reading
// that only a new part gives. A tube is no tyre.
import { randomUUID } from "node:crypto";
import { expect, test } from "vitest";
import type { WeeklyAnswer } from "../../shared/contracts/checks.ts";
import { readMachineFacts } from "../../src/acts/index.ts";
import { collectMachine } from "../../src/reports/machine-roadworthiness/collect-machine.ts";
import { seriesOf, stretches } from "../../src/web/bench/wear-series.ts";
import { expectAnswer, repairOf, reportOf } from "../support/acts.ts";
import { answersAsNew } from "../support/answers-as-new.ts";
import { testMachine } from "../support/machines.ts";
import { addTestMachine, inspectionOf } from "../support/sheets.ts";
import { serviceForEach } from "../support/test-service.ts";

const { app, as } = serviceForEach();
// Each in a firm of its own: lives are counted over all machines.

const DAY_MS = 86_400_000;
type Changes = Readonly<Record<string, Partial<WeeklyAnswer>>>;
const renewed = { actions: ["replaced" as const], asLeft: 5 };

async function inspect(machineId: string, odometerKm: number, changes: Changes): Promise<void> {
  app.context.clock.advance(3 * DAY_MS);
  const answers = answersAsNew(testMachine).map((answer) => ({ ...answer, ...changes[answer.itemId] }));
  await expectAnswer((await as("M001")).post("/v1/weekly-inspections").send(inspectionOf(app, machineId, { odometerKm, answers })), 201);
}

/** A rider finds it, M001 repairs, M002 measures and signs off. */
async function findAndMend(machineId: string, observationId: string, parts: object[], reading?: object): Promise<void> {
  const step = () => app.context.clock.advance(60_000);
  step();
  const { defect } = await expectAnswer((await as("R001")).post("/v1/defects").send(reportOf(app, machineId, observationId)), 201);
  step();
  await expectAnswer((await as("M001")).post(`/v1/defects/${defect.id}/repairs`).send(repairOf(app, { parts })), 201);
  step();
  const signOff = { id: randomUUID(), ...(reading && { reading }) };
  await expectAnswer((await as("M002")).post(`/v1/defects/${defect.id}/sign-off`).send(signOff), 201);
}

const lifeOf = async (component: string) => {
  const { components } = await expectAnswer((await as("F001")).get("/v1/insight/component-life"), 200);
  return components.find((one: { component: string }) => one.component === component);
};
const forecastOf = async (machineId: string, quantity: string) => {
  const { forecasts } = await expectAnswer((await as("F001")).get(`/v1/machines/${machineId}/forecast`), 200);
  return forecasts.find((one: { quantity: string }) => one.quantity === quantity);
};
const mm = (value: number) => ({ value, unit: "mm" });

test("a tyre renewed after a rider's find ends its life there, and the new one begins its wear", async () => {
  const machineId = await addTestMachine(app);
  await inspect(machineId, 1200, { "rear-tyre-tread-weekly": renewed });
  await inspect(machineId, 2500, { "rear-tyre-tread-weekly": { asFound: 3.4 } });
  expect(await lifeOf("rear-tyre")).toMatchObject({ parts: 1, renewed: 0, running: 1 });
  await findAndMend(machineId, "rear-tyre-tread.cords-show", [{ name: "Tyre", quantity: 1 }], mm(5.2));
  await inspect(machineId, 3100, { "rear-tyre-tread-weekly": { asFound: 4.9 } });
  expect(await lifeOf("rear-tyre")).toMatchObject({ parts: 2, renewed: 1, running: 1, steps: [{ atKm: 1300, events: 1 }] });
  expect(await forecastOf(machineId, "rear-tread")).toMatchObject({ n: 2 });
});

test("the pages' chart of wear breaks where the papers' does: at a repair too, with the new part's reading on it", async () => {
  const machineId = await addTestMachine(app);
  await inspect(machineId, 1200, { "rear-tyre-tread-weekly": { asFound: 3.6 } });
  await inspect(machineId, 1800, { "rear-tyre-tread-weekly": { asFound: 3 } });
  await inspect(machineId, 2500, { "rear-tyre-tread-weekly": { asFound: 2.2 } });
  await findAndMend(machineId, "rear-tyre-tread.cords-show", [{ name: "Tyre", quantity: 1 }], mm(5.2));
  const signedOff = app.context.clock.now().toISOString();
  const forecast = await forecastOf(machineId, "rear-tread");
  expect(forecast.renewals).toEqual([{ at: signedOff, odometerKm: 2500, value: 5.2 }]);
  const { items } = await expectAnswer((await as("F001")).get("/v1/weekly-inspections").query({ machineId, limit: 60 }), 200);
  const points = seriesOf(items, [forecast]).find(({ quantity }) => quantity === "rear-tread")?.points ?? [];
  // The first-use inspection measured it as new.
  expect(points.slice(-2)).toMatchObject([
    { found: 2.2, renewed: null },
    { at: signedOff, found: null, left: 5.2, renewed: "after" },
  ]);
  expect(stretches(points).map((line) => line.at(-1)?.value)).toEqual([2.2]);
  const machine = await readMachineFacts(app.context, machineId, null);
  if (!machine) throw new Error("the machine is gone");
  const today = signedOff.slice(0, 10);
  const { wear } = await collectMachine(app.context, machine, { from: today, to: today }, null, "en");
  const onPaper = wear.find(({ quantity }) => quantity === "rear-tread")?.points ?? [];
  expect(onPaper.filter(({ isRenewed }) => isRenewed).map(({ value }) => value)).toEqual([5.2]);
});

test("a nail that took a new tube ends no tyre's life and begins no new wear", async () => {
  const machineId = await addTestMachine(app);
  await inspect(machineId, 1200, { "front-tyre-tread-weekly": renewed });
  await inspect(machineId, 2500, { "front-tyre-tread-weekly": { asFound: 3.4 } });
  await findAndMend(machineId, "front-tyre-tread.nail", [{ name: "Inner tube", quantity: 1 }], mm(3.3));
  await inspect(machineId, 3100, { "front-tyre-tread-weekly": { asFound: 3 } });
  expect(await lifeOf("front-tyre")).toMatchObject({ parts: 1, renewed: 0, running: 1 });
  // New, worn, and worn again; the sign-off of the same day is one measurement with the inspection before it.
  expect(await forecastOf(machineId, "front-tread")).toMatchObject({ n: 3 });
});

test("a reading that only a new part gives ends the old one's life, though the repair names no part", async () => {
  const machineId = await addTestMachine(app);
  await inspect(machineId, 1200, { "front-tyre-tread-weekly": renewed });
  await inspect(machineId, 2000, { "front-tyre-tread-weekly": { asFound: 3.4 } });
  const before = await lifeOf("front-tyre");
  await findAndMend(machineId, "front-tyre-tread.cut", [], mm(5.1));
  // The nail that comes after it leaves the new tyre on.
  await findAndMend(machineId, "front-tyre-tread.nail", [{ name: "Tube", quantity: 1 }], mm(5.1));
  expect(await lifeOf("front-tyre")).toMatchObject({ parts: before.parts + 1, renewed: before.renewed + 1 });
  expect((await lifeOf("front-tyre")).steps).toMatchObject([{ atKm: 800, events: 1 }]);
});

test("a part fitted where something else was found shows at the next measuring", async () => {
  const machineId = await addTestMachine(app);
  await inspect(machineId, 1200, { "chain-wear": { actions: ["replaced"], asLeft: 254 } });
  await inspect(machineId, 2500, { "chain-wear": { asFound: 257.5 } });
  await findAndMend(machineId, "chain.could-come-off", [{ name: "Chain", quantity: 1 }], { value: 20, unit: "mm" });
  expect(await lifeOf("chain")).toMatchObject({ parts: 1, renewed: 0 });
  await inspect(machineId, 2900, { "chain-wear": { asFound: 254.2 } });
  expect(await lifeOf("chain")).toMatchObject({ parts: 2, renewed: 1, steps: [{ atKm: 1300, events: 1 }] });
});

test("a renewal told by the inspection that found it and by the repair after it is one", async () => {
  const machineId = await addTestMachine(app);
  await inspect(machineId, 1200, { "rear-lining": { actions: ["replaced"], asLeft: 4 } });
  await inspect(machineId, 2500, { "rear-lining": { asFound: 1.8, result: "defect" } });
  const { items } = await expectAnswer((await as("M001")).get("/v1/defects").query({ machineId, status: "open" }), 200);
  const repair = repairOf(app, { parts: [{ name: "Shoes", quantity: 2 }], reading: mm(4) });
  await expectAnswer((await as("M001")).post(`/v1/defects/${items[0].id}/repairs`).send(repair), 201);
  await expectAnswer((await as("M002")).post(`/v1/defects/${items[0].id}/sign-off`).send({ id: randomUUID(), reading: mm(4) }), 201);
  expect(await lifeOf("rear-linings")).toMatchObject({ parts: 2, renewed: 1, steps: [{ atKm: 1300, events: 1 }] });
  expect(await forecastOf(machineId, "rear-lining")).toMatchObject({ n: 1, latest: { value: 4 } });
});

test("a repair that an inspection told stands for itself: sent by hand under its id it is refused, and fails nothing", async () => {
  const machineId = await addTestMachine(app);
  await inspect(machineId, 1200, { "front-lining": { asFound: 0.5, asLeft: 4, actions: ["replaced"] } });
  const { items } = await expectAnswer((await as("M001")).get("/v1/defects").query({ machineId }), 200);
  const { course } = await expectAnswer((await as("M001")).get(`/v1/defects/${items[0].id}`), 200);
  const { id, performedAt, workDone } = course.find(({ kind }: { kind: string }) => kind === "repair").data.submitted;
  const again = (await as("M001")).post(`/v1/defects/${items[0].id}/repairs`).send({ id, performedAt, workDone });
  await expectAnswer(again, 422, "id-reused");
});
