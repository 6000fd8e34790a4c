// What the sheets ask since a mechanic went through them, over HTTP: each new kind of verdict does at the machine what its category says.
import { expect, test } from "vitest";
import type { Features, Handbook } from "../../shared/contracts/machine-model.ts";
import { expectAnswer, onBoard } from "../support/acts.ts";
import { answersAsNew } from "../support/answers-as-new.ts";
import { chainMachine, testMachine } from "../support/machines.ts";
import { addTestMachine, checkFinding, inspectionOf } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";

const { app, as } = testService();

let models = 0;
/** A machine of a model with these features, this engine and, if nothing is said, an empty handbook. */
async function machineOf(features: Features, engineCc: number, handbook: Handbook = {}) {
  const manager = await as("F001");
  models += 1;
  const model = await expectAnswer(manager.post("/v1/models").send({ name: `Mechanic ${models}`, engineCc, features, handbook }), 201);
  const about = { registrationMark: `MECH${models}`, vin: null, modelId: model.id, depotId: app.cast.homeDepotId };
  const { id } = await expectAnswer(manager.post("/v1/machines").send({ ...about, odometerKm: 1000, inServiceFrom: "2026-01-01" }), 201);
  const answers = answersAsNew({ ...testMachine, features, engineCc, handbook });
  const inspect = async (changes: Readonly<Record<string, object>>) => {
    app.context.clock.advance(60_000);
    const told = answers.map((answer) => ({ ...answer, ...changes[answer.itemId] }));
    return expectAnswer((await as("M001")).post("/v1/weekly-inspections").send(inspectionOf(app, id, { answers: told })), 201);
  };
  return { id, inspect };
}
const seen = (...observationIds: string[]) => ({ result: "defect", observationIds });

test("a spoked rim without a handbook fails over the law's 4 mm, and what is under it is taken", async () => {
  // DVSA inspection manual for motorcycles 5.2.2: 4 mm for steel, the wider of its two figures
  const { id, inspect } = await machineOf(chainMachine, 110);
  expect((await inspect({ "front-wheel-run-out": { asFound: 4 } })).defects).toEqual([]);
  const { defects } = await inspect({ "front-wheel-run-out": { asFound: 4.1 } });
  expect(defects).toMatchObject([{ itemId: "front-wheel-run-out", category: "major" }]);
  expect((await onBoard(as, id)).standing).toBe("grounded");
});

test("up to 50 cm3 a tyre of any depth is lawful as long as its pattern shows, and grounds once it does not", async () => {
  // SI 1986/1078 reg. 27(4)
  const { id, inspect } = await machineOf(chainMachine, 49);
  expect((await inspect({ "rear-tyre-tread-weekly": { asFound: 0.5 } })).defects).toEqual([]);
  const worn = { asFound: 0.5, ...seen("rear-tyre-tread-weekly.pattern-gone") };
  expect((await inspect({ "rear-tyre-tread-weekly": worn })).defects).toMatchObject([{ category: "major" }]);
  expect((await onBoard(as, id)).standing).toBe("grounded");
});

test("a spongy lever is found at the bench too, and is one defect with what the rider felt", async () => {
  const disc = { kind: "disc-hydraulic", workedBy: "hand" } as const;
  const { id, inspect } = await machineOf({ ...chainMachine, brakes: { ...chainMachine.brakes, front: disc } }, 110);
  await inspect({});
  const report = { id: "01900000-0000-7000-8000-00000000abcd", machineId: id, seenAt: app.context.clock.now().toISOString() };
  const felt = { ...report, itemId: "front-brake-hydraulic", observationIds: ["front-brake-hydraulic.spongy"] };
  const { defect } = await expectAnswer((await as("R001")).post("/v1/defects").send(felt), 201);
  const { defects } = await inspect({ "front-brake-feel": seen("front-brake-feel.spongy") });
  expect(defects).toMatchObject([{ id: defect.id, itemId: "front-brake-hydraulic", category: "major" }]);
});

test.each(["clutch.cable-frayed", "throttle.cable-chafed"])(
  "%s takes a new cable: a repair that names no part is refused",
  async (found) => {
    const machineId = await addTestMachine(app);
    const { defects } = await expectAnswer((await as("R001")).post("/v1/daily-checks").send(checkFinding(app, machineId, found)), 201);
    const work = {
      id: crypto.randomUUID(),
      workDone: "Soldered the strands",
      minutes: 10,
      performedAt: app.context.clock.now().toISOString(),
    };
    const mechanic = await as("M001");
    const path = `/v1/defects/${defects[0].id}/repairs`;
    await expectAnswer(mechanic.post(path).send({ ...work, parts: [] }), 422, "new-part-needed");
    await expectAnswer(mechanic.post(path).send({ ...work, parts: [{ name: "Cable", quantity: 1 }] }), 201);
  },
);

test("an exhaust that blows may be ridden with for its days, one that comes off may not, whoever finds it", async () => {
  for (const [atWalk, atBench, decision] of [
    ["engine-running.exhaust-blows", "exhaust.blows", "ride-with-defects"],
    ["engine-running.exhaust-coming-off", "exhaust.coming-off", "do-not-ride"],
  ] as const) {
    const machineId = await addTestMachine(app);
    const check = await expectAnswer((await as("R001")).post("/v1/daily-checks").send(checkFinding(app, machineId, atWalk)), 201);
    expect(check.clearance.decision).toBe(decision);
    const { inspect } = await machineOf(chainMachine, 110);
    const { defects } = await inspect({ exhaust: seen(atBench) });
    expect(defects[0].category).toBe(check.defects[0].category);
  }
});
