// Figures over HTTP, from records made through the doors: who may ask, which depots count, and what is counted.
import { randomUUID } from "node:crypto";
import { beforeAll, describe, expect, test } from "vitest";
import { expectAnswer, repairOf } from "../support/acts.ts";
import { answersAsNew } from "../support/answers-as-new.ts";
import { testMachine } from "../support/machines.ts";
import { addTestMachine, checkFinding, inspectionOf, nilCheckOf } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";

const overDays = ["honesty", "rates", "charts", "component-life"].map((name) => `/v1/insight/${name}`);
const paths = [...overDays, "/v1/insight/risk"];
const hourMs = 3_600_000;

const { app, as } = testService();
let homeMachine: string;
let frayed: string;

// biome-ignore lint/suspicious/noExplicitAny: answers are read field by field in tests
const ask = async (path: string, query: object = {}, who = "F001"): Promise<any> =>
  expectAnswer((await as(who)).get(path).query(query), 200);
const send = async (who: string, path: string, body: object) => expectAnswer((await as(who)).post(path).send(body), 201);
const pass = (milliseconds: number) => app.context.clock.advance(milliseconds);

beforeAll(async () => {
  // Monday 13 July 2026, 05:30 in London.
  homeMachine = await addTestMachine(app, { mark: "HOME1" });
  const farMachine = await addTestMachine(app, { mark: "FAR1", depotId: app.cast.farDepotId });
  pass(hourMs);
  // R001 is through the sheet in ten seconds, and a mechanic finds the chain fouling two hours later.
  await send("R001", "/v1/daily-checks", nilCheckOf(app, homeMachine, { durationSeconds: 10 }));
  await send("R002", "/v1/daily-checks", nilCheckOf(app, homeMachine, { durationSeconds: 59 }));
  await send("R101", "/v1/daily-checks", nilCheckOf(app, farMachine, { durationSeconds: 61 }));
  pass(2 * hourMs);
  const fouls = {
    itemId: "chain-slack",
    result: "defect" as const,
    observationIds: ["chain-slack.fouls"],
    asFound: 20,
    unit: "mm" as const,
  };
  const answers = answersAsNew(testMachine).map((answer) => (answer.itemId === "chain-slack" ? fouls : answer));
  await send("M001", "/v1/weekly-inspections", inspectionOf(app, homeMachine, { answers }));
  pass(21 * hourMs);
  // Tuesday: the far machine is found with a frayed cable, repaired and signed off within three hours.
  const found = await send("R101", "/v1/daily-checks", checkFinding(app, farMachine, "front-brake-cable.frayed", { durationSeconds: 90 }));
  frayed = found.defects[0].id;
  pass(hourMs);
  await send("M001", `/v1/defects/${frayed}/repairs`, repairOf(app));
  pass(2 * hourMs);
  await send("M002", `/v1/defects/${frayed}/sign-off`, { id: randomUUID(), reading: { value: 25, unit: "mm" } });
});

describe("after two days of work", () => {
  test("a check that is too fast, unproven and followed by a mechanic's finding is asked about, with count and interval", async () => {
    const { all, people, bars } = await ask("/v1/insight/honesty");
    expect(people.map(({ staffNumber }: { staffNumber: string }) => staffNumber)).toEqual(["R001", "R002", "R101"]);
    const [hasty, other, far] = people;
    expect(all).toMatchObject({ checks: 4, nil: { count: 3, of: 4 }, tooFast: { inAll: { count: 1, of: 4 } } });
    expect(hasty).toMatchObject({ checks: 1, nil: { count: 1, of: 1 }, foundAfterNil: { count: 1, of: 1 } });
    expect(hasty.foundAfterNil.defectIds).toHaveLength(1);
    for (const { count, of, low, high, question } of Object.values(hasty.tooFast) as Record<string, unknown>[]) {
      expect({ count, of, high }).toEqual({ count: 1, of: 1, high: 1 });
      // Wilson for 1 of 1, by hand: 1 / (1 + 1.959964^2)
      expect(low).toBeCloseTo(0.2065, 4);
      expect(question).toMatch(/^A question to ask: /);
    }
    expect(hasty.proof.missing).toMatchObject({ count: 1, of: 1 });
    expect(other.tooFast.inAll.count).toBe(0);
    // Both looked at the chain that morning.
    expect(other.foundAfterNil).toMatchObject({ count: 1, of: 1 });
    expect(far).toMatchObject({ checks: 2, nil: { count: 1, of: 2 }, foundAfterNil: { count: 0, of: 0 } });
    expect(bars).toMatchObject({
      tooFastSeconds: 25,
      tooFastSecondsPerItem: 2,
      sheets: [{ modelName: "Test model", checks: 4, medianSeconds: 60 }],
    });
  });

  test("no figure ranks or scores anybody", async () => {
    const text = JSON.stringify(await ask("/v1/insight/honesty"));
    expect(text).not.toMatch(/score|rank|suspic|cheat|fraud|guilty/i);
    expect(text).toContain("never a verdict on a person");
  });

  test("the bars are the firm's policy", async () => {
    const manager = await as("F001");
    const policy = (await manager.get("/v1/policy")).body;
    await expectAnswer(manager.put("/v1/policy").send({ ...policy, tooFastSeconds: 5 }), 200);
    const { people, bars } = await ask("/v1/insight/honesty");
    expect([bars.tooFastSeconds, people[0].tooFast.inAll.count]).toEqual([5, 0]);
    await expectAnswer(manager.put("/v1/policy").send(policy), 200);
  });

  test("gauge readings are counted by who took them, under 50 without a test", async () => {
    const { gauges } = await ask("/v1/insight/honesty");
    expect(gauges).toHaveLength(1);
    const [{ staffNumber, readings, digits, evenness, quantities }] = gauges;
    expect([staffNumber, evenness]).toEqual(["M001", null]);
    expect(readings).toBe(digits.reduce((sum: number, times: number) => sum + times, 0));
    // Three inspections, each with tyre pressures of 175 and 200 kPa.
    const pressure = quantities.find(({ quantity }: { quantity: string }) => quantity === "front-tyre-pressure");
    expect(pressure.digits).toEqual([0, 0, 0, 0, 0, 3, 0, 0, 0, 0]);
  });

  test("rates count machine-days in the depot, from the first record to now, and the grounded ones", async () => {
    const rates = await ask("/v1/insight/rates");
    // Two machines for 27 hours each; home is grounded from 08:30 on, far from Tuesday 05:30 for three hours.
    expect(rates.machineDays).toBeCloseTo((2 * 27) / 24, 2);
    expect(rates.groundedDays).toBeCloseTo((24 + 3) / 24, 2);
    expect(rates.all).toMatchObject({ defects: 2 });
    // Of so few days no rate is told.
    expect(rates.all.per1000).toBeNull();
    expect(rates.byItem.map(({ itemId }: { itemId: string }) => itemId).sort()).toEqual(["chain-slack", "front-brake-cable"]);
    expect(rates.byCategory.map(({ category, defects }: { category: string; defects: number }) => [category, defects])).toEqual([
      ["dangerous", 1],
      ["major", 1],
      ["minor", 0],
      ["advisory", 0],
    ]);
  });

  test("the time to clear counts what is still open", async () => {
    const { timeToClear } = await ask("/v1/insight/rates");
    expect(timeToClear.all).toMatchObject({ found: 2, cleared: 1, open: 1, medianHours: 3, upperQuartileHours: null });
    expect(timeToClear.byCategory[0]).toMatchObject({ category: "dangerous", medianHours: 3, upperQuartileHours: 3 });
  });

  test("charts hold the days and weeks with their counts and limits", async () => {
    const charts = await ask("/v1/insight/charts");
    expect(
      charts.checksWithDefect.samples.map(({ day, checks, withDefect }: Record<string, unknown>) => [day, checks, withDefect]),
    ).toEqual([
      ["2026-07-13", 3, 0],
      ["2026-07-14", 1, 1],
    ]);
    // Two machines for two days are no week.
    expect(charts.defectsPerMachineDay).toBeNull();
  });

  test("the machines with the gravest findings come first, with what they are made of", async () => {
    const { machines, to } = await ask("/v1/insight/risk");
    // Far: one dangerous (40 points x 3) over one inspection; home: one major over two.
    expect(machines.map(({ registrationMark, score }: Record<string, unknown>) => [registrationMark, score])).toEqual([
      ["FAR1", 120],
      ["HOME1", 15],
    ]);
    expect(machines[0].years[0]).toMatchObject({ to, weight: 3, dangerous: 1, major: 0, minor: 0, points: 40, inspections: 1 });
    expect((await ask("/v1/insight/risk", { limit: 1 })).machines).toHaveLength(1);
    expect((await ask("/v1/insight/risk", { to: "2026-07-12" })).machines.map(({ score }: { score: unknown }) => score)).toEqual([
      null,
      null,
    ]);
  });

  test("a part that a repair renewed counts from then", async () => {
    // On the far machine a frayed cable was replaced by a new one on Tuesday.
    const far = (await ask("/v1/insight/component-life", { depotId: app.cast.farDepotId })).components;
    expect(far.find(({ component }: { component: string }) => component === "front-brake-cable")).toMatchObject({ parts: 1, running: 1 });
  });

  test("another depot's records are neither counted nor named", async () => {
    const far = await ask("/v1/insight/honesty", {}, "F101");
    expect(far.people.map(({ staffNumber }: { staffNumber: string }) => staffNumber)).toEqual(["R101"]);
    expect(far.depots.map(({ name }: { name: string }) => name)).toEqual(["Far"]);
    expect(far.gauges).toHaveLength(1);
    const home = await ask("/v1/insight/rates", { depotId: app.cast.homeDepotId });
    expect(home).toMatchObject({ depotId: app.cast.homeDepotId, all: { defects: 1 } });
    for (const path of paths) {
      await expectAnswer((await as("F101")).get(path).query({ depotId: app.cast.homeDepotId }), 403, "other-depot");
      await expectAnswer((await as("F001")).get(path).query({ depotId: randomUUID() }), 404, "not-found");
    }
  });

  test("days before the records have nothing in them", async () => {
    const past = { from: "2026-05-01", to: "2026-05-31" };
    expect((await ask("/v1/insight/rates", past)).machineDays).toBe(0);
    expect((await ask("/v1/insight/honesty", past)).people).toEqual([]);
  });
});

describe("whoever asks", () => {
  test("is a manager or an auditor", async () => {
    for (const path of paths) {
      for (const who of ["R001", "M001"]) await expectAnswer((await as(who)).get(path), 403, "not-your-role");
      await ask(path, {}, "A001");
    }
  });
  test("asks for days that have begun, and for no more than 366 of them", async () => {
    for (const path of overDays) {
      for (const query of [{ to: "2026-07-30" }, { from: "2025-07-01", to: "2026-07-02" }]) {
        await expectAnswer((await as("F001")).get(path).query(query), 422, "period-not-valid");
      }
      for (const query of [{ from: "yesterday" }, { staffId: randomUUID() }]) {
        await expectAnswer((await as("F001")).get(path).query(query), 422, "not-valid");
      }
      await ask(path, { from: "2025-07-14", to: "2026-07-14" });
    }
    // Risk has its three years: only their end can be chosen.
    await expectAnswer((await as("F001")).get("/v1/insight/risk").query({ to: "2026-07-30" }), 422, "period-not-valid");
    await expectAnswer((await as("F001")).get("/v1/insight/risk").query({ from: "2026-07-01" }), 422, "not-valid");
  });
});
