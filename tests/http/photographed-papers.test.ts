// The pictures of a machine's papers, and what an examiner advised on one.
import { randomUUID } from "node:crypto";
import { describe, expect, test } from "vitest";
import type { HistoryEntry } from "../../shared/contracts/fleet.ts";
import type { ListedPaper } from "../../shared/contracts/papers.ts";
import { rebuildState } from "../../src/acts/index.ts";
import { expectAnswer, onBoard } from "../support/acts.ts";
import { plainPicture } from "../support/pictures.ts";
import { addTestMachine, inspectionOf, nilCheckOf } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";

const { app, as } = testService();

// The clock stands at 2026-07-13.
const test2026 = { kind: "roadworthiness-test", number: "T 5512", validFrom: "2026-07-13", validTo: "2027-07-12" };
const post = async (who: string, path: string, body: object, status = 201, code?: string) =>
  expectAnswer((await as(who)).post(path).send(body), status, code);
const addPaper = (machineId: string, more: object = {}) => post("F001", `/v1/machines/${machineId}/papers`, { ...test2026, ...more });
const sendPicture = async (id: string = randomUUID()): Promise<string> => {
  const bytes = await plainPicture("jpeg");
  await expectAnswer((await as("F001")).post("/v1/photos").query({ id }).set("content-type", "image/jpeg").send(bytes), 201);
  return id;
};
const listed = async (machineId: string, who = "R001"): Promise<ListedPaper[]> =>
  (await expectAnswer((await as(who)).get(`/v1/machines/${machineId}/papers`), 200)).items;

describe("pictures of a paper", () => {
  test("hang on its record, whichever arrives first, and riders of the depot can show them", async () => {
    const machineId = await addTestMachine(app);
    const early = await sendPicture();
    const late = randomUUID();
    const body = { id: randomUUID(), photoIds: [early, late] };
    const receipt = await addPaper(machineId, body);
    expect(await listed(machineId)).toMatchObject([{ id: receipt.id, photos: [{ id: early }], photosAwaited: [late] }]);
    await sendPicture(late);
    const [paper] = await listed(machineId);
    expect([paper?.photos.map(({ id }) => id).sort(), paper?.photosAwaited]).toEqual([[early, late].sort(), []]);
    // The same answer as the first time.
    expect(await post("F001", `/v1/machines/${machineId}/papers`, { ...test2026, ...body }, 200)).toEqual(receipt);

    const seen = async (who: string) => (await (await as(who)).get(`/v1/photos/${late}`)).status;
    expect([await seen("R001"), await seen("M001"), await seen("R101")]).toEqual([200, 200, 403]);
    expect((await rebuildState(app.context.db, machineId))?.differences).toEqual([]);
  });

  test("of one paper are not those of another", async () => {
    const machineId = await addTestMachine(app);
    const photoId = await sendPicture();
    await addPaper(machineId, { photoIds: [photoId] });
    await addPaper(machineId, { kind: "insurance" });
    const photos = (await listed(machineId)).map(({ kind, photos }) => [kind, photos.length]);
    expect(Object.fromEntries(photos)).toEqual({ "roadworthiness-test": 1, insurance: 0 });
  });
});

describe("what an examiner advised", () => {
  const advised = (machineId: string, paperId: string, more: object = {}) => ({
    ...{ id: randomUUID(), machineId, paperId, seenAt: app.context.clock.now().toISOString() },
    ...{ note: "Rear tyre close to the limit" },
    ...more,
  });

  test("is an advisory although its words alone would ground: the machine stays cleared, and the next inspection says how it is", async () => {
    const machineId = await addTestMachine(app);
    await post("R001", "/v1/daily-checks", nilCheckOf(app, machineId));
    const { id: paperId } = await addPaper(machineId);
    const body = advised(machineId, paperId);
    const { defect } = await post("F001", "/v1/defects", body);
    expect(defect).toMatchObject({ category: "advisory", status: "open", dueDay: null });
    expect(await post("F001", "/v1/defects", body, 200)).toMatchObject({ defect: { id: defect.id } });
    expect(await onBoard(as, machineId)).toMatchObject({ standing: "fit", reasons: [] });
    expect((await rebuildState(app.context.db, machineId))?.differences).toEqual([]);

    app.context.clock.advance(60_000);
    const inspection = inspectionOf(app, machineId);
    await post("M001", "/v1/weekly-inspections", inspection, 422, "inspection-not-whole");
    const last = inspection.answers.length - 1;
    const answers = inspection.answers.map((answer, at) =>
      at === last ? { ...answer, advisories: [{ defectId: defect.id, now: "gone" as const }] } : answer,
    );
    expect((await post("M001", "/v1/weekly-inspections", { ...inspection, answers })).closed).toMatchObject([{ id: defect.id }]);
  });

  test("names its item where it is told, and the history says that the examiner advised it", async () => {
    const machineId = await addTestMachine(app);
    const { id: paperId } = await addPaper(machineId);
    const { defect } = await post("M001", "/v1/defects", advised(machineId, paperId, { itemId: "rear-tyre-tread" }));
    expect(await expectAnswer((await as("M001")).get(`/v1/defects/${defect.id}`), 200)).toMatchObject({
      itemId: "rear-tyre-tread",
      category: "advisory",
    });
    const { items } = await expectAnswer((await as("M001")).get(`/v1/machines/${machineId}/history`), 200);
    const told = (items as HistoryEntry[]).find(({ kind }) => kind === "defect-raised");
    expect(told?.what).toContain("advised by the examiner: “Rear tyre close to the limit”");
  });

  test("does not soften what is open at the item already", async () => {
    const machineId = await addTestMachine(app);
    const { id: paperId } = await addPaper(machineId);
    const seen = { id: randomUUID(), machineId, seenAt: app.context.clock.now().toISOString(), observationIds: ["rear-tyre-tread.nail"] };
    const { defect } = await post("R001", "/v1/defects", seen);
    const again = await post("F001", "/v1/defects", advised(machineId, paperId, { itemId: "rear-tyre-tread" }));
    expect(again).toMatchObject({ sighting: true, defect: { id: defect.id, category: defect.category } });
    expect((await onBoard(as, machineId)).standing).toBe("grounded");
  });

  test("is taken from no rider, and on no paper but a test of the very machine", async () => {
    const machineId = await addTestMachine(app);
    const other = await addTestMachine(app);
    const { id: paperId } = await addPaper(machineId);
    const { id: insuranceId } = await addPaper(machineId, { kind: "insurance" });
    await post("R001", "/v1/defects", advised(machineId, paperId), 403, "not-your-role");
    for (const [on, paper] of [
      [machineId, insuranceId],
      [other, paperId],
      [machineId, randomUUID()],
    ] as const)
      await post("F001", "/v1/defects", advised(on, paper), 422, "not-a-test-paper");
    await post("F001", "/v1/defects", advised(machineId, paperId, { itemId: "rider-gear" }), 422, "about-the-rider");
    const { items } = await expectAnswer((await as("M001")).get("/v1/defects").query({ machineId }), 200);
    expect(items).toEqual([]);
  });
});
