// Weekly inspections over HTTP: as found and as left against handbook and law, what is asked about again, and the week that begins anew.
import { randomUUID } from "node:crypto";
import { expect, test } from "vitest";
import type { WeeklyAnswer } from "../../shared/contracts/checks.ts";
import { rebuildState } from "../../src/acts/index.ts";
import { expectAnswer, onBoard, reportOf } from "../support/acts.ts";
import { addTestMachine, inspectionFinding, inspectionOf, nilCheckOf } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";

const { app, as } = testService();

const day = 86_400_000;
const today = () => app.context.clock.now().toISOString().slice(0, 10);

/** An inspection on which the answer to one item differs. */
function withAnswer(machineId: string, itemId: string, changes: Partial<WeeklyAnswer>) {
  const body = inspectionOf(app, machineId);
  const index = body.answers.findIndex((answer) => answer.itemId === itemId);
  if (index === -1) throw new Error(`the test machine has no ${itemId}`);
  const answers = body.answers.map((answer, at) => (at === index ? { ...answer, ...changes } : answer));
  return { body: { ...body, answers }, index };
}

async function inspect(itemId: string, changes: Partial<WeeklyAnswer>) {
  const machineId = await addTestMachine(app);
  const { body } = withAnswer(machineId, itemId, changes);
  const receipt = await expectAnswer((await as("M001")).post("/v1/weekly-inspections").send(body), 201);
  const verdict = receipt.inspection.verdicts.find((one: { itemId: string }) => one.itemId === itemId);
  return { machineId, receipt, verdict };
}

test.each<[string, string, Partial<WeeklyAnswer>, string, string | null]>([
  // Within 10 % of the handbook's: policy. 25 % under or more: 49 CFR 571.138 S4.2(a).
  ["a tyre 8 % under", "front-tyre-pressure-weekly", { asFound: 161 }, "within", null],
  ["a tyre 14 % under", "front-tyre-pressure-weekly", { asFound: 150 }, "defect", "minor"],
  ["a tyre 14 % under, left right", "front-tyre-pressure-weekly", { asFound: 150, asLeft: 175 }, "corrected", null],
  ["a tyre 25 % under", "front-tyre-pressure-weekly", { asFound: 131.25 }, "defect", "major"],
  ["a laden tyre set for a solo rider", "rear-tyre-pressure-weekly", { asFound: 200, load: "laden" }, "defect", "minor"],
  // Below the handbook's 1.5 mm and above the law's 1.0 mm (SI 1986/1078 reg. 27).
  ["tread between handbook and law", "front-tyre-tread-weekly", { asFound: 1.2 }, "defect", "minor"],
  ["tread below the law", "front-tyre-tread-weekly", { asFound: 0.9 }, "defect", "major"],
  ["a chain outside its range", "chain-slack", { asFound: 30 }, "defect", "minor"],
  ["a chain outside, left within", "chain-slack", { asFound: 30, asLeft: 20 }, "corrected", null],
  ["a chain left outside", "chain-slack", { asFound: 30, asLeft: 28 }, "defect", "minor"],
  // 20 pitches of 12.7 mm (ISO 606) and 2 %: 259.08 mm. Limit of 2 %: common practice, no source.
  ["a chain at its limit of wear", "chain-wear", { asFound: 259.08 }, "within", null],
  ["a brake lever with too much travel", "front-brake-free-travel", { asFound: 35, asLeft: 25 }, "corrected", null],
  ["a lining below the handbook's least", "front-lining", { asFound: 1.9 }, "defect", "major"],
])("%s comes to its verdict, which names its limit, and to its defect", async (_what, itemId, changes, result, category) => {
  const { receipt, verdict, machineId } = await inspect(itemId, changes);
  expect(verdict).toMatchObject({ result, category, asFound: { limit: { source: expect.any(String) } } });
  expect(receipt.defects.map((defect: { category: string }) => defect.category)).toEqual(category === null ? [] : [category]);
  expect(receipt.standing).toBe(category === "major" ? "grounded" : "unchecked");
  expect((await onBoard(as, machineId)).standing).toBe(receipt.standing);
});

test("a tyre found 25 % under and pumped up is a likely leak: it says so, and waits for a second person", async () => {
  const { receipt, verdict } = await inspect("front-tyre-pressure-weekly", { asFound: 120, asLeft: 175 });
  expect(verdict.result).toBe("corrected");
  expect(receipt.defects).toMatchObject([{ category: "major", status: "repaired" }]);
  expect(receipt.guidance).toMatchObject([
    { itemId: "front-tyre-pressure-weekly", code: "leak" },
    { itemId: "front-tyre-pressure-weekly", code: "second-person" },
  ]);
});

test("what is seen at an item and what is measured there is one defect with the worse category; a frayed cable takes a new one", async () => {
  const { receipt } = await inspect("chain-slack", { asFound: 30, result: "defect", observationIds: ["chain-slack.fouls"] });
  expect(receipt.defects).toMatchObject([{ category: "major", itemId: "chain-slack" }]);
  const frayed = await inspect("front-brake-cable-ends", { result: "defect", observationIds: ["front-brake-cable-ends.frayed"] });
  const [{ id, category }] = frayed.receipt.defects;
  expect(category).toBe("dangerous");
  const repair = { id: randomUUID(), performedAt: app.context.clock.now().toISOString(), workDone: "Trimmed" };
  await expectAnswer((await as("M001")).post(`/v1/defects/${id}/repairs`).send(repair), 422, "new-part-needed");
});

test("a slack chain is answered with how far to turn the adjusters", async () => {
  const { receipt } = await inspect("chain-slack", { asFound: 30 });
  expect(receipt.guidance.map(({ code }: { code: string }) => code)).toEqual(["adjust", "chain"]);
});

test.each<[string, string, Partial<WeeklyAnswer>, string]>([
  ["28 kPa, which looks like psi", "front-tyre-pressure-weekly", { asFound: 28 }, "asFound"],
  ["28 kPa as left", "front-tyre-pressure-weekly", { asFound: 150, asLeft: 28 }, "asLeft"],
  ["5000 kPa", "front-tyre-pressure-weekly", { asFound: 5000 }, "asFound"],
  ["-1 mm of tread", "front-tyre-tread-weekly", { asFound: -1 }, "asFound"],
  ["a chain slack in psi", "chain-slack", { asFound: 20, unit: "psi" }, "unit"],
  ["a reading without a unit", "chain-slack", { asFound: 20, unit: undefined }, "unit"],
  ["a missing reading", "chain-slack", { asFound: undefined }, "asFound"],
  ["a reading as left alone", "chain-slack", { asFound: undefined, asLeft: 20 }, "asFound"],
  ["a reading at an item that takes none", "sprockets", { asFound: 1, unit: "mm" }, "asFound"],
])("%s is asked about: refused with its place, and nothing is stored", async (_what, itemId, changes, field) => {
  const machineId = await addTestMachine(app);
  const { body, index } = withAnswer(machineId, itemId, changes);
  const refused = await expectAnswer((await as("M001")).post("/v1/weekly-inspections").send(body), 422, "inspection-not-whole");
  expect(refused.issues).toEqual([{ pointer: `/answers/${index}/${field}`, message: expect.any(String) }]);
  await expectAnswer((await as("M001")).get(`/v1/weekly-inspections/${body.id}`), 404, "not-found");
});

test("28 kPa read twice stands as sent; the window of what is possible is named for the rest", async () => {
  const { verdict } = await inspect("front-tyre-pressure-weekly", { asFound: 28, readTwice: true });
  expect(verdict).toMatchObject({ reading: { asFound: 28, unit: "kPa" }, category: "major" });
  const { body } = withAnswer(await addTestMachine(app), "front-tyre-pressure-weekly", { asFound: 601, readTwice: true });
  const refused = await expectAnswer((await as("M001")).post("/v1/weekly-inspections").send(body), 422, "inspection-not-whole");
  expect(refused.issues[0].message).toContain("between 0 and 600 kPa");
});

test("psi is judged against the handbook's kPa and kept as psi", async () => {
  // 25.4 psi is 175.1 kPa (NIST SP 811, appendix B.8).
  const { verdict } = await inspect("front-tyre-pressure-weekly", { asFound: 25.4, unit: "psi" });
  expect(verdict).toMatchObject({ result: "within", reading: { asFound: 25.4, unit: "psi" } });
});

test("an inspection begins the week anew, does a first-use one, and brings open minor defects to their last day", async () => {
  const machineId = await addTestMachine(app, { inspected: false });
  expect((await onBoard(as, machineId)).reasons[0]?.code).toBe("first-use-inspection");
  const inspectNow = async () => expectAnswer((await as("M001")).post("/v1/weekly-inspections").send(inspectionOf(app, machineId)), 201);
  await inspectNow();
  app.context.clock.advance(8 * day);
  expect((await onBoard(as, machineId)).standing).toBe("inspection-overdue");
  await inspectNow();
  expect((await onBoard(as, machineId)).standing).toBe("unchecked");
  const { defect } = await expectAnswer((await as("R001")).post("/v1/defects").send(reportOf(app, machineId, "horn.weak")), 201);
  app.context.clock.advance(2 * day);
  const seenAgain = inspectionFinding(app, machineId, "horn-and-switches.weak");
  await expectAnswer((await as("M001")).post("/v1/weekly-inspections").send(seenAgain), 201);
  expect((await expectAnswer((await as("M001")).get(`/v1/defects/${defect.id}`), 200)).dueDay).toBe(today());
  const check = async () =>
    (await expectAnswer((await as("R001")).post("/v1/daily-checks").send(nilCheckOf(app, machineId)), 201)).clearance;
  expect(await check()).toMatchObject({ decision: "ride-with-defects" });
  app.context.clock.advance(day);
  expect(await check()).toMatchObject({ decision: "do-not-ride", reasons: [{ code: "minor-defect-overdue" }] });
});

test("an inspection that arrives late does not shorten the day of a defect seen after it", async () => {
  const machineId = await addTestMachine(app);
  app.context.clock.advance(day);
  const late = inspectionOf(app, machineId);
  app.context.clock.advance(day);
  const { defect } = await expectAnswer((await as("R001")).post("/v1/defects").send(reportOf(app, machineId, "horn.weak")), 201);
  const { dueDay } = defect;
  await expectAnswer((await as("M001")).post("/v1/weekly-inspections").send(late), 201);
  expect((await expectAnswer((await as("M001")).get(`/v1/defects/${defect.id}`), 200)).dueDay).toBe(dueDay);
  expect((await onBoard(as, machineId)).standing).toBe("unchecked");
});

test("only mechanics inspect; the same body again answers the same receipt; riders do not read inspections", async () => {
  const machineId = await addTestMachine(app);
  const body = inspectionOf(app, machineId);
  for (const who of ["R001", "F001", "A001"]) {
    await expectAnswer((await as(who)).post("/v1/weekly-inspections").send(body), 403, "not-your-role");
  }
  const first = await (await as("M001")).post("/v1/weekly-inspections").send(body);
  const again = await (await as("M001")).post("/v1/weekly-inspections").send(body);
  expect([first.status, again.status, again.text]).toEqual([201, 200, first.text]);
  const beside = { secretResetAt: null, secretResetBy: null, secretChosenAt: null };
  expect((await (await as("A001")).get(`/v1/weekly-inspections/${body.id}`)).body).toEqual({ ...first.body, ...beside });
  await expectAnswer((await as("R001")).get(`/v1/weekly-inspections/${body.id}`), 403, "not-your-role");
});

test("oil that is due is said at the sheet and in the guidance, and not once it was changed", async () => {
  const machineId = await addTestMachine(app);
  const sheetOil = async () => {
    const sheet = await expectAnswer((await as("M001")).get(`/v1/machines/${machineId}/sheet`).query({ kind: "weekly" }), 200);
    return sheet.stations
      .flatMap(({ items }: { items: { id: string; oil?: object }[] }) => items)
      .find(({ id }: { id: string }) => id === "engine-oil-level").oil;
  };
  expect(await sheetOil()).toMatchObject({ due: false, kmLeft: 2000, text: expect.stringContaining("in 2,000 km or in") });
  for (const odometerKm of [1500, 2100, 2600, 3100]) {
    app.context.clock.advance(day);
    const { guidance } = await expectAnswer(
      (await as("M001")).post("/v1/weekly-inspections").send(inspectionOf(app, machineId, { odometerKm })),
      201,
    );
    expect(guidance.map(({ code }: { code: string }) => code)).toEqual(odometerKm > 3000 ? ["oil-due"] : []);
  }
  expect(await sheetOil()).toMatchObject({ due: true, kmLeft: -100 });
  app.context.clock.advance(60_000);
  const { body } = withAnswer(machineId, "engine-oil-level", { actions: ["replaced"] });
  const changed = await expectAnswer((await as("M001")).post("/v1/weekly-inspections").send({ ...body, odometerKm: 3100 }), 201);
  expect(changed.guidance).toEqual([]);
  expect(await sheetOil()).toMatchObject({ due: false, kmLeft: 2000 });
  expect((await rebuildState(app.context.db, machineId))?.differences).toEqual([]);
});

test("the weekly sheet says how each thing is measured, which place decides, and where its limit comes from", async () => {
  const machineId = await addTestMachine(app);
  const sheet = await expectAnswer((await as("M001")).get(`/v1/machines/${machineId}/sheet`).query({ kind: "weekly" }), 200);
  const items = sheet.stations.flatMap((station: { items: object[] }) => station.items) as { id: string; measurement?: object }[];
  const measured = (id: string) => items.find((item) => item.id === id)?.measurement;
  expect(measured("chain-slack")).toMatchObject({ method: expect.stringContaining("lower run"), severalPlaces: "least" });
  expect(measured("chain-wear")).toMatchObject({ method: expect.stringContaining("21 pins, with 98 N"), severalPlaces: "most" });
  expect(measured("brake-rods")).toMatchObject({ source: { locator: expect.stringContaining("1.1.15"), basis: "read" } });
  expect(measured("engine-oil-level")).toMatchObject({ severalPlaces: null });
});

test("several places of one tyre are kept, and the least of them decides", async () => {
  const { receipt, verdict } = await inspect("rear-tyre-tread-weekly", { asFound: undefined, places: [2.6, 1.4, 2.2] });
  expect(verdict).toMatchObject({ reading: { asFound: 1.4 }, category: "minor" });
  const kept = receipt.inspection.answers.find(({ itemId }: { itemId: string }) => itemId === "rear-tyre-tread-weekly");
  expect(kept).toMatchObject({ places: [2.6, 1.4, 2.2] });
});

test("new figures of a model count from the next act on", async () => {
  const machineId = await addTestMachine(app);
  const manager = await as("F001");
  const verdictOf = async () => {
    const { body } = withAnswer(machineId, "front-lining", { asFound: 2.4 });
    const { inspection } = await expectAnswer((await as("M001")).post("/v1/weekly-inspections").send(body), 201);
    return inspection.verdicts.find(({ itemId }: { itemId: string }) => itemId === "front-lining").result;
  };
  expect(await verdictOf()).toBe("within");
  const { modelId } = await expectAnswer(manager.get(`/v1/machines/${machineId}`), 200);
  const { id: _, addedAt: __, ...figures } = await expectAnswer(manager.get(`/v1/models/${modelId}`), 200);
  const thicker = { ...figures.handbook, liningLeastMm: { ...figures.handbook.liningLeastMm, front: 2.5 } };
  const revised = await expectAnswer(manager.put(`/v1/models/${modelId}`).send({ ...figures, handbook: thicker }), 200);
  expect(await verdictOf()).toBe("defect");
  await expectAnswer(manager.put(`/v1/models/${modelId}`).send({ ...figures, revision: revised.revision }), 200);
  expect(await verdictOf()).toBe("within");
});
