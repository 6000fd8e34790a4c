import { randomUUID } from "node:crypto";
import { beforeAll, describe, expect, test } from "vitest";
import { chainMachine, testModel } from "../support/machines.ts";
import { chainOf, electricModel, expectRefused, openSmallFleet, type SmallFleet } from "../support/small-fleet.ts";
import { testService } from "../support/test-service.ts";

const { app } = testService();
let fleet: SmallFleet;
beforeAll(async () => {
  fleet = await openSmallFleet(app);
});

const noSuchId = "01980000-0000-7000-8000-000000000000";

describe("depots", () => {
  test("a manager adds a depot; what was left out takes its default, and the firm's record has it", async () => {
    const { body } = await fleet.manager.post("/v1/depots").send({ name: "Harbour", timeZone: "Asia/Kathmandu" }).expect(201);
    expect(body).toMatchObject({ name: "Harbour", timeZone: "Asia/Kathmandu", ruleSet: "gb", workshopHoursPerDay: 8 });
    expect((await chainOf(app.context.db, null)).at(-1)).toEqual({
      kind: "depot-added",
      staffId: app.cast.staffId("F001"),
      data: {
        depotId: body.id,
        name: "Harbour",
        timeZone: "Asia/Kathmandu",
        ruleSet: "gb",
        workshopHoursPerDay: 8,
        secondPerson: null,
        clearanceOverMidnight: null,
      },
    });
  });

  test("everybody sees their own depots, page by page and none twice", async () => {
    const { body: first } = await fleet.auditor.get("/v1/depots?limit=2").expect(200);
    const { body: second } = await fleet.auditor.get("/v1/depots").query({ limit: 2, cursor: first.nextCursor }).expect(200);
    expect([...first.items, ...second.items].map(({ name }) => name)).toEqual(["Far", "Harbour", "Home"]);
    expect(second.nextCursor).toBeNull();
    const { body: own } = await fleet.rider.get("/v1/depots").expect(200);
    expect(own.items.map(({ id }: { id: string }) => id)).toEqual([app.cast.homeDepotId]);
  });

  test.each([
    [{ name: "X", timeZone: "Europe/Nowhere" }, "/timeZone"],
    [{ name: "X", timeZone: "+01:00" }, "/timeZone"],
    [{ name: "X", timeZone: "Etc/GMT-1" }, "/timeZone"],
    [{ name: " ", timeZone: "UTC" }, "/name"],
    [{ timeZone: "UTC" }, "/name"],
    [{ name: "X", timeZone: "UTC", ruleSet: "moon" }, "/ruleSet"],
    [{ name: "X", timeZone: "UTC", workshopHoursPerDay: -1 }, "/workshopHoursPerDay"],
    [{ name: "X", timeZone: "UTC", workshopHoursPerDay: "8" }, "/workshopHoursPerDay"],
    [{ name: "X", timeZone: "UTC", boss: true }, "/boss"],
  ])("a depot that is not valid is refused at its field: %j", async (body, pointer) => {
    await expectRefused(app, () => fleet.manager.post("/v1/depots").send(body), 422, "not-valid", [pointer]);
  });

  test("a manager changes rule set and hours: both figures are on record, once however often it is asked", async () => {
    const { body: depot } = await fleet.manager.post("/v1/depots").send({ name: "Quay", timeZone: "UTC" }).expect(201);
    const asked = { ruleSet: "us-model", workshopHoursPerDay: 6.5, name: "Quay" };
    for (const _ of [1, 2]) {
      const { body } = await fleet.manager.patch(`/v1/depots/${depot.id}`).send(asked).expect(200);
      expect(body).toEqual({ ...depot, ruleSet: "us-model", workshopHoursPerDay: 6.5 });
    }
    const told = (await chainOf(app.context.db, null)).filter(({ kind }) => kind === "depot-amended");
    expect(told.map(({ data }) => data)).toEqual([
      {
        depotId: depot.id,
        before: { ruleSet: "gb", workshopHoursPerDay: 8 },
        after: { ruleSet: "us-model", workshopHoursPerDay: 6.5 },
      },
    ]);
  });

  test("what cannot be changed of a depot is refused, and nothing is stored", async () => {
    const at = (id: string) => `/v1/depots/${id}`;
    const home = at(app.cast.homeDepotId);
    await expectRefused(app, () => fleet.manager.patch(home).send({}), 422, "not-valid", ["/"]);
    await expectRefused(app, () => fleet.manager.patch(home).send({ ruleSet: "moon" }), 422, "not-valid", ["/ruleSet"]);
    await expectRefused(app, () => fleet.manager.patch(home).send({ timeZone: "UTC", name: "X" }), 422, "not-valid", ["/timeZone"]);
    await expectRefused(app, () => fleet.manager.patch(home).send({ name: "Far" }), 409, "name-taken");
    await expectRefused(app, () => fleet.manager.patch(at(noSuchId)).send({ name: "X" }), 404, "not-found");
    await expectRefused(app, () => fleet.farManager.patch(home).send({ name: "X" }), 403, "other-depot");
    for (const client of [fleet.rider, fleet.mechanic, fleet.auditor])
      await expectRefused(app, () => client.patch(home).send({ name: "X" }), 403, "not-your-role");
  });

  test("the rule sets are listed with the source of each figure; one that is not known is null", async () => {
    const { body } = await fleet.rider.get("/v1/rule-sets").expect(200);
    const figure = (id: string, name: string) =>
      body.items.find((set: { id: string }) => set.id === id).figures.find((one: { name: string }) => one.name === name);
    // SI 1986/1078 reg. 27(1)(g)
    expect(figure("gb", "treadLeastMm")).toMatchObject({ value: 1, source: { key: "cu-27", basis: "read" } });
    expect(figure("eu", "treadLeastMm")).toMatchObject({ value: null, source: null });
    expect(figure("eu", "bothBrakesLeastPercent").source.basis).toBe("from-memory");
  });

  test("a name is given once", async () => {
    await expectRefused(app, () => fleet.manager.post("/v1/depots").send({ name: "Home", timeZone: "UTC" }), 409, "name-taken");
  });

  test("only managers add depots, and nobody without signing in", async () => {
    const body = { name: "X", timeZone: "UTC" };
    await expectRefused(app, () => app.anyone.post("/v1/depots").send(body), 401, "not-signed-in");
    for (const client of [fleet.rider, fleet.mechanic, fleet.auditor]) {
      await expectRefused(app, () => client.post("/v1/depots").send(body), 403, "not-your-role");
    }
    await expectRefused(app, () => fleet.farManager.post("/v1/depots").send(body), 403, "other-depot");
    await expectRefused(app, () => app.anyone.get("/v1/depots"), 401, "not-signed-in");
  });

  test("a made-up cursor is refused", async () => {
    for (const cursor of ["x", Buffer.from('["a\\u0000b"]').toString("base64url"), Buffer.from("[1]").toString("base64url")]) {
      await expectRefused(app, () => fleet.rider.get("/v1/depots").query({ cursor }), 422, "not-valid", ["/query/cursor"]);
    }
  });
});

describe("models", () => {
  test("a manager adds a model; everybody reads it; the record holds its figures", async () => {
    const sent = electricModel("Model E");
    const { body } = await fleet.manager.post("/v1/models").send(sent).expect(201);
    expect(body).toMatchObject({ ...sent, revision: 1 });
    expect((await fleet.rider.get(`/v1/models/${body.id}`).expect(200)).body).toEqual(body);
    expect((await chainOf(app.context.db, null)).at(-1)).toMatchObject({ kind: "model-added", data: { modelId: body.id, ...sent } });
    const { body: list } = await fleet.rider.get("/v1/models?limit=200").expect(200);
    expect(list.items).toContainEqual(body);
  });

  test.each([
    [{ engineCc: null }, ["/engineCc"]],
    [{ engineCc: 0 }, ["/engineCc"]],
    [
      { features: { ...chainMachine, power: "electric", start: "electric" } },
      ["/engineCc", "/features/choke", "/handbook/plugGap", "/handbook/clutchFreeTravel"],
    ],
    [
      { features: { ...chainMachine, brakes: { ...chainMachine.brakes, rear: { kind: "drum-cable", workedBy: "foot" } } } },
      ["/handbook/brakeRodNewMm"],
    ],
    [{ features: { ...chainMachine, drive: "shaft" } }, ["/handbook/chainSlack", "/handbook/chain"]],
    [{ features: { ...chainMachine, drive: "hub-motor" }, handbook: {} }, ["/features/drive", "/features/gearcase"]],
    [{ features: { ...chainMachine, start: "pedals" } }, ["/features/pedals", "/handbook/clutchFreeTravel"]],
    [
      { features: { ...chainMachine, pedals: true }, handbook: { clutchFreeTravel: { minMm: 1, maxMm: 2 } } },
      ["/handbook/clutchFreeTravel"],
    ],
    [{ features: { ...chainMachine, wings: 2 } }, ["/features/wings"]],
    [
      { handbook: { chainSlack: { minMm: 10, maxMm: 20 } } },
      ["/handbook/chainSlack/method", "/handbook/chainSlack/run", "/handbook/chainSlack/wheel"],
    ],
    [{ handbook: { plugGap: { minMm: 2, maxMm: 1 } } }, ["/handbook/plugGap/minMm"]],
  ])("a model that contradicts itself is refused at the field: %j", async (changes, pointers) => {
    await expectRefused(
      app,
      () => fleet.manager.post("/v1/models").send({ ...testModel("Model X"), ...changes }),
      422,
      "not-valid",
      pointers,
    );
  });

  test("a revision keeps the figures before and after in the record", async () => {
    const { body: model } = await fleet.manager.post("/v1/models").send(testModel("Model R")).expect(201);
    const figures = { ...testModel("Model R2"), handbook: { brakeRodNewMm: 7 } };
    const { body: revised } = await fleet.manager
      .put(`/v1/models/${model.id}`)
      .send({ ...figures, revision: 1 })
      .expect(200);
    expect(revised).toEqual({ ...model, ...figures, revision: 2 });
    expect((await fleet.mechanic.get(`/v1/models/${model.id}`)).body).toEqual(revised);
    const entry = (await chainOf(app.context.db, null)).at(-1);
    expect(entry).toEqual({
      kind: "model-revised",
      staffId: app.cast.staffId("F001"),
      data: { modelId: model.id, revision: 2, before: testModel("Model R"), after: figures },
    });
  });

  test("of two managers who read the same revision, the second is told and nothing of theirs is stored", async () => {
    const { body: model } = await fleet.manager.post("/v1/models").send(testModel("Model S")).expect(201);
    const put = (name: string) => fleet.manager.put(`/v1/models/${model.id}`).send({ ...testModel(name), revision: 1 });
    const answers = await Promise.all([put("Model S1"), put("Model S2")]);
    expect(answers.map(({ status }) => status).sort((a, b) => a - b)).toEqual([200, 409]);
    await expectRefused(app, () => put("Model S3"), 409, "stale-revision");
  });

  test("a revision to a name that is taken, of a model that is not there, or by somebody who may not is refused", async () => {
    const [one, other] = [testModel(randomUUID()), testModel(randomUUID())];
    const { id } = (await fleet.manager.post("/v1/models").send(one).expect(201)).body;
    await fleet.manager.post("/v1/models").send(other).expect(201);
    const body = { ...other, revision: 1 };
    const path = `/v1/models/${id}`;
    await expectRefused(app, () => fleet.manager.put(path).send(body), 409, "name-taken");
    await expectRefused(app, () => fleet.manager.put(path).send({ ...body, engineCc: null }), 422, "not-valid", ["/engineCc"]);
    await expectRefused(app, () => fleet.manager.put(path).send(testModel("Model Q")), 422, "not-valid", ["/revision"]);
    await expectRefused(app, () => fleet.manager.put(`/v1/models/${noSuchId}`).send({ ...body, name: "Q" }), 404, "not-found");
    await expectRefused(app, () => fleet.mechanic.put(path).send(body), 403, "not-your-role");
    await expectRefused(app, () => fleet.farManager.put(path).send({ ...testModel("Model F"), revision: 1 }), 403, "other-depot");
    await expectRefused(app, () => app.anyone.put(path).send(body), 401, "not-signed-in");
  });

  test("an added model with a taken name, an unknown model and a bad id are refused", async () => {
    const taken = testModel(randomUUID());
    await fleet.manager.post("/v1/models").send(taken).expect(201);
    await expectRefused(app, () => fleet.manager.post("/v1/models").send(taken), 409, "name-taken");
    await expectRefused(app, () => fleet.auditor.post("/v1/models").send(testModel("Model Q")), 403, "not-your-role");
    await expectRefused(app, () => app.anyone.post("/v1/models").send(testModel("Model Q")), 401, "not-signed-in");
    await expectRefused(app, () => fleet.rider.get(`/v1/models/${noSuchId}`), 404, "not-found");
    await expectRefused(app, () => fleet.rider.get("/v1/models/12"), 422, "not-valid", ["/params/id"]);
    await expectRefused(app, () => app.anyone.get(`/v1/models/${fleet.model.id}`), 401, "not-signed-in");
    await expectRefused(app, () => app.anyone.get("/v1/models"), 401, "not-signed-in");
    await expectRefused(app, () => fleet.rider.get("/v1/models?limit=201"), 422, "not-valid", ["/query/limit"]);
  });
});

test("a cursor takes the longest name in any script", async () => {
  const name = "\u0e57".repeat(80);
  for (const one of [name, "\uff5a behind it"]) await fleet.manager.post("/v1/models").send(testModel(one)).expect(201);
  const names: string[] = [];
  for (let cursor: string | null | undefined; cursor !== null; ) {
    const { body } = await fleet.rider
      .get("/v1/models")
      .query({ limit: 1, ...(cursor ? { cursor } : {}) })
      .expect(200);
    names.push(...body.items.map((model: { name: string }) => model.name));
    cursor = body.nextCursor;
  }
  expect(names).toContain(name);
  expect(names.at(-1)).not.toBe(name);
});
