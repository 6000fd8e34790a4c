// A weekly inspection is signed by whoever submits it: the competence for it, whatever was put right takes what a sign-off takes, two look
// before a grounding defect of steering, wheels or brakes goes away, and one part is one on both sheets.
import { randomUUID } from "node:crypto";
import { beforeEach, describe, expect, test } from "vitest";
import type { WeeklyAnswer } from "../../shared/contracts/checks.ts";
import { competenceSchema } from "../../shared/contracts/common.ts";
import { rebuildState } from "../../src/acts/index.ts";
import { carryOutChanges } from "../../src/people/index.ts";
import { expectAnswer, onBoard, repairOf, reportOf } from "../support/acts.ts";
import { addTestMachine, inspectionOf, nilCheckOf } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";

const { app, as } = testService();

/** M003 holds these and no other competence. */
const holding = async (...competences: string[]): Promise<void> => {
  const id = app.cast.staffId("M003");
  await expectAnswer((await as("F001")).patch(`/v1/staff/${id}`).send({ competences }), 200);
};
beforeEach(() => holding("inspection"));

type Changes = Readonly<Record<string, Partial<WeeklyAnswer>>>;

const bodyWith = (machineId: string, changes: Changes) => {
  const body = inspectionOf(app, machineId);
  // Whoever moves the chain tightens the axle nut after it.
  const chain = changes["chain-slack"]?.actions === undefined ? {} : ({ "rear-wheel-fast": { actions: ["tightened"] } } satisfies Changes);
  const all: Changes = { ...chain, ...changes };
  return { ...body, answers: body.answers.map((answer) => ({ ...answer, ...all[answer.itemId] })) };
};

async function inspect(by: string, changes: Changes, machineId?: string) {
  const id = machineId ?? (await addTestMachine(app));
  app.context.clock.advance(60_000);
  const receipt = await expectAnswer((await as(by)).post("/v1/weekly-inspections").send(bodyWith(id, changes)), 201);
  expect((await rebuildState(app.context.db, id))?.differences).toEqual([]);
  return { machineId: id, receipt };
}

const defectOf = async (id: string) => expectAnswer((await as("M001")).get(`/v1/defects/${id}`), 200);
const check = async (machineId: string) => {
  app.context.clock.advance(60_000);
  return (await expectAnswer((await as("R001")).post("/v1/daily-checks").send(nilCheckOf(app, machineId)), 201)).clearance;
};
const raise = async (machineId: string, observationId: string) => {
  app.context.clock.advance(60_000);
  return (await expectAnswer((await as("R001")).post("/v1/defects").send(reportOf(app, machineId, observationId)), 201)).defect;
};
const act = async (by: string, id: string, what: string, body: object, status = 201, code?: string) => {
  app.context.clock.advance(60_000);
  return expectAnswer((await as(by)).post(`/v1/defects/${id}/${what}`).send({ id: randomUUID(), ...body }), status, code);
};

describe("who signs", () => {
  test("one without the competence inspection submits none: not a week's, not a first one, not one after a return; nothing is stored", async () => {
    await holding(...competenceSchema.options.filter((one) => one !== "inspection"));
    const machineId = await addTestMachine(app, { inspected: false });
    const body = bodyWith(machineId, {});
    await expectAnswer((await as("M003")).post("/v1/weekly-inspections").send(body), 403, "competence-missing");
    expect((await onBoard(as, machineId)).reasons[0]?.code).toBe("first-use-inspection");
    await expectAnswer((await as("M001")).get(`/v1/weekly-inspections/${body.id}`), 404, "not-found");
    // Nor past the service: the table itself asks for the signer's competence.
    await expect(
      app.context.db.rows(
        `INSERT INTO weekly_inspection (id, machine_id, depot_id, staff_id, local_day, performed_at, recorded_at, odometer_km, defect_count, flags)
         SELECT id, machine_id, depot_id, $1::text::uuid, now(), now(), now(), 1, 0, '{}' FROM ledger WHERE kind = 'machine-added' LIMIT 1`,
        [app.cast.staffId("M003")],
      ),
    ).rejects.toMatchObject({ code: "FR002" });
  });

  test("one measures and saves the draft, another reads it and signs: both names stand in the record, each at what they answered", async () => {
    await holding();
    const machineId = await addTestMachine(app);
    const id = randomUUID();
    const { sheetVersion, odometerKm, answers } = bodyWith(machineId, {});
    const save = async (by: string, revision: number, all: readonly unknown[]) =>
      expectAnswer(
        (await as(by)).put(`/v1/weekly-inspections/drafts/${id}`).send({ machineId, sheetVersion, revision, odometerKm, answers: all }),
        200,
      );
    await save("M003", 0, answers);
    const changed = answers.map((answer) => (answer.itemId === "front-lining" ? { ...answer, asFound: 3.9 } : answer));
    const { draft } = await save("M001", 1, changed);
    expect(draft.measuredBy).toEqual([
      { staffId: app.cast.staffId("M003"), name: "Person M003", itemIds: expect.not.arrayContaining(["front-lining"]) },
      { staffId: app.cast.staffId("M001"), name: "Person M001", itemIds: ["front-lining"] },
    ]);
    // What the signer sends otherwise than it was drafted is the signer's own.
    const sent = changed.map((answer) => (answer.itemId === "chain-slack" ? { ...answer, asFound: 21 } : answer));
    const body = { ...bodyWith(machineId, {}), id, answers: sent };
    const { inspection } = await expectAnswer((await as("M001")).post("/v1/weekly-inspections").send(body), 201);
    expect(inspection.staffId).toBe(app.cast.staffId("M001"));
    const others = answers.map(({ itemId }) => itemId).filter((itemId) => itemId !== "front-lining" && itemId !== "chain-slack");
    expect(inspection.measuredBy).toEqual([{ staffId: app.cast.staffId("M003"), itemIds: others }]);
    expect((await expectAnswer((await as("A001")).get(`/v1/weekly-inspections/${id}`), 200)).inspection).toEqual(inspection);
  });

  test("every mechanic who held any competence got inspection once, with a record by the service; who held none did not", async () => {
    await holding("brakes");
    await app.context.db.rows("UPDATE firm SET carried_out = '{}'");
    expect(await carryOutChanges(app.context)).toEqual(["grant-inspection"]);
    const held = async (number: string) =>
      (await app.context.db.rows<{ competences: string[] }>("SELECT competences FROM staff WHERE staff_number = $1::text", [number]))[0]
        ?.competences;
    expect(await held("M003")).toEqual(["brakes", "inspection"]);
    const entries = await app.context.db.rows<{ by: string | null; data: object }>(
      "SELECT staff_id AS by, data FROM ledger WHERE data->>'because' = 'grant-inspection'",
    );
    expect(entries).toMatchObject([
      { by: null, data: { personId: app.cast.staffId("M003"), competences: ["brakes", "inspection"], changed: ["competences"] } },
    ]);
    // Once: a manager who takes it away again is not overruled by the next start.
    await holding("brakes");
    expect(await carryOutChanges(app.context)).toEqual([]);
    expect(await held("M003")).toEqual(["brakes"]);
    await holding();
    expect(await held("M003")).toEqual([]);
  });
});

describe("what was put right at an inspection", () => {
  test.each<[string, Changes, string, string]>([
    ["a lining renewed", { "front-lining": { asFound: 0.5, asLeft: 4, actions: ["replaced"] } }, "front-lining", "major"],
    [
      "a tyre renewed",
      { "front-tyre-tread-weekly": { asFound: 0.4, asLeft: 6, actions: ["replaced"] } },
      "front-tyre-tread-weekly",
      "major",
    ],
    [
      "a rim trued",
      { "front-wheel-run-out": { asFound: 9, readTwice: true, asLeft: 0.5, actions: ["adjusted"] } },
      "front-wheel-run-out",
      "major",
    ],
    ["a brake cable renewed", { "front-brake-cable-ends": { actions: ["replaced"] } }, "front-brake-cable-ends", "major"],
    // 25 % under or more: 49 CFR 571.138 S4.2(a).
    [
      "a flat tyre pumped up",
      { "front-tyre-pressure-weekly": { asFound: 100, asLeft: 175, actions: ["topped-up"] } },
      "front-tyre-pressure-weekly",
      "major",
    ],
    ["a chain adjusted", { "chain-slack": { asFound: 30, asLeft: 20, actions: ["adjusted"] } }, "chain-slack", "minor"],
    ["a spindle tightened", { "front-spindle": { actions: ["tightened"] } }, "front-spindle", "major"],
    ["an axle nut tightened for no chain", { "rear-wheel-fast": { actions: ["tightened"] } }, "rear-wheel-fast", "major"],
    [
      "a brake set and called oiled",
      { "front-brake-free-travel": { asFound: 35, asLeft: 25, actions: ["lubricated"] } },
      "front-brake-free-travel",
      "minor",
    ],
  ])(
    "%s by one without the item's competence opens as a defect whose repair is told, and waits for one who holds it",
    async (...[, changes, itemId, category]) => {
      const { receipt, machineId } = await inspect("M003", changes);
      expect(receipt.defects).toMatchObject([{ itemId, category, status: "repaired", sighting: false }]);
      expect(receipt.standing).toBe(category === "minor" ? "unchecked" : "grounded");
      expect((await check(machineId)).decision).toBe(category === "minor" ? "ride-with-defects" : "do-not-ride");
      const [{ id }] = receipt.defects;
      const defect = await defectOf(id);
      expect(defect).toMatchObject({ status: "repaired", repairedBy: app.cast.staffId("M003"), origin: "weekly-inspection" });
      expect(defect.course.map(({ kind }: { kind: string }) => kind)).toEqual(["raised", "repair"]);
      await act("M003", id, "sign-off", {}, 403, "competence-missing");
      await act("M001", id, "sign-off", {});
      expect((await rebuildState(app.context.db, machineId))?.differences).toEqual([]);
      expect((await check(machineId)).decision).toBe("ride");
    },
  );

  test.each<[string, Changes]>([
    ["a lining below its limit", { "front-lining": { asFound: 0.5, asLeft: 4, actions: ["replaced"] } }],
    ["a tyre a quarter under", { "front-tyre-pressure-weekly": { asFound: 120, asLeft: 175, actions: ["topped-up"] } }],
    [
      "a frayed cable",
      { "front-brake-cable-ends": { result: "defect", observationIds: ["front-brake-cable-ends.frayed"], actions: ["replaced"] } },
    ],
  ])("%s, put right by one who holds every competence, still waits for a second person", async (_what, changes) => {
    const { receipt, machineId } = await inspect("M001", changes);
    expect(receipt).toMatchObject({ standing: "grounded", defects: [{ status: "repaired" }] });
    const [{ id }] = receipt.defects;
    await act("M001", id, "sign-off", {}, 403, "second-person-needed");
    await act("M002", id, "sign-off", {});
    expect((await check(machineId)).decision).toBe("ride");
  });

  test.each<[string, string, Changes]>([
    [
      "a chain that fouled, put right by one with its competence",
      "M001",
      { "chain-slack": { asFound: 45, asLeft: 20, actions: ["adjusted"] } },
    ],
    [
      "a lever out of its range, set by one with its competence",
      "M001",
      { "front-brake-free-travel": { asFound: 35, asLeft: 25, actions: ["adjusted"] } },
    ],
    [
      "air, oil and a cleaning by the one who inspects",
      "M003",
      {
        "front-tyre-pressure-weekly": { asFound: 150, asLeft: 175, actions: ["topped-up"] },
        "engine-oil-level": { asFound: 10, asLeft: 80, actions: ["topped-up"] },
        "levers-and-pivots": { actions: ["lubricated"] },
        "air-filter": { actions: ["cleaned"] },
      },
    ],
  ])("%s needs no more than the signature", async (_what, by, changes) => {
    const { receipt, machineId } = await inspect(by, changes);
    expect([receipt.defects, receipt.standing]).toEqual([[], "unchecked"]);
    expect((await check(machineId)).decision).toBe("ride");
  });

  test("after the chain was adjusted the last item of the drive asks for the axle nut, after new bearings the spindle, and a loose one grounds", async () => {
    const chain = { "chain-slack": { asFound: 30, asLeft: 20, actions: ["adjusted"] } } satisfies Changes;
    const codes = async (told: Changes) => {
      const { receipt } = await inspect("M001", { ...chain, ...told });
      expect(receipt.defects).toEqual([]);
      return receipt.guidance.map(({ code, itemId }: { code: string; itemId: string }) => `${itemId} ${code}`);
    };
    expect(await codes({ "rear-wheel-fast": { actions: [] } })).toEqual(["rear-wheel-fast tighten"]);
    expect(await codes({})).toEqual([]);
    expect(await codes({ "front-wheel-bearings": { actions: ["replaced"] } })).toEqual(["front-spindle tighten"]);
    const { receipt } = await inspect("M001", {
      "chain-slack": { asFound: 30, asLeft: 20, actions: ["adjusted"] },
      "rear-wheel-fast": { result: "defect", observationIds: ["rear-wheel-fast.axle-nut-loose"], actions: [] },
    });
    expect(receipt).toMatchObject({ standing: "grounded", defects: [{ itemId: "rear-wheel-fast", category: "major" }] });
  });

  test("a value that grounds and was left half right weighs as found; air without a word of what was done takes the competence", async () => {
    const { receipt: silent } = await inspect("M003", { "front-tyre-pressure-weekly": { asFound: 150, asLeft: 175 } });
    expect(silent.defects).toMatchObject([{ category: "minor", status: "repaired" }]);
    const half = { asFound: 0.5, asLeft: 1.3, actions: ["replaced"] } satisfies Partial<WeeklyAnswer>;
    for (const by of ["M003", "M001"]) {
      const { receipt } = await inspect(by, { "front-tyre-tread-weekly": half });
      expect(receipt).toMatchObject({ standing: "grounded", defects: [{ category: "major", status: "open" }] });
    }
  });

  test("an inspection made before a repair signs nothing of it off", async () => {
    const machineId = await addTestMachine(app);
    const { id } = await raise(machineId, "chain.slack");
    app.context.clock.advance(60_000);
    const early = bodyWith(machineId, {});
    app.context.clock.advance(60_000);
    await act("M003", id, "repairs", repairOf(app));
    await expectAnswer((await as("M001")).post("/v1/weekly-inspections").send(early), 201);
    expect((await defectOf(id)).status).toBe("repaired");
  });

  test("what is told as a defect and was not put right is open, and a cable that was adjusted is no new cable", async () => {
    const frayed = { result: "defect", observationIds: ["front-brake-cable-ends.frayed"], actions: ["adjusted"] } as const;
    const { receipt } = await inspect("M001", {
      "front-brake-cable-ends": { ...frayed, observationIds: [...frayed.observationIds], actions: [...frayed.actions] },
    });
    expect(receipt.defects).toMatchObject([{ category: "dangerous", status: "open" }]);
  });

  test("whoever measured did the work: the signer of their sheet is the second person, they are not", async () => {
    await holding("inspection", "brakes");
    const machineId = await addTestMachine(app);
    const body = { ...bodyWith(machineId, { "front-lining": { asFound: 0.5, asLeft: 4, actions: ["replaced"] } }), id: randomUUID() };
    const { sheetVersion, odometerKm, answers, id } = body;
    await expectAnswer(
      (await as("M003")).put(`/v1/weekly-inspections/drafts/${id}`).send({ machineId, sheetVersion, revision: 0, odometerKm, answers }),
      200,
    );
    // A word that the signer adds does not take the work over.
    const read = body.answers.map((answer) => (answer.itemId === "front-lining" ? { ...answer, note: "read" } : answer));
    const { defects } = await expectAnswer((await as("M001")).post("/v1/weekly-inspections").send({ ...body, answers: read }), 201);
    expect((await defectOf(defects[0].id)).repairedBy).toBe(app.cast.staffId("M003"));
    await act("M003", defects[0].id, "sign-off", {}, 403, "second-person-needed");
    await act("M001", defects[0].id, "sign-off", {});
    expect((await rebuildState(app.context.db, machineId))?.differences).toEqual([]);
  });
});

describe("two have to look", () => {
  const leak = "front-brake-cable.cannot-apply";

  test("a brake that grounds is not found by two, and by nobody who looked twice; until then nothing changes", async () => {
    const machineId = await addTestMachine(app);
    const { id } = await raise(machineId, leak);
    const reading = { value: 25, unit: "mm" };
    const first = await act("M001", id, "not-found", { reason: "Tightened it", reading });
    expect(first).toMatchObject({ defect: { status: "open", secondLookNeeded: true }, machine: { standing: "grounded" } });
    expect((await check(machineId)).decision).toBe("do-not-ride");
    expect(await defectOf(id)).toMatchObject({
      status: "open",
      closedAt: null,
      firstLook: { finding: "not-found", staffId: app.cast.staffId("M001") },
    });
    await act("M001", id, "not-found", { reason: "Again", reading }, 403, "second-person-needed");
    expect((await rebuildState(app.context.db, machineId))?.differences).toEqual([]);
    const second = await act("M002", id, "not-found", { reason: "Took it out and looked", reading });
    expect(second).toMatchObject({ defect: { status: "not-found", secondLookNeeded: false } });
    expect((await rebuildState(app.context.db, machineId))?.differences).toEqual([]);
    expect((await check(machineId)).decision).toBe("ride");
  });

  test("seen again or repaired since, the first look counts no more", async () => {
    const machineId = await addTestMachine(app);
    const { id } = await raise(machineId, "front-brake-cable.frayed");
    const reading = { value: 25, unit: "mm" };
    await act("M001", id, "not-found", { reason: "Looked", reading });
    await raise(machineId, "front-brake-cable.frayed");
    expect(await act("M002", id, "not-found", { reason: "Looked", reading })).toMatchObject({ defect: { status: "open" } });
    await act("M003", id, "repairs", repairOf(app));
    await act("M001", id, "not-found", { reason: "Looked", reading }, 409, "already-repaired");
  });

  test("a frayed brake cable is lowered to minor by two, and rides after the second only", async () => {
    const machineId = await addTestMachine(app);
    const { id } = await raise(machineId, "front-brake-cable.frayed");
    const lower = (by: string, status?: number, code?: string) =>
      act(by, id, "regrades", { category: "minor", reason: "One strand" }, status, code);
    expect(await lower("M001")).toMatchObject({
      defect: { category: "dangerous", secondLookNeeded: true },
      machine: { standing: "grounded" },
    });
    expect((await check(machineId)).decision).toBe("do-not-ride");
    await lower("M001", 403, "second-person-needed");
    expect(await lower("M002")).toMatchObject({ defect: { category: "minor", secondLookNeeded: false } });
    expect((await rebuildState(app.context.db, machineId))?.differences).toEqual([]);
    expect((await check(machineId)).decision).toBe("ride-with-defects");
  });

  test("a finding of no fault and a lowering are two different things: one of each changes nothing", async () => {
    const { id } = await raise(await addTestMachine(app), "front-brake-cable.drags");
    await act("M001", id, "not-found", { reason: "Looked", reading: { value: 25, unit: "mm" } });
    expect(await act("M002", id, "regrades", { category: "minor", reason: "A little" })).toMatchObject({ defect: { category: "major" } });
  });

  test("a valve cap takes one pair of hands; under the policy `all` it takes two, of a depot before the firm's", async () => {
    const cap = async () => {
      const machineId = await addTestMachine(app);
      const { id } = await raise(machineId, "front-tyre-pressure.cap-missing");
      await act("M001", id, "repairs", repairOf(app));
      return id;
    };
    const reading = { value: 175, unit: "kPa" };
    const one = await cap();
    expect((await defectOf(one)).secondPerson).toBe(false);
    await act("M001", one, "sign-off", { reading });
    const depot = `/v1/depots/${app.cast.homeDepotId}`;
    await expectAnswer((await as("F001")).patch(depot).send({ secondPerson: "all" }), 200);
    const two = await cap();
    await act("M001", two, "sign-off", { reading }, 403, "second-person-needed");
    await act("M002", two, "sign-off", { reading });
    await expectAnswer((await as("F001")).patch(depot).send({ secondPerson: "off" }), 200);
    const { id } = await raise(await addTestMachine(app), leak);
    await act("M001", id, "not-found", { reason: "One mechanic only", reading: { value: 25, unit: "mm" } });
    expect((await defectOf(id)).status).toBe("not-found");
    await expectAnswer((await as("F001")).patch(depot).send({ secondPerson: null }), 200);
  });
});

describe("one part on both sheets", () => {
  test("what the weekly inspection finds at the part of an open daily defect is a sighting of it, and the other way round", async () => {
    const machineId = await addTestMachine(app);
    const tread = await raise(machineId, "front-tyre-tread.near-limit");
    const { receipt } = await inspect("M001", { "front-tyre-tread-weekly": { asFound: 0.8 } }, machineId);
    expect(receipt.defects).toMatchObject([{ id: tread.id, sighting: true, category: "major" }]);
    const other = await addTestMachine(app);
    const found = await inspect("M001", { "rear-lamps": { result: "defect", observationIds: ["rear-lamps.lens-cracked"] } }, other);
    const [{ id }] = found.receipt.defects;
    expect((await raise(other, "lamps.tail-lamp-out")).id).toBe(id);
    expect((await raise(other, "horn.weak")).id).not.toBe(id);
  });

  test("an inspection that leaves a part as it should be closes its minor defects in the same act: nobody is grounded the morning after", async () => {
    const machineId = await addTestMachine(app);
    const slack = await raise(machineId, "chain.slack");
    const soft = await raise(machineId, "front-tyre-pressure.a-little-soft");
    const horn = await raise(machineId, "horn.weak");
    const lid = await raise(machineId, "stand.stiff");
    const left = {
      "chain-slack": { asFound: 30, asLeft: 20, actions: ["adjusted"] },
      "front-tyre-pressure-weekly": { asFound: 150, asLeft: 175, actions: ["topped-up"] },
      "stand-weekly": { result: "defect", observationIds: ["stand-weekly.dry"] },
    } satisfies Changes;
    const { receipt } = await inspect("M001", left, machineId);
    expect(receipt.defects).toMatchObject([{ id: lid.id, sighting: true }]);
    expect(receipt.closed).toEqual([
      { id: slack.id, itemId: "chain", status: "signed-off" },
      { id: soft.id, itemId: "front-tyre-pressure", status: "signed-off" },
      { id: horn.id, itemId: "horn", status: "not-found" },
    ]);
    expect([await defectOf(slack.id), await defectOf(soft.id), await defectOf(horn.id)]).toMatchObject([
      { status: "signed-off", closedBy: app.cast.staffId("M001"), repairedBy: app.cast.staffId("M001") },
      { status: "signed-off" },
      { status: "not-found", repairedBy: null },
    ]);
    app.context.clock.advance(86_400_000);
    expect((await check(machineId)).reasons.map(({ defectId }: { defectId?: string }) => defectId)).toEqual([lid.id]);
  });

  test("it closes nothing that grounds, nothing seen since, and nothing without the item's competence", async () => {
    await holding("inspection", "general");
    const machineId = await addTestMachine(app);
    const silent = await raise(machineId, "horn.silent");
    const slack = await raise(machineId, "chain.slack");
    const { receipt } = await inspect("M003", {}, machineId);
    expect(receipt.standing).toBe("grounded");
    expect([(await defectOf(silent.id)).status, (await defectOf(slack.id)).status]).toEqual(["open", "open"]);
    const early = bodyWith(machineId, {});
    app.context.clock.advance(600_000);
    await raise(machineId, "chain.slack");
    await expectAnswer((await as("M001")).post("/v1/weekly-inspections").send(early), 201);
    expect((await defectOf(slack.id)).status).toBe("open");
  });
});
