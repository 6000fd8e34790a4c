// What is wrong with the rider stops the rider, not the machine; and what the sheet offers, the service takes.
import { describe, expect, test } from "vitest";
import type { DailyCheckBody, DailyCheckReceipt } from "../../shared/contracts/checks.ts";
import { nilAnswers } from "../../shared/rules/as-new.ts";
import { rebuildState } from "../../src/acts/index.ts";
import { sheetVersions } from "../../src/checks/index.ts";
import { expectAnswer, onBoard, reportOf } from "../support/acts.ts";
import { answersAsNew } from "../support/answers-as-new.ts";
import { openTestContext } from "../support/context.ts";
import { chainMachine, testMachine } from "../support/machines.ts";
import { addTestMachine, checkFinding, inspectionOf, nilCheckOf } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";

const { app, as } = testService(() => openTestContext("2026-12-02T06:00:00.000Z"));

const submit = async (body: object, who = "R001", status = 201, code?: string): Promise<DailyCheckReceipt> =>
  expectAnswer((await as(who)).post("/v1/daily-checks").send(body), status, code);
const nil = (machineId: string, who: string, changes: Partial<DailyCheckBody> = {}) => submit(nilCheckOf(app, machineId, changes), who);
const licence = async (who: string, licenceClass: string | null) =>
  expectAnswer((await as("F001")).patch(`/v1/staff/${app.cast.staffId(who)}`).send({ licenceClass }), 200);
const clearancesOf = async (machineId: string) => {
  const { state } = await app.context.db.prisma.machine.findUniqueOrThrow({ where: { id: machineId } });
  return (state as unknown as { clearances: { riderId: string }[] }).clearances.map(({ riderId }) => riderId);
};

describe("a rider who is not equipped", () => {
  test.each(["helmet-damaged", "gloves-missing", "clothing-torn"])(
    "%s stops this rider with its reason, raises no defect and leaves the machine to everybody else",
    async (seen) => {
      const machineId = await addTestMachine(app);
      await nil(machineId, "R002");
      const stopped = await submit(checkFinding(app, machineId, `rider-gear.${seen}`));
      expect(stopped.clearance).toMatchObject({ decision: "do-not-ride", validUntil: null });
      expect(stopped.clearance.reasons).toMatchObject([{ code: "rider-not-equipped", observationIds: [`rider-gear.${seen}`] }]);
      expect(stopped).toMatchObject({ defects: [], rider: { stopped: true, findings: [{ itemId: "rider-gear", category: "major" }] } });
      // The machine is what it was, and its other rider still holds a clearance.
      expect(await onBoard(as, machineId)).toMatchObject({ standing: "fit", reasons: [] });
      expect(await clearancesOf(machineId)).toEqual([app.cast.staffId("R002")]);
      // The record says it, and the state follows from the records.
      const shown = await expectAnswer((await as("A001")).get(`/v1/daily-checks/${stopped.check.id}`), 200);
      expect(shown).toEqual(stopped);
      expect((await rebuildState(app.context.db, machineId))?.differences).toEqual([]);
    },
  );

  test("loses the clearance held so far on this machine, and a check with other gloves gives it back", async () => {
    const machineId = await addTestMachine(app);
    await nil(machineId, "R001");
    app.context.clock.advance(60_000);
    await submit(checkFinding(app, machineId, "rider-gear.gloves-missing"));
    expect(await clearancesOf(machineId)).toEqual([]);
    expect((await rebuildState(app.context.db, machineId))?.differences).toEqual([]);
    app.context.clock.advance(60_000);
    expect((await nil(machineId, "R001")).clearance.decision).toBe("ride");
    expect(await clearancesOf(machineId)).toEqual([app.cast.staffId("R001")]);
  });

  test("a check that was made before does not take a later clearance away when it arrives late", async () => {
    const machineId = await addTestMachine(app);
    const before = app.context.clock.now().toISOString();
    app.context.clock.advance(60_000);
    await nil(machineId, "R001");
    await submit(checkFinding(app, machineId, "rider-gear.gloves-missing", { performedAt: before }));
    expect(await clearancesOf(machineId)).toEqual([app.cast.staffId("R001")]);
    expect((await rebuildState(app.context.db, machineId))?.differences).toEqual([]);
  });

  test("on every sheet that ever was a cracked helmet stops the rider only", async () => {
    for (const sheetVersion of sheetVersions) {
      const machineId = await addTestMachine(app);
      const got = await submit(checkFinding(app, machineId, "rider-gear.helmet-damaged", { sheetVersion }));
      expect(got.clearance.reasons.map(({ code }) => code)).toEqual(["rider-not-equipped"]);
      expect((await onBoard(as, machineId)).standing).toBe("unchecked");
    }
  });

  test("what is only untidy is kept in the record and stops nobody; a defect of the machine beside it counts as ever", async () => {
    const machineId = await addTestMachine(app);
    const scratched = await submit(checkFinding(app, machineId, "rider-gear.visor-scratched"));
    expect(scratched.clearance).toMatchObject({ decision: "ride", reasons: [] });
    expect(scratched).toMatchObject({ defects: [], rider: { stopped: false, findings: [{ category: "minor" }] } });
    const both = checkFinding(app, machineId, "stop-lamp.out");
    const answers = both.answers.map((one) =>
      one.itemId === "rider-gear" ? { ...one, result: "defect" as const, observationIds: ["rider-gear.helmet-damaged"] } : one,
    );
    const got = await submit({ ...both, answers });
    expect(got.clearance.reasons.map(({ code }) => code)).toEqual(["rider-not-equipped", "grounding-defect"]);
    expect(got.defects).toMatchObject([{ itemId: "stop-lamp" }]);
    expect((await onBoard(as, machineId)).standing).toBe("grounded");
  });

  test("no report makes it a defect of the machine either: it says where it belongs, and takes the rest", async () => {
    const machineId = await addTestMachine(app);
    const rider = await as("R001");
    const of = (observationId: string, changes: object = {}) => reportOf(app, machineId, observationId, changes);
    await expectAnswer(rider.post("/v1/defects").send(of("rider-gear.helmet-damaged")), 422, "about-the-rider");
    await expectAnswer(
      rider.post("/v1/defects").send(of("x", { observationIds: [], itemId: "rider-gear", note: "cracked" })),
      422,
      "about-the-rider",
    );
    expect((await onBoard(as, machineId)).standing).toBe("unchecked");
    const mixed = of("stop-lamp.out", { observationIds: ["rider-gear.helmet-damaged", "stop-lamp.out"] });
    const { defect } = await expectAnswer(rider.post("/v1/defects").send(mixed), 201);
    expect(await expectAnswer(rider.get(`/v1/defects/${defect.id}`), 200)).toMatchObject({
      itemId: "stop-lamp",
      observationIds: ["stop-lamp.out"],
    });
    expect((await onBoard(as, machineId)).reasons).toHaveLength(2);
  });
});

describe("a licence class on file that does not cover the machine", () => {
  // The test model has 110 cm³: class A1 (SI 2012/977 sch. 3, limits of AM and A1).
  test.each([
    ["AM", false],
    ["B", false],
    ["A1", true],
    ["A", true],
    // One that nobody can compare is no obstacle, and none on file is none.
    ["Kl. 4", true],
    [null, true],
  ])("class %s: rides %s", async (held, rides) => {
    const machineId = await addTestMachine(app);
    await licence("R001", held);
    const { clearance, rider } = await nil(machineId, "R001");
    await licence("R001", null);
    expect(rider.stopped).toBe(!rides);
    if (rides) expect(clearance.decision).toBe("ride");
    else {
      expect(clearance).toMatchObject({ decision: "do-not-ride", reasons: [{ code: "licence-class", held: "AM", needed: "A1" }] });
      expect(clearance.reasons[0]?.text).toMatch(/AM.*A1/);
    }
    expect((await nil(machineId, "R002")).clearance.decision).toBe("ride");
  });
});

test("the records of the month say what was of the rider, in words", async () => {
  const machineId = await addTestMachine(app);
  await submit(checkFinding(app, machineId, "rider-gear.helmet-damaged"));
  await licence("R001", "AM");
  await nil(machineId, "R001");
  await licence("R001", null);
  const month = app.context.clock.now().toISOString().slice(0, 7);
  const { text } = await (await as("A001")).get("/v1/records").query({ month, format: "csv" });
  expect(text).toContain("not cleared; of the rider: Helmet cracked or its strap broken");
  expect(text).toContain("not cleared; of the rider: licence class AM does not cover the machine");
});

describe("not applicable", () => {
  const without = (itemId: string) =>
    nilAnswers(chainMachine).map((one) => (one.itemId === itemId ? { ...one, result: "not-applicable" as const } : one));

  test("is taken exactly where the sheet offers it, daily: flagged for the manager, and cleared", async () => {
    const machineId = await addTestMachine(app);
    const { stations } = await expectAnswer((await as("R001")).get(`/v1/machines/${machineId}/sheet`).query({ kind: "daily" }), 200);
    const items = (stations as { items: { id: string; notApplicable: boolean }[] }[]).flatMap((station) => station.items);
    expect(items.some(({ notApplicable }) => notApplicable) && items.some(({ notApplicable }) => !notApplicable)).toBe(true);
    for (const { id, notApplicable } of items) {
      const body = nilCheckOf(app, machineId, { answers: without(id) });
      if (!notApplicable) {
        await submit(body, "R001", 422, "check-not-whole");
        continue;
      }
      const got = await submit(body);
      expect([id, got.clearance.decision, got.check.flags]).toEqual([id, "ride", ["not-applicable-claimed", "proof-missing"]]);
    }
  });

  test("weekly: an item of a feature that the model has wrong needs no reading, what every machine has does", async () => {
    const machineId = await addTestMachine(app);
    const answered = (itemId: string) =>
      inspectionOf(app, machineId, {
        answers: answersAsNew(testMachine).map((one) => (one.itemId === itemId ? { itemId, result: "not-applicable" as const } : one)),
      });
    const mechanic = await as("M001");
    const { inspection } = await expectAnswer(mechanic.post("/v1/weekly-inspections").send(answered("chain-slack")), 201);
    expect(inspection.flags).toEqual(["not-applicable-claimed"]);
    await expectAnswer(mechanic.post("/v1/weekly-inspections").send(answered("steering-head")), 422, "inspection-not-whole");
  });
});
