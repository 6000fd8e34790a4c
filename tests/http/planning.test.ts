// Planning over HTTP: what wears, what falls due, who rides what; each from records that were made through the doors.
import { randomUUID } from "node:crypto";
import { describe, expect, test } from "vitest";
import type { WeeklyAnswer } from "../../shared/contracts/checks.ts";
import type { Allocation, MachineForecast, WorkPlan } from "../../shared/contracts/planning.ts";
import { expectAnswer, repairOf, reportOf } from "../support/acts.ts";
import { answersAsNew } from "../support/answers-as-new.ts";
import { electricMachine, testHandbook, testMachine } from "../support/machines.ts";
import { addTestMachine, inspectionOf, nilCheckOf } from "../support/sheets.ts";
import { stored } from "../support/small-fleet.ts";
import { testService } from "../support/test-service.ts";

const day = 86_400_000;
const { app, as } = testService();

/** A sheet as new, with other answers at some items. */
const answersWith = (changes: Readonly<Record<string, Partial<WeeklyAnswer>>>): WeeklyAnswer[] =>
  answersAsNew(testMachine).map((answer) => ({ ...answer, ...changes[answer.itemId] }));
const inspect = async (machineId: string, odometerKm: number, changes: Readonly<Record<string, Partial<WeeklyAnswer>>> = {}) =>
  expectAnswer(
    (await as("M001")).post("/v1/weekly-inspections").send(inspectionOf(app, machineId, { odometerKm, answers: answersWith(changes) })),
    201,
  );
const forecastOf = async (machineId: string): Promise<MachineForecast> =>
  expectAnswer((await as("M001")).get(`/v1/machines/${machineId}/forecast`), 200);
const planOf = async (query: object): Promise<WorkPlan> => expectAnswer((await as("F001")).get("/v1/readiness/plan").query(query), 200);
/** Adds a depot, so that a test has its machines for itself. */
const newDepot = async (changes: object = {}): Promise<string> => {
  const body = { name: randomUUID(), timeZone: "Europe/London", workshopHoursPerDay: 8, ...changes };
  return (await expectAnswer((await as("F001")).post("/v1/depots").send(body), 201)).id;
};

describe("the wear forecast", () => {
  test("follows the machine's readings week by week: rate, limit, day, and a part to renew before the next inspection", async () => {
    const machineId = await addTestMachine(app);
    for (let week = 1; week <= 6; week += 1) {
      app.context.clock.advance(7 * day);
      await inspect(machineId, 1000 + week * 350, {
        "rear-tyre-tread-weekly": { asFound: 5 - week * 0.45 },
        "chain-wear": { asFound: 254 * (1 + week * 0.0005) },
      });
    }
    const { forecasts, dailyUse, nextInspectionDay, odometerKm, oil } = await forecastOf(machineId);
    expect([odometerKm, dailyUse.kmPerDay, dailyUse.days]).toEqual([3100, 50, 28]);
    expect(nextInspectionDay).toBe("2026-08-31");
    const tread = forecasts.find(({ quantity }) => quantity === "rear-tread");
    // 0.45 mm in 350 km, from 2.3 mm to the handbook's 2 mm.
    expect(tread).toMatchObject({ n: 7, advice: "renew-at-this-inspection", limit: { kind: "handbook", least: 2, unit: "mm" } });
    expect(tread?.slopePer1000Km).toBeCloseTo((-0.45 / 350) * 1000, 9);
    expect(tread?.kmLeft).toBeCloseTo((0.3 / 0.45) * 350, 6);
    expect([tread?.dayAtLimit, tread?.probabilityPastNextInspection]).toEqual(["2026-08-28", 1]);
    const chain = forecasts.find(({ quantity }) => quantity === "chain-length");
    expect(chain).toMatchObject({ advice: "fine", unit: "percent", latest: { value: expect.closeTo(0.3, 9) }, limit: { most: 2 } });
    expect(chain?.limitAtKm).toBeCloseTo(3100 + (1.7 / 0.05) * 350, 3);
    // Never changed on record: from the day it came, 2,000 km by the handbook.
    expect(oil).toMatchObject({ changed: false, kmSince: 2100, due: true, by: "distance", dueDay: "2026-08-24" });

    await expectAnswer((await as("F001")).patch(`/v1/machines/${machineId}`).send({ odometerKm: 0, reason: "New meter" }), 200);
    app.context.clock.advance(7 * day);
    const oilChanged = { asFound: 50, asLeft: 90, actions: ["replaced" as const] };
    await inspect(machineId, 350, {
      "rear-tyre-tread-weekly": { asFound: 1.9, asLeft: 6, actions: ["replaced"] },
      "chain-wear": { asFound: 254 * 1.0035 },
      "engine-oil-level": oilChanged,
    });
    const after = await forecastOf(machineId);
    expect([after.odometerKm, after.dailyUse.kmPerDay, after.oil?.kmSince, after.oil?.due]).toEqual([350, 50, 0, false]);
    expect(after.forecasts.find(({ quantity }) => quantity === "rear-tread")).toMatchObject({ n: 1, advice: "too-few-readings" });
    const longer = after.forecasts.find(({ quantity }) => quantity === "chain-length");
    expect([longer?.n, longer?.kmLeft]).toEqual([8, expect.closeTo((1.65 / 0.05) * 350, 3)]);
  });

  test("a repair with a new part at the daily item of the same measure begins anew as well", async () => {
    const machineId = await addTestMachine(app);
    for (let week = 1; week <= 3; week += 1) {
      app.context.clock.advance(7 * day);
      await inspect(machineId, 1000 + week * 300, { "front-brake-free-travel": { asFound: 25 + week } });
    }
    const travel = async () => (await forecastOf(machineId)).forecasts.find(({ quantity }) => quantity === "front-brake-free-travel");
    expect(await travel()).toMatchObject({ n: 4, latest: { value: 28 }, advice: "watch" });
    app.context.clock.advance(60_000);
    const report = reportOf(app, machineId, "front-brake-cable.frayed", { itemId: "front-brake-cable" });
    const { defect } = await expectAnswer((await as("R001")).post("/v1/defects").send(report), 201);
    app.context.clock.advance(60_000);
    const repair = repairOf(app, { reading: { value: 24, unit: "mm" } });
    await expectAnswer((await as("M001")).post(`/v1/defects/${defect.id}/repairs`).send(repair), 201);
    expect(await travel()).toMatchObject({ n: 1, latest: { value: 24 }, advice: "too-few-readings" });
  });

  test("is for mechanic, manager and auditor of the depot, of a machine that is there", async () => {
    const machineId = await addTestMachine(app);
    const path = `/v1/machines/${machineId}/forecast`;
    for (const who of ["M001", "F001", "A001"]) await expectAnswer((await as(who)).get(path), 200);
    await expectAnswer((await as("R001")).get(path), 403, "not-your-role");
    await expectAnswer((await as("F101")).get(path), 403, "other-depot");
    await expectAnswer((await as("F001")).get(`/v1/machines/${randomUUID()}/forecast`), 404, "not-found");
    await expectAnswer((await as("F001")).get("/v1/machines/none/forecast"), 422, "not-valid");
  });
});

describe("the work plan", () => {
  test("shows inspections, defects, sign-offs, oil and papers on their days, and what will be late", async () => {
    const depotId = await newDepot({ workshopHoursPerDay: 1 });
    const today = app.context.clock.now().toISOString().slice(0, 10);
    const [first, other] = [await addTestMachine(app, { depotId, inspected: false }), await addTestMachine(app, { depotId })];
    const paper = {
      kind: "insurance",
      number: "1",
      validFrom: "2026-01-01",
      validTo: new Date(Date.parse(today) + 2 * day).toISOString().slice(0, 10),
    };
    await expectAnswer((await as("F001")).post(`/v1/machines/${other}/papers`).send(paper), 201);
    app.context.clock.advance(60_000);
    await expectAnswer((await as("M001")).post("/v1/defects").send(reportOf(app, other, "horn.silent")), 201);
    await expectAnswer(
      (await as("M001"))
        .post("/v1/defects")
        .send(reportOf(app, other, "horn.weak", { itemId: "lamps", observationIds: [], note: "Flickers" })),
      201,
    );
    const plan = await planOf({ depotId, days: 7 });
    expect([plan.depotId, plan.from, plan.days.length]).toEqual([depotId, today, 7]);
    expect(plan.days[0]).toMatchObject({ hoursDue: 2.75, over: true });
    const lines = plan.days.flatMap(({ jobs }) => jobs);
    expect(lines.filter(({ machineId }) => machineId === first).map(({ kind, dueDay }) => [kind, dueDay])).toContainEqual([
      "first-use-inspection",
      today,
    ]);
    expect(lines.find(({ kind }) => kind === "paper")).toMatchObject({
      machineId: other,
      dueDay: paper.validTo,
      hours: 0,
      text: "Insurance runs out",
    });
    expect(lines.find(({ kind }) => kind === "grounding-repair")).toMatchObject({ text: "Grounded, Major defect: Horn", dueDay: today });
    expect(plan.late.map(({ lateDays }) => lateDays)).toEqual(
      [...plan.late.map(({ lateDays }) => lateDays)].sort((a, b) => (b ?? 0) - (a ?? 0)),
    );
    expect(plan.late.length).toBeGreaterThan(0);
    expect(plan.weeks.reduce((sum, week) => sum + (week.jobs.paper ?? 0), 0)).toBe(1);
  });

  test("a year ahead is 371 days in which each week's inspections stand, and the policy's workshop days and hours count", async () => {
    const depotId = await newDepot();
    await addTestMachine(app, { depotId });
    const year = await planOf({ depotId, days: 371 });
    expect([year.days.length, year.weeks.length >= 53]).toEqual([371, true]);
    const inspections = (plan: WorkPlan) => plan.days.flatMap(({ jobs }) => jobs.filter(({ kind }) => kind === "weekly-inspection"));
    expect(inspections(year).length).toBeGreaterThanOrEqual(52);
    await expectAnswer((await as("F001")).put("/v1/policy").send({ workshopDays: [2], inspectionHours: 2 }), 200);
    const tuesdays = await planOf({ depotId, days: 28 });
    expect(tuesdays.days.filter(({ hoursAvailable }) => hoursAvailable > 0).length).toBe(4);
    expect(inspections(tuesdays).every(({ hoursInAll }) => hoursInAll === 2)).toBe(true);
    const { changed } = (
      await app.context.db.rows<{ data: { changed: string[] } }>(
        "SELECT data FROM ledger WHERE kind = 'policy-changed' ORDER BY position DESC LIMIT 1",
      )
    )[0]?.data ?? { changed: [] };
    expect(changed.sort()).toEqual(["inspectionHours", "workshopDays"]);
    await expectAnswer((await as("F001")).put("/v1/policy").send({}), 200);
    expect(await planOf({ depotId, days: 371 })).toEqual(year);
  });

  test("names its depot: the one that is asked for, or the only one that is seen; others and odd spans are refused", async () => {
    const plan = await expectAnswer((await as("F101")).get("/v1/readiness/plan"), 200);
    expect([plan.depotId, plan.days.length]).toEqual([app.cast.farDepotId, 7]);
    await expectAnswer((await as("F001")).get("/v1/readiness/plan"), 422, "not-valid");
    await expectAnswer((await as("F101")).get("/v1/readiness/plan").query({ depotId: app.cast.homeDepotId }), 403, "other-depot");
    await expectAnswer((await as("F001")).get("/v1/readiness/plan").query({ depotId: randomUUID() }), 404, "not-found");
    await expectAnswer((await as("M001")).get("/v1/readiness/plan").query({ depotId: app.cast.homeDepotId }), 200);
    for (const who of ["R001", "A001"]) {
      await expectAnswer((await as(who)).get("/v1/readiness/plan").query({ depotId: app.cast.homeDepotId }), 403, "not-your-role");
    }
    for (const days of [0, 372, 1.5, "x"]) {
      await expectAnswer((await as("F001")).get("/v1/readiness/plan").query({ depotId: app.cast.homeDepotId, days }), 422, "not-valid");
    }
  });
});

describe("the allocation", () => {
  const today = () => app.context.clock.now().toISOString().slice(0, 10);
  const allocate = async (body: object): Promise<Allocation> =>
    expectAnswer((await as("F001")).post("/v1/readiness/allocation").send(body), 200);
  const addRider = async (depotId: string, licenceClass: string | null): Promise<string> => {
    const body = {
      staffNumber: randomUUID().slice(0, 8),
      name: "Rider",
      role: "rider",
      depotIds: [depotId],
      licenceClass,
      secret: "secret-enough",
    };
    return (await expectAnswer((await as("F001")).post("/v1/staff").send(body), 201)).id;
  };

  test("never gives out what somebody rides, except to that very rider", async () => {
    const { staffId } = app.cast;
    const depotId = (
      await expectAnswer(
        (await as("F001")).post("/v1/depots").send({ name: "Ridden", timeZone: "Europe/London", ruleSet: "gb", workshopHoursPerDay: 8 }),
        201,
      )
    ).id;
    const ridden = await addTestMachine(app, { depotId });
    const mechanic = staffId("M001");
    await expectAnswer((await as("M001")).post("/v1/daily-checks").send(nilCheckOf(app, ridden)), 201);
    const other = await addRider(depotId, null);
    const answer = await allocate({ depotId, day: today(), riders: [{ staffId: other }, { staffId: mechanic }] });
    expect(answer.allocations.map((one) => [one.staffId, one.machineId])).toEqual([[mechanic, ridden]]);
    expect(answer.unserved).toMatchObject([{ staffId: other, name: "Rider", reason: "ridden", text: expect.stringMatching(/ridden/) }]);
    // Tomorrow nobody rides it yet.
    const tomorrow = new Date(app.context.clock.now().getTime() + day).toISOString().slice(0, 10);
    expect((await allocate({ depotId, day: tomorrow, riders: [{ staffId: other }] })).unserved).toEqual([]);
  });

  test("gives each rider the machine of the day before where it can, and says why somebody has none; nothing is stored", async () => {
    const { staffId } = app.cast;
    const depotId = app.cast.homeDepotId;
    const [mine, other] = [await addTestMachine(app), await addTestMachine(app)];
    await expectAnswer((await as("R001")).post("/v1/daily-checks").send(nilCheckOf(app, mine)), 201);
    await expectAnswer((await as("R002")).post("/v1/daily-checks").send(nilCheckOf(app, other)), 201);
    app.context.clock.advance(day);
    const riders = ["R001", "R002", "R101"].map((number) => ({ staffId: staffId(number) }));
    const stranger = randomUUID();
    const before = await stored(app.context.db);
    const answer = await allocate({ depotId, day: today(), riders: [...riders, { staffId: stranger }] });
    expect(answer.allocations.map((one) => [one.staffId, one.machineId, one.changed])).toEqual([
      [staffId("R001"), mine, false],
      [staffId("R002"), other, false],
    ]);
    expect([answer.changes, answer.allocations[0]?.licenceKnown]).toEqual([0, false]);
    expect(answer.unserved).toEqual([
      { ...{ staffId: staffId("R101"), staffNumber: "R101", name: "Person R101" }, reason: "not-at-this-depot", text: expect.any(String) },
      { ...{ staffId: stranger, staffNumber: null, name: null }, reason: "unknown", text: expect.any(String) },
    ]);
    expect(await stored(app.context.db)).toBe(before);

    // Grounded overnight: its rider changes, and nobody rides it.
    await expectAnswer((await as("M001")).post("/v1/defects").send(reportOf(app, mine, "horn.silent")), 201);
    const grounded = await allocate({ depotId, day: today(), riders });
    expect(grounded.allocations.map(({ machineId }) => machineId)).not.toContain(mine);
    expect(grounded.allocations.find((one) => one.staffId === staffId("R001"))?.changed).toBe(true);
    expect(grounded.readyMachines).toBe(answer.readyMachines - 1);
  });

  test("keeps to licence and load box, on record or as sent, and serves the most", async () => {
    const depotId = await newDepot();
    await addTestMachine(app, { depotId });
    const manager = await as("F001");
    const models = await manager.get("/v1/models").query({ limit: 200 });
    const known = (models.body.items as { id: string; name: string }[]).find(({ name }) => name === "Electric");
    const electric =
      known ??
      (await expectAnswer(
        manager.post("/v1/models").send({ name: "Electric", engineCc: null, features: electricMachine, handbook: testHandbookOfElectric }),
        201,
      ));
    const light = await expectAnswer(
      manager.post("/v1/machines").send({ registrationMark: "EL1", modelId: electric.id, depotId, odometerKm: 0, inServiceFrom: today() }),
      201,
    );
    const answers = answersAsNew({ features: electricMachine, engineCc: null, handbook: testHandbookOfElectric, ruleSet: "gb" });
    await expectAnswer(
      (await as("M001")).post("/v1/weekly-inspections").send(inspectionOf(app, light.id, { odometerKm: 1, answers })),
      201,
    );
    const [moped, full, carrier] = [await addRider(depotId, "AM"), await addRider(depotId, "A"), await addRider(depotId, "A1")];
    const body = { depotId, day: today(), riders: [{ staffId: full }, { staffId: moped }] };
    const both = await allocate(body);
    expect(both.allocations.find(({ staffId }) => staffId === moped)?.machineId).toBe(light.id);
    expect(both.unserved).toEqual([]);
    const reasons = async (riders: object[]) => (await allocate({ ...body, riders })).unserved.map(({ reason }) => reason);
    expect(await reasons([{ staffId: moped, needsLoadBox: true }])).toEqual(["load-box"]);
    expect(await reasons([{ staffId: moped }, { staffId: full, licenceClass: "AM" }])).toEqual(["no-machine-left"]);
    expect(await reasons([{ staffId: carrier, licenceClass: "P" }])).toEqual(["licence"]);
    await expectAnswer((await as("F001")).patch(`/v1/staff/${carrier}`).send({ left: true }), 200);
    expect(await reasons([{ staffId: carrier }])).toEqual(["left"]);
    expect((await allocate({ ...body, riders: [] })).allocations).toEqual([]);
    // A fortnight on every inspection has run out.
    const later = new Date(Date.parse(today()) + 14 * day).toISOString().slice(0, 10);
    expect(await allocate({ ...body, day: later })).toMatchObject({ readyMachines: 0, unserved: [{ reason: "no-machine-left" }, {}] });
  });

  test("refuses a day that is over, a person named twice, other depots and other roles", async () => {
    const depotId = app.cast.homeDepotId;
    const send = async (who: string, body: object) => (await as(who)).post("/v1/readiness/allocation").send(body);
    const staffId = app.cast.staffId("R001");
    const good = { depotId, day: today(), riders: [{ staffId }] };
    await expectAnswer(send("F001", { ...good, day: "2026-07-01" }), 422, "not-valid");
    const twice = await expectAnswer(
      send("F001", { ...good, riders: [{ staffId }, { staffId: staffId.toUpperCase() }] }),
      422,
      "not-valid",
    );
    expect(twice.issues).toEqual([{ pointer: "/riders/1/staffId", message: "is named twice" }]);
    await expectAnswer(send("F001", { ...good, odd: 1 }), 422, "not-valid");
    await expectAnswer(send("F001", { ...good, depotId: randomUUID() }), 404, "not-found");
    await expectAnswer(send("F101", good), 403, "other-depot");
    for (const who of ["R001", "M001", "A001"]) await expectAnswer(send(who, good), 403, "not-your-role");
  });
});

const { tyrePressure, treadLeastMm } = testHandbook;
const testHandbookOfElectric = { tyrePressure, treadLeastMm };
