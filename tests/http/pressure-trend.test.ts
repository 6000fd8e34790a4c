// How tyres keep their air, over HTTP: from weekly inspections, at one temperature.
import { randomUUID } from "node:crypto";
import { expect, test } from "vitest";
import type { PressureTrend, WorkPlan } from "../../shared/contracts/planning.ts";
import { expectAnswer } from "../support/acts.ts";
import { addTestMachine, checkFinding, inspectionOf, nilCheckOf } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";

const { app, as } = testService();

const dayMs = 86_400_000;
const week = 7 * dayMs;

/** A week later: both tyres as found, set to the handbook's again. */
async function inspectLater(machineId: string, frontKpa: number, rearKpa: number, changes: object = { celsius: 20 }): Promise<void> {
  app.context.clock.advance(week);
  const body = inspectionOf(app, machineId);
  const found = { "front-tyre-pressure-weekly": [frontKpa, 175], "rear-tyre-pressure-weekly": [rearKpa, 200] } as const;
  const answers = body.answers.map((answer) => {
    const [asFound, asLeft] = found[answer.itemId as keyof typeof found] ?? [];
    return asFound === undefined || asLeft === undefined ? answer : { ...answer, asFound, asLeft, ...changes };
  });
  await expectAnswer((await as("M001")).post("/v1/weekly-inspections").send({ ...body, answers }), 201);
}

const trendOf = async (machineId: string, by = "M001"): Promise<PressureTrend> =>
  expectAnswer((await as(by)).get(`/v1/machines/${machineId}/pressure-trend`), 200);
const tyre = (trend: PressureTrend, end: "front" | "rear") => trend.tyres.find((one) => one.end === end);

test("a slow puncture is told from what tyres lose by themselves, with its rate and its interval", async () => {
  const machineId = await addTestMachine(app);
  await inspectLater(machineId, 174, 180);
  expect(tyre(await trendOf(machineId), "rear")).toMatchObject({ finding: "too-few-readings", kpaPerWeek: null });
  await inspectLater(machineId, 173, 181);
  await inspectLater(machineId, 174, 179);
  const trend = await trendOf(machineId);
  expect(tyre(trend, "front")?.finding).toBe("natural");
  const rear = tyre(trend, "rear");
  expect(rear).toMatchObject({ finding: "slow-puncture", points: { length: 4 } });
  expect(rear?.kpaPerWeek).toBeCloseTo(20, 0);
  expect(rear?.low).toBeLessThan(rear?.kpaPerWeek ?? 0);
  expect(rear?.text).toContain("look for a slow puncture");
  // The first inspection took no temperature.
  expect(rear).toMatchObject({ corrected: false, text: expect.stringContaining("Not every temperature") });
  // What only a figure shows is work for the bench, in its plan as other work is: with the next inspection, or before.
  const plan: WorkPlan = await expectAnswer(
    (await as("M001")).get("/v1/readiness/plan").query({ depotId: app.cast.homeDepotId, days: 10 }),
    200,
  );
  const [inspection] = plan.days
    .flatMap(({ jobs }) => jobs)
    .filter((job) => job.machineId === machineId && job.kind === "weekly-inspection");
  const found = plan.days.flatMap(({ day, jobs }) => jobs.filter(({ kind }) => kind === "slow-puncture").map((job) => ({ day, ...job })));
  expect(found).toMatchObject([{ machineId, itemId: "rear-tyre-pressure-weekly", day: inspection?.doneDay, lateDays: 0 }]);
  expect(found[0]?.text).toBe("Look for a slow puncture, as its readings show: Rear tyre pressure, by gauge");
});

test("a repair of the tyre begins a new count", async () => {
  const machineId = await addTestMachine(app);
  for (const found of [160, 161]) await inspectLater(machineId, 175, found);
  // 25 % under: 49 CFR 571.138 S4.2(a). Left as it was found, it is a defect.
  await inspectLater(machineId, 175, 150, { celsius: 20, asLeft: undefined });
  const { items } = await expectAnswer((await as("M001")).get("/v1/defects").query({ machineId, status: "open" }), 200);
  const [defect] = items.filter(({ itemId }: { itemId: string }) => itemId.includes("tyre-pressure"));
  const repair = { id: randomUUID(), workDone: "New tube", parts: [{ name: "Tube", quantity: 1 }], reading: { value: 200, unit: "kPa" } };
  app.context.clock.advance(60_000);
  await expectAnswer(
    (await as("M001")).post(`/v1/defects/${defect.id}/repairs`).send({ ...repair, performedAt: app.context.clock.now().toISOString() }),
    201,
  );
  await inspectLater(machineId, 175, 199);
  expect(tyre(await trendOf(machineId), "rear")).toMatchObject({ finding: "too-few-readings", points: { length: 1 } });
});

test("it is for mechanics, managers and auditors of the depot", async () => {
  const machineId = await addTestMachine(app);
  const address = `/v1/machines/${machineId}/pressure-trend`;
  await expectAnswer((await as("R001")).get(address), 403, "not-your-role");
  await expectAnswer((await as("F101")).get(address), 403, "other-depot");
  await expectAnswer(app.anyone.get(address), 401, "not-signed-in");
  await expectAnswer((await as("A001")).get(`/v1/machines/${randomUUID()}/pressure-trend`), 404, "not-found");
  expect((await trendOf(machineId, "A001")).tyres.map(({ end }) => end)).toEqual(["front", "rear"]);
});

test("a rider's reading of the day stands in the trend, told apart from the bench's, and shows the puncture days earlier", async () => {
  const machineId = await addTestMachine(app);
  await inspectLater(machineId, 175, 200);
  const asked: string[] = [];
  let rearLostKpa = 0;
  // Four readings take turns on this machine, in rounds that begin on any day: seven days hold one whole round.
  for (let day = 1; day <= 7; day++) {
    app.context.clock.advance(dayMs);
    const { proof } = await expectAnswer((await as("R001")).get(`/v1/machines/${machineId}/sheet`).query({ kind: "daily" }), 200);
    const kpa = proof.quantity === "rear-tyre-pressure" ? 200 - 3 * day : 175;
    if (!proof.quantity.endsWith("tyre-pressure")) continue;
    asked.push(proof.quantity);
    if (proof.quantity.startsWith("rear")) rearLostKpa = 3 * day;
    const reading = { value: Math.round((kpa / 6.894757293168) * 10) / 10, unit: "psi" as const };
    await expectAnswer((await as("R001")).post("/v1/daily-checks").send(nilCheckOf(app, machineId, { proof: reading })), 201);
  }
  const trend = await trendOf(machineId);
  for (const end of ["front", "rear"] as const) {
    const read = asked.filter((quantity) => quantity.startsWith(end)).length;
    expect(read).toBeGreaterThan(0);
    expect(tyre(trend, end)?.points.map(({ by }) => by)).toEqual(["bench", "bench", ...Array.from({ length: read }, () => "rider")]);
  }
  // The gauge shows a tenth of a psi, 0.69 kPa.
  expect(tyre(trend, "rear")?.points.at(-1)?.lostKpa).toBeCloseTo(rearLostKpa, 0);
});

test("a rider's reading of a tyre that is set for a load, or one that nobody believed, is not in the trend", async () => {
  const machineId = await addTestMachine(app);
  for (let day = 0; day < 7; day++, app.context.clock.advance(dayMs)) {
    const { proof } = await expectAnswer((await as("R001")).get(`/v1/machines/${machineId}/sheet`).query({ kind: "daily" }), 200);
    if (proof.quantity !== "rear-tyre-pressure") continue;
    for (const reading of [
      { value: 250, unit: "kPa", load: "laden" },
      { value: 29, unit: "kPa" },
    ] as const)
      await expectAnswer(
        (await as("R001")).post("/v1/daily-checks").send(checkFinding(app, machineId, "horn.weak", { proof: reading })),
        201,
      );
  }
  expect(tyre(await trendOf(machineId), "rear")?.points).toMatchObject([{ by: "bench" }]);
});
