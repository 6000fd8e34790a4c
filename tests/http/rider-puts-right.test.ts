// What a rider puts right on the spot: kept with the check, no defect, and a question to the workshop where it is the same again and again.
import { describe, expect, test } from "vitest";
import type { DailyAnswer, DailyCheckBody, DailyCheckReceipt } from "../../shared/contracts/checks.ts";
import type { Sheet } from "../../shared/contracts/sheets.ts";
import { nilAnswers } from "../../shared/rules/as-new.ts";
import { rebuildState } from "../../src/acts/index.ts";
import { expectAnswer, onBoard } from "../support/acts.ts";
import { openTestContext } from "../support/context.ts";
import { chainMachine } from "../support/machines.ts";
import { reportAt } from "../support/report-at.ts";
import { addTestMachine, inspectionOf, nilCheckOf } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";

const { app, as } = testService(() => openTestContext("2026-12-01T07:00:00.000Z"));

const dayMs = 86_400_000;
const soft = "rear-tyre-pressure.a-little-soft";

const answering = (machineId: string, answers: readonly DailyAnswer[], changes: Partial<DailyCheckBody> = {}): DailyCheckBody =>
  nilCheckOf(app, machineId, {
    answers: nilAnswers(chainMachine).map((one) => answers.find(({ itemId }) => itemId === one.itemId) ?? one),
    ...changes,
  });
const put = (observationId: string, reading?: DailyAnswer["reading"]): DailyAnswer => ({
  ...{ itemId: observationId.split(".")[0] ?? "", result: "put-right", observationIds: [observationId] },
  ...(reading === undefined ? {} : { reading }),
});
const submit = async (body: DailyCheckBody, who = "R001"): Promise<DailyCheckReceipt> =>
  expectAnswer((await as(who)).post("/v1/daily-checks").send(body), 201);
const historyOf = async (machineId: string) =>
  (await expectAnswer((await as("A001")).get(`/v1/machines/${machineId}/history`).query({ limit: 200 }), 200)).items;

describe("put right on the spot", () => {
  test("with a reading within its limits it is a record and no defect: the machine is ridden, and every desk can read what was done", async () => {
    const machineId = await addTestMachine(app);
    // The test handbook: rear tyre 200 kPa.
    const body = answering(machineId, [put(soft, { value: 29, unit: "psi" }), { ...put("chain.dry"), note: "Oiled at the pump" }]);
    const receipt = await submit(body);
    expect(receipt).toMatchObject({
      ...{ defects: [], clearance: { decision: "ride" } },
      putRight: [
        { itemId: "rear-tyre-pressure", observationIds: [soft], isRight: true, load: "solo", verdict: { result: "within" } },
        { itemId: "chain", observationIds: ["chain.dry"], isRight: true, verdict: null, note: "Oiled at the pump" },
      ],
    });
    expect((await onBoard(as, machineId)).standing).toBe("fit");
    expect(await expectAnswer((await as("R001")).post("/v1/daily-checks").send(body), 200)).toEqual(receipt);

    const [told] = await historyOf(machineId);
    expect(told.what).toContain("put right on the spot: Rear tyre pressure (A little softer than usual)");
    const paper = await reportAt(await as("A001"), `/v1/machines/${machineId}/roadworthiness.pdf?from=2026-12-01&to=2026-12-01`);
    const text = paper.read.pages.join(" ").replace(/\s+/g, " ");
    expect(text).toContain("Put right by riders on the spot");
    expect(text).toMatch(/Rear tyre pressure A little softer than usual/);
    expect(text).toContain("Oiled at the pump");
    const csv = (await (await as("A001")).get("/v1/records").query({ month: "2026-12", format: "csv" })).text;
    expect(csv).toContain("no defect, cleared to ride; put right on the spot: Rear tyre pressure (A little softer than usual)");
  });

  test("the sheet says where, and of what it takes a reading", async () => {
    const machineId = await addTestMachine(app);
    const sheet: Sheet = await expectAnswer((await as("R001")).get(`/v1/machines/${machineId}/sheet`).query({ kind: "daily" }), 200);
    const items = new Map(sheet.stations.flatMap((station) => station.items.map((item) => [item.id, item])));
    expect(items.get("rear-tyre-pressure")).toMatchObject({ riderMayPutRight: true });
    expect(items.get("rear-tyre-pressure")?.observations.map(({ id, riderMayPutRight }) => [id.split(".")[1], riderMayPutRight])).toEqual([
      ...[
        ["cap-missing", "seen"],
        ["a-little-soft", "measured"],
        ["soft", null],
        ["valve-damaged", null],
        ["flat", null],
      ],
    ]);
    expect(items.get("front-brake-cable")).toMatchObject({ riderMayPutRight: false });
  });

  test.each([
    // A quarter under the recommended pressure: 49 CFR 571.138 S4.2(a), from memory.
    [149, "major", "do-not-ride"],
    [170, "minor", "ride-with-defects"],
  ] as const)("left at %d kPa it is a finding, %s, and its paper prints the reading", async (value, category, decision) => {
    const machineId = await addTestMachine(app);
    const receipt = await submit(answering(machineId, [put(soft, { value, unit: "kPa" })]));
    expect(receipt.defects).toMatchObject([{ itemId: "rear-tyre-pressure", observationIds: [soft], category }]);
    expect(receipt.clearance.decision).toBe(decision);
    expect(receipt.putRight).toMatchObject([{ isRight: false, verdict: { result: "defect", category } }]);
    const text = (await reportAt(await as("A001"), `/v1/defects/${receipt.defects[0]?.id}/report.pdf`)).read.pages.join(" ");
    expect(text).toMatch(new RegExp(`Rear tyre pressure.*${value}\\s*kPa`, "s"));
  });

  test("what a rider may not put right is a defect, whatever was done about it", async () => {
    for (const [observationId, decision] of [
      ["rear-tyre-pressure.flat", "do-not-ride"],
      ["rear-tyre-pressure.soft", "do-not-ride"],
      ["front-brake-cable.frayed", "do-not-ride"],
      ["horn.weak", "ride-with-defects"],
    ] as const) {
      const receipt = await submit(answering(await addTestMachine(app), [put(observationId, { value: 200, unit: "kPa" })]));
      expect([observationId, receipt.clearance.decision]).toEqual([observationId, decision]);
      expect(receipt.check.flags).toContain("put-right-not-offered");
      expect(receipt.putRight).toEqual([]);
    }
  });

  test("on a sheet that did not offer it, it is a defect", async () => {
    const body = answering(await addTestMachine(app), [put(soft, { value: 200, unit: "kPa" })], { sheetVersion: "2026-11" });
    expect(await submit(body)).toMatchObject({ putRight: [], defects: [{ observationIds: [soft] }] });
  });

  test("without the reading that shows it, or with one that nobody believes, it is asked for; beside a defect it is a defect too", async () => {
    const machineId = await addTestMachine(app);
    const place = nilAnswers(chainMachine).findIndex(({ itemId }) => itemId === "rear-tyre-pressure");
    for (const reading of [undefined, { value: 29, unit: "kPa" as const }, { value: 20, unit: "mm" as const }]) {
      const refused = await expectAnswer(
        (await as("R001")).post("/v1/daily-checks").send(answering(machineId, [put(soft, reading)])),
        422,
        "check-not-whole",
      );
      expect(refused.issues).toMatchObject([{ pointer: `/answers/${place}/reading` }]);
    }
    const horn: DailyAnswer = { itemId: "horn", result: "defect", observationIds: ["horn.weak"] };
    const receipt = await submit(answering(machineId, [put(soft), horn]));
    expect(new Set(receipt.defects.map(({ itemId }) => itemId))).toEqual(new Set(["horn", "rear-tyre-pressure"]));
    expect(receipt.check.flags).toContain("put-right-not-measured");
  });

  test("a body that is not valid is asked for again, unless it hides what no rider may put right", async () => {
    const machineId = await addTestMachine(app);
    const broken = (observationId: string) => ({ ...answering(machineId, [put(observationId)]), odometerKm: "many" });
    await expectAnswer((await as("R001")).post("/v1/daily-checks").send(broken("chain.dry")), 422, "not-valid");
    const taken = await expectAnswer((await as("R001")).post("/v1/daily-checks").send(broken("front-tyre-pressure.flat")), 201);
    expect(taken.clearance.decision).toBe("do-not-ride");
  });

  test("air put in is no gain in the pressure trend: a tyre that is pumped up every other day shows its leak", async () => {
    const machineId = await addTestMachine(app);
    for (let count = 0; count < 3; count += 1) {
      app.context.clock.advance(2 * dayMs);
      await submit(answering(machineId, [put(soft, { value: 200, unit: "kPa" })]));
      app.context.clock.advance(dayMs);
      const answers = inspectionOf(app, machineId).answers.map((one) =>
        one.itemId === "rear-tyre-pressure-weekly" ? { ...one, asFound: 190, asLeft: 200, unit: "kPa" as const } : one,
      );
      await expectAnswer((await as("M001")).post("/v1/weekly-inspections").send(inspectionOf(app, machineId, { answers })), 201);
    }
    const { tyres } = await expectAnswer((await as("M001")).get(`/v1/machines/${machineId}/pressure-trend`), 200);
    const rear = tyres.find(({ end }: { end: string }) => end === "rear");
    expect(rear.points.map(({ by }: { by: string }) => by)).toEqual(["bench", "rider", "bench", "rider", "bench", "rider", "bench"]);
    // 10 kPa each time, with the air that was put in between counted as no gain.
    expect(rear.points.at(-1).lostKpa).toBeCloseTo(30, 5);
  });
});

describe("three times within 28 days", () => {
  test("the workshop is asked on the board, at a past moment too; an inspection answers it, and the next time asks again", async () => {
    const machineId = await addTestMachine(app);
    const pump = async () => {
      app.context.clock.advance(dayMs);
      await submit(answering(machineId, [put(soft, { value: 200, unit: "kPa" })]), "R002");
    };
    await pump();
    await pump();
    expect((await onBoard(as, machineId)).putRightOften).toEqual([]);
    const before = app.context.clock.now().toISOString();
    await pump();
    const board = await onBoard(as, machineId);
    expect(board).toMatchObject({
      standing: "fit",
      putRightOften: [{ itemId: "rear-tyre-pressure", observationId: soft, times: 3 }],
    });
    expect(board.putRightOften[0]?.text).toMatch(/Rear tyre pressure: A little softer than usual\. .* 3 times .* cause/);
    expect((await onBoard(as, machineId, { at: before })).putRightOften).toEqual([]);
    const shown = await expectAnswer((await as("M001")).get(`/v1/machines/${machineId}`), 200);
    expect(shown.putRightOften).toEqual(board.putRightOften);

    app.context.clock.advance(60_000);
    await expectAnswer((await as("M001")).post("/v1/weekly-inspections").send(inspectionOf(app, machineId)), 201);
    expect((await onBoard(as, machineId)).putRightOften).toEqual([]);
    await pump();
    expect((await onBoard(as, machineId)).putRightOften).toMatchObject([{ times: 4 }]);
    // What is kept of it follows from the records.
    expect((await rebuildState(app.context.db, machineId))?.differences).toEqual([]);
    app.context.clock.advance(28 * dayMs);
    expect((await onBoard(as, machineId)).putRightOften).toEqual([]);
  });
});
