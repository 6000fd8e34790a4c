import { beforeAll, describe, expect, test } from "vitest";
import type { Machine } from "../../shared/contracts/fleet.ts";
import { chainOf, electricModel, expectRefused, machineBody, openSmallFleet, type SmallFleet } from "../support/small-fleet.ts";
import { testService } from "../support/test-service.ts";

const { app } = testService();
let fleet: SmallFleet;
beforeAll(async () => {
  fleet = await openSmallFleet(app);
});

const noSuchId = "01980000-0000-7000-8000-000000000000";
// 49 CFR 565.15(c): the check digit in the ninth place of these is X and, in the second, wrong
const goodVin = "1M8GDM9AXKP042788";
const oddVin = "1M8GDM9A1KP042788";

const history = (machineId: string) =>
  app.context.db.rows<{ position: number; state: unknown }>(
    "SELECT position, state FROM machine_state_history WHERE machine_id = $1::text::uuid ORDER BY position",
    [machineId],
  );

describe("adding a machine", () => {
  test("it enters with a tidy mark, an inspection due before the first ride, and the first entry of its chain", async () => {
    const body = { ...machineBody(app, fleet.model.id, "ab-12 cde"), vin: goodVin.toLowerCase() };
    const { body: machine } = await fleet.manager.post("/v1/machines").send(body).expect(201);
    expect(machine).toMatchObject({
      registrationMark: "AB12CDE",
      vin: goodVin,
      modelName: "Model A",
      depotName: "Home",
      odometerKm: 1200,
      inServiceFrom: "2026-07-01",
      standing: "inspection-overdue",
      lastInspectionAt: null,
      warnings: [],
    });
    expect(machine.reasons.map(({ code }: { code: string }) => code)).toEqual(["first-use-inspection", "unchecked"]);
    const [entry, ...more] = await chainOf(app.context.db, machine.id);
    expect(more).toEqual([]);
    expect(entry).toMatchObject({ kind: "machine-added", staffId: app.cast.staffId("F001"), data: { registrationMark: "AB12CDE" } });
    expect(await history(machine.id)).toMatchObject([{ position: 1, state: { firstUseDue: "new", odometerKm: 1200 } }]);
  });

  test("a number that looks made up is flagged when it is added, amended, shown and listed, and refused by none", async () => {
    const madeUp = "1".repeat(17);
    const codes = (machine: { warnings: { code: string }[] }) => machine.warnings.map(({ code }) => code);
    const machine = await fleet.add("VIN2", { vin: madeUp });
    expect(codes(machine)).toEqual(["vin-made-up"]);
    const path = `/v1/machines/${machine.id}`;
    expect(codes((await fleet.manager.patch(path).send({ vin: goodVin }).expect(200)).body)).toEqual([]);
    expect(codes((await fleet.manager.patch(path).send({ vin: madeUp }).expect(200)).body)).toEqual(["vin-made-up"]);
    expect(codes((await fleet.rider.get(path).expect(200)).body)).toEqual(["vin-made-up"]);
    const listed = (await fleet.manager.get("/v1/machines?limit=200").expect(200)).body.items;
    expect(codes(listed.find(({ id }: { id: string }) => id === machine.id))).toEqual(["vin-made-up"]);
  });

  test("a check digit that does not fit is a warning and no refusal", async () => {
    const machine = await fleet.add("VIN1", { vin: oddVin });
    expect(machine.warnings.map(({ code }) => code)).toEqual(["vin-check-digit"]);
  });

  test.each([
    [{ registrationMark: "A" }, ["/registrationMark"]],
    [{ registrationMark: "AB12;CD" }, ["/registrationMark"]],
    [{ registrationMark: "AB12\u0000CD" }, ["/registrationMark"]],
    [{ registrationMark: "?", vin: "SHORT" }, ["/registrationMark", "/vin"]],
    [{ vin: goodVin.replace("G", "I") }, ["/vin"]],
    [{ modelId: noSuchId }, ["/modelId"]],
    [{ depotId: noSuchId }, ["/depotId"]],
    [{ odometerKm: -1 }, ["/odometerKm"]],
    [{ odometerKm: 12.5 }, ["/odometerKm"]],
    [{ inServiceFrom: "2026-02-30" }, ["/inServiceFrom"]],
    [{ standing: "fit" }, ["/standing"]],
  ])("what is not valid is refused at its field: %j", async (changes, pointers) => {
    const body = { ...machineBody(app, fleet.model.id, "BAD1"), ...changes };
    await expectRefused(app, () => fleet.manager.post("/v1/machines").send(body), 422, "not-valid", pointers);
  });

  test("one mark belongs to one machine, however it is written and whoever comes first", async () => {
    await fleet.add("TWICE1");
    const body = machineBody(app, fleet.model.id, "twice 1");
    await expectRefused(app, () => fleet.manager.post("/v1/machines").send(body), 409, "mark-taken");
    const race = await Promise.all([1, 2, 3].map(() => fleet.manager.post("/v1/machines").send({ ...body, registrationMark: "RACE1" })));
    expect(race.map(({ status }) => status).sort((a, b) => a - b)).toEqual([201, 409, 409]);
  });

  test("managers only, for their own depots only, and signed in", async () => {
    const body = machineBody(app, fleet.model.id, "NOBODY1");
    const post = "/v1/machines";
    await expectRefused(app, () => app.anyone.post(post).send(body), 401, "not-signed-in");
    for (const client of [fleet.rider, fleet.mechanic, fleet.auditor]) {
      await expectRefused(app, () => client.post(post).send(body), 403, "not-your-role");
    }
    await expectRefused(app, () => fleet.farManager.post(post).send(body), 403, "other-depot");
  });
});

describe("seeing machines", () => {
  test("a rider sees the machines of their depots and is refused the others", async () => {
    const home = await fleet.add("SEEN1");
    const far = await fleet.add("SEEN2", { depotId: app.cast.farDepotId });
    expect((await fleet.rider.get(`/v1/machines/${home.id}`).expect(200)).body).toEqual(home);
    await expectRefused(app, () => fleet.rider.get(`/v1/machines/${far.id}`), 403, "other-depot");
    const { body } = await fleet.farRider.get("/v1/machines").expect(200);
    expect(body.items.map(({ registrationMark }: Machine) => registrationMark)).toEqual(["SEEN2"]);
    await expectRefused(app, () => fleet.rider.get(`/v1/machines?depotId=${app.cast.farDepotId}`), 403, "other-depot");
    const { body: asked } = await fleet.mechanic.get(`/v1/machines?depotId=${app.cast.farDepotId}`).expect(200);
    expect(asked.items).toEqual([far]);
  });

  test("a machine is found by its mark or its number, however they are written, among those that one sees", async () => {
    const home = await fleet.add("FIND1", { vin: goodVin });
    const far = await fleet.add("FIND2", { depotId: app.cast.farDepotId, vin: goodVin });
    const found = async (query: object, client = fleet.auditor) =>
      (await client.get("/v1/machines").query(query).expect(200)).body.items.map(({ id }: Machine) => id);
    expect(await found({ mark: "fi nd-1" })).toEqual([home.id]);
    expect(await found({ mark: "FIND" })).toEqual([]);
    const small = ` ${goodVin.toLowerCase()} `;
    expect(await found({ vin: small, limit: 200 })).toEqual(expect.arrayContaining([home.id, far.id]));
    expect(await found({ vin: goodVin, mark: "FIND2" })).toEqual([far.id]);
    expect(await found({ mark: "FIND2" }, fleet.farRider)).toEqual([far.id]);
    expect(await found({ mark: "FIND1" }, fleet.farRider)).toEqual([]);
    await expectRefused(app, () => fleet.auditor.get("/v1/machines").query({ mark: "?", vin: "SHORT" }), 422, "not-valid", [
      "/query/mark",
      "/query/vin",
    ]);
  });

  test("pages give every machine once and in order, for one standing too", async () => {
    for (const mark of ["P1", "P2", "P3", "P4", "P5"]) {
      const machine = await fleet.add(mark);
      if (mark !== "P3") await fleet.manager.patch(`/v1/machines/${machine.id}`).send({ withdrawn: { reason: "Sold" } });
    }
    const all = async (query: object): Promise<string[]> => {
      const marks: string[] = [];
      for (let cursor: string | null | undefined; cursor !== null; ) {
        const { body } = await fleet.auditor.get("/v1/machines").query({ ...query, limit: 2, ...(cursor ? { cursor } : {}) });
        marks.push(...body.items.map(({ registrationMark }: Machine) => registrationMark));
        cursor = body.nextCursor;
      }
      return marks;
    };
    expect(await all({ standing: "withdrawn" })).toEqual(["P1", "P2", "P4", "P5"]);
    const everything = await all({});
    expect(everything).toEqual([...new Set(everything)].sort());
    const [counted] = await app.context.db.rows<{ n: number }>("SELECT count(*)::int AS n FROM machine");
    expect(everything.length).toBe(counted?.n);
    expect(await all({ standing: "fit" })).toEqual([]);
  });

  test("bad questions are refused", async () => {
    const { auditor } = fleet;
    await expectRefused(app, () => auditor.get("/v1/machines?standing=broken"), 422, "not-valid", ["/query/standing"]);
    await expectRefused(app, () => auditor.get("/v1/machines?colour=red"), 422, "not-valid", ["/query/colour"]);
    await expectRefused(app, () => auditor.get("/v1/machines?cursor=abc"), 422, "not-valid", ["/query/cursor"]);
    await expectRefused(app, () => auditor.get(`/v1/machines/${noSuchId}`), 404, "not-found");
    await expectRefused(app, () => auditor.get("/v1/machines/x"), 422, "not-valid", ["/params/id"]);
    await expectRefused(app, () => app.anyone.get("/v1/machines"), 401, "not-signed-in");
    await expectRefused(app, () => app.anyone.get(`/v1/machines/${noSuchId}`), 401, "not-signed-in");
  });
});

describe("amending a machine", () => {
  test("particulars change with one record that holds them before and after", async () => {
    const { body: model } = await fleet.manager.post("/v1/models").send(electricModel("Model E"));
    const machine = await fleet.add("AM1");
    const change = { registrationMark: "am 2", vin: oddVin, modelId: model.id, depotId: app.cast.farDepotId, inServiceFrom: "2026-07-02" };
    const { body } = await fleet.manager.patch(`/v1/machines/${machine.id}`).send(change).expect(200);
    const after = { ...change, registrationMark: "AM2" };
    expect(body).toMatchObject({ ...after, modelName: "Model E", depotName: "Far" });
    const chain = await chainOf(app.context.db, machine.id);
    expect(chain.map(({ kind }) => kind)).toEqual(["machine-added", "machine-amended"]);
    const { registrationMark, vin, modelId, depotId, inServiceFrom } = machine;
    expect(chain.at(-1)?.data).toEqual({
      clearancesEnded: true,
      before: { registrationMark, vin, modelId, depotId, inServiceFrom },
      after,
    });
    expect((await history(machine.id)).map(({ position }) => position)).toEqual([1, 2]);
    await fleet.farRider.get(`/v1/machines/${machine.id}`).expect(200);
    await expectRefused(app, () => fleet.rider.get(`/v1/machines/${machine.id}`), 403, "other-depot");
    expect((await fleet.manager.patch(`/v1/machines/${machine.id}`).send({ vin: null }).expect(200)).body.vin).toBeNull();
  });

  test("asked for what is so already, it answers and records nothing", async () => {
    const machine = await fleet.add("SAME1");
    const { body } = await fleet.manager
      .patch(`/v1/machines/${machine.id}`)
      .send({ registrationMark: "same1", withdrawn: null })
      .expect(200);
    expect(body).toEqual(machine);
    expect(await chainOf(app.context.db, machine.id)).toHaveLength(1);
  });

  test("a new meter is set with its reason, and only with one", async () => {
    const machine = await fleet.add("OD1");
    const path = `/v1/machines/${machine.id}`;
    await expectRefused(app, () => fleet.manager.patch(path).send({ odometerKm: 3 }), 422, "not-valid", ["/reason"]);
    await expectRefused(app, () => fleet.manager.patch(path).send({ reason: "New meter" }), 422, "not-valid", ["/reason"]);
    const { body } = await fleet.manager.patch(path).send({ odometerKm: 3, reason: "New meter" }).expect(200);
    expect(body.odometerKm).toBe(3);
    expect((await chainOf(app.context.db, machine.id)).at(-1)).toMatchObject({
      kind: "machine-amended",
      data: { before: { odometerKm: 1200 }, after: { odometerKm: 3 }, reason: "New meter" },
    });
  });

  test("withdrawn and brought back: out of service with its reason, then an inspection is due first", async () => {
    const machine = await fleet.add("OUT1");
    const path = `/v1/machines/${machine.id}`;
    const { body: out } = await fleet.manager
      .patch(path)
      .send({ withdrawn: { reason: "Bent fork" } })
      .expect(200);
    expect(out.standing).toBe("withdrawn");
    expect(out.reasons[0].text).toContain("Bent fork");
    await fleet.manager
      .patch(path)
      .send({ withdrawn: { reason: "Bent fork" } })
      .expect(200);
    await expectRefused(app, () => fleet.manager.patch(path).send({ withdrawn: { reason: "Sold" } }), 409, "already-withdrawn");
    const { body: back } = await fleet.manager.patch(path).send({ withdrawn: null }).expect(200);
    expect(back.standing).toBe("inspection-overdue");
    expect(back.reasons[0].code).toBe("return-inspection");
    expect((await chainOf(app.context.db, machine.id)).map(({ kind }) => kind)).toEqual([
      "machine-added",
      "machine-withdrawn",
      "machine-returned",
    ]);
  });

  test.each([[{ withdrawn: { reason: "Stolen" } }], [{ withdrawn: null }]])("no clearance outlives %j", async (change) => {
    const machine = await fleet.add(`CL${change.withdrawn ? 1 : 2}`);
    const held = { checkId: noSuchId, riderId: noSuchId, decision: "ride", performedAt: "2026-07-13T04:00:00.000Z" };
    const clearances = JSON.stringify([{ ...held, validUntil: "2026-07-13T18:00:00.000Z" }]);
    const withdrawn = change.withdrawn ? "null" : JSON.stringify({ since: "2026-07-12T00:00:00.000Z", reason: "x" });
    await app.context.db.rows(
      `UPDATE machine SET state = state || jsonb_build_object('clearances', $2::text::jsonb, 'withdrawn', $3::text::jsonb) WHERE id = $1::text::uuid`,
      [machine.id, clearances, withdrawn],
    );
    await fleet.manager.patch(`/v1/machines/${machine.id}`).send(change).expect(200);
    expect((await history(machine.id)).at(-1)?.state).toMatchObject({ clearances: [] });
  });

  test("amendments of one machine at the same moment are all recorded, one after the other", async () => {
    const machine = await fleet.add("BUSY1");
    const days = ["2026-06-01", "2026-06-02", "2026-06-03", "2026-06-04", "2026-06-05"];
    const answers = await Promise.all(
      days.map((inServiceFrom) => fleet.manager.patch(`/v1/machines/${machine.id}`).send({ inServiceFrom })),
    );
    expect(answers.map(({ status }) => status)).toEqual(days.map(() => 200));
    const chain = await chainOf(app.context.db, machine.id);
    expect(chain).toHaveLength(1 + days.length);
    // Each begins where the one before it ended.
    const steps = chain.slice(1).map(({ data }) => data as { before: object; after: object });
    expect(steps.slice(1).map(({ before }) => before)).toEqual(steps.slice(0, -1).map(({ after }) => after));
  });

  test("one that is refused takes no other of the same moment along", async () => {
    const machines = [await fleet.add("SIDE1"), await fleet.add("SIDE2"), await fleet.add("SIDE3")];
    const marks = ["SIDE 9", "SIDE 3", "SIDE 8"];
    const answers = await Promise.all(
      machines.map(({ id }, index) => fleet.manager.patch(`/v1/machines/${id}`).send({ registrationMark: marks[index] })),
    );
    // The third machine gives its mark up at this moment: whether the second gets it depends on who is first.
    expect([answers[0]?.status, answers[2]?.status]).toEqual([200, 200]);
    expect([200, 409]).toContain(answers[1]?.status);
  });

  test("what is not valid, taken, not there or not theirs is refused", async () => {
    const machine = await fleet.add("REF1");
    await fleet.add("REF2");
    const path = `/v1/machines/${machine.id}`;
    const { manager, farManager } = fleet;
    await expectRefused(app, () => manager.patch(path).send({ registrationMark: "ref 2" }), 409, "mark-taken");
    await expectRefused(app, () => manager.patch(path).send({}), 422, "not-valid");
    await expectRefused(app, () => manager.patch(path).send({ registrationMark: "!" }), 422, "not-valid", ["/registrationMark"]);
    await expectRefused(app, () => manager.patch(path).send({ modelId: noSuchId }), 422, "not-valid", ["/modelId"]);
    await expectRefused(app, () => manager.patch(path).send({ depotId: noSuchId }), 422, "not-valid", ["/depotId"]);
    await expectRefused(app, () => manager.patch(path).send({ vin: null, standing: "fit" }), 422, "not-valid", ["/standing"]);
    await expectRefused(app, () => manager.patch(path).send({ withdrawn: {} }), 422, "not-valid", ["/withdrawn/reason"]);
    await expectRefused(app, () => manager.patch(`/v1/machines/${noSuchId}`).send({ vin: null }), 404, "not-found");
    await expectRefused(app, () => farManager.patch(path).send({ vin: null }), 403, "other-depot");
    await expectRefused(app, () => farManager.patch(path).send({ depotId: app.cast.farDepotId }), 403, "other-depot");
    const far = await fleet.add("REF3", { depotId: app.cast.farDepotId });
    await expectRefused(app, () => farManager.patch(`/v1/machines/${far.id}`).send({ depotId: app.cast.homeDepotId }), 403, "other-depot");
    await expectRefused(app, () => fleet.mechanic.patch(path).send({ vin: null }), 403, "not-your-role");
    await expectRefused(app, () => app.anyone.patch(path).send({ vin: null }), 401, "not-signed-in");
  });
});
