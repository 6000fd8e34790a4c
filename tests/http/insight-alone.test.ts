// Figures that ask for a firm of their own: without any work, with a machine withdrawn, with an item that does not apply, with parts renewed.
import { expect, test } from "vitest";
import { expectAnswer } from "../support/acts.ts";
import { answersAsNew } from "../support/answers-as-new.ts";
import { testMachine } from "../support/machines.ts";
import { addTestMachine, inspectionOf, nilCheckOf } from "../support/sheets.ts";
import { serviceForEach } from "../support/test-service.ts";

const hourMs = 3_600_000;

const { app, as } = serviceForEach();

// biome-ignore lint/suspicious/noExplicitAny: answers are read field by field in tests
const ask = async (path: string, query: object = {}, who = "F001"): Promise<any> =>
  expectAnswer((await as(who)).get(path).query(query), 200);
const send = async (who: string, path: string, body: object) => expectAnswer((await as(who)).post(path).send(body), 201);

test("a firm without any record of work has figures all the same: none of none, and no chart", async () => {
  const honesty = await ask("/v1/insight/honesty");
  expect(honesty).toMatchObject({ depotId: null, from: "2026-06-16", to: "2026-07-13", people: [], gauges: [] });
  expect(honesty.depots).toHaveLength(2);
  expect(honesty.depots[0].nil).toMatchObject({ count: 0, of: 0, share: null, low: 0, high: 1 });
  const rates = await ask("/v1/insight/rates");
  expect(rates).toMatchObject({
    machineDays: 0,
    all: { defects: 0, per1000: null },
    timeToClear: { all: { found: 0, medianHours: null } },
  });
  expect(await ask("/v1/insight/charts")).toMatchObject({ checksWithDefect: null, defectsPerMachineDay: null });
});

test("a withdrawn machine stops counting", async () => {
  const withdrawn = await addTestMachine(app);
  await addTestMachine(app);
  app.context.clock.advance(hourMs);
  expect((await ask("/v1/insight/rates")).machineDays).toBeCloseTo(2 / 24, 6);
  await expectAnswer((await as("F001")).patch(`/v1/machines/${withdrawn}`).send({ withdrawn: { reason: "Lent" } }), 200);
  app.context.clock.advance(12 * hourMs);
  // Only the other one goes on, half a day.
  expect((await ask("/v1/insight/rates")).machineDays).toBeCloseTo(2 / 24 + 0.5, 6);
});

test("an item answered as not applicable asks the manager whether the model's features are right", async () => {
  const machineId = await addTestMachine(app);
  const answers = nilCheckOf(app, machineId).answers.map((one) =>
    one.itemId === "indicators" ? { ...one, result: "not-applicable" as const } : one,
  );
  await send("R001", "/v1/daily-checks", nilCheckOf(app, machineId, { answers }));
  const { notApplicable } = await ask("/v1/insight/honesty", { depotId: app.cast.homeDepotId });
  expect(notApplicable).toMatchObject([{ modelName: "Test model", itemId: "indicators", machineIds: [machineId], checks: 1 }]);
  expect(notApplicable[0].question).toContain("does Test model truly have this");
});

test("parts count from their renewal, by an inspection or a repair, over a new odometer too", async () => {
  const machineId = await addTestMachine(app, { mark: "LIFE1" });
  const renew = async (odometerKm: number, itemId: string) => {
    app.context.clock.advance(hourMs);
    const answers = answersAsNew(testMachine).map((answer) =>
      answer.itemId === itemId ? { ...answer, asLeft: answer.asFound, actions: ["replaced" as const] } : answer,
    );
    await send("M001", "/v1/weekly-inspections", inspectionOf(app, machineId, { odometerKm, answers }));
  };
  await renew(1200, "rear-tyre-tread-weekly");
  await expectAnswer((await as("F001")).patch(`/v1/machines/${machineId}`).send({ odometerKm: 0, reason: "New meter" }), 200);
  await renew(300, "rear-tyre-tread-weekly");
  const query = { depotId: app.cast.homeDepotId };
  const { components } = await ask("/v1/insight/component-life", query);
  const of = (component: string) => components.find((one: { component: string }) => one.component === component);
  expect(of("rear-tyre")).toMatchObject({ parts: 2, renewed: 1, running: 1, longestKm: 300, medianKm: 300 });
  expect(of("rear-tyre").steps).toEqual([{ atKm: 300, atRisk: 1, events: 1, survival: 0, se: 0 }]);
  expect(of("chain")).toMatchObject({ parts: 0, medianKm: null });
});
