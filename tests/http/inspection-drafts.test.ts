// An inspection that is begun on one device and finished on another: what is missing is said, only the finished one counts.
import { randomUUID } from "node:crypto";
import { expect, test } from "vitest";
import { SHEET_VERSION } from "../../shared/catalogue/sheet.ts";
import type { InspectionDraftBody } from "../../shared/contracts/checks.ts";
import { expectAnswer, onBoard } from "../support/acts.ts";
import { answersAsNew } from "../support/answers-as-new.ts";
import { codeOf } from "../support/cast.ts";
import { testMachine } from "../support/machines.ts";
import { addTestMachine, inspectionOf } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";

const { app, as } = testService();

const day = 86_400_000;
const at = (id: string) => `/v1/weekly-inspections/drafts/${id}`;
const whole = answersAsNew(testMachine);

const draftOf = (machineId: string, changes: Partial<InspectionDraftBody> = {}): InspectionDraftBody => ({
  machineId,
  sheetVersion: SHEET_VERSION,
  revision: 0,
  answers: whole.slice(0, 3),
  ...changes,
});
const save = async (id: string, body: InspectionDraftBody, by = "M001") => (await as(by)).put(at(id)).send(body);
const show = async (id: string, by = "M001") => (await as(by)).get(at(id));

test("a draft is saved as far as it is, and says what is missing, what the readings mean so far and what to do", async () => {
  const machineId = await addTestMachine(app);
  const id = randomUUID();
  const answers = [
    { itemId: "chain-slack", result: "ok" as const, asFound: 30, unit: "mm" as const },
    { itemId: "front-tyre-tread-weekly", asFound: 1.2, unit: "mm" as const },
    { itemId: "front-tyre-pressure-weekly", result: "ok" as const, asFound: 28, unit: "kPa" as const },
  ];
  const { draft, issues, verdicts, guidance } = await expectAnswer(
    save(id, draftOf(machineId, { answers, notes: "Rear still to do" })),
    200,
  );
  expect(draft).toMatchObject({ id, machineId, revision: 1, odometerKm: null, answers, notes: "Rear still to do" });
  expect(draft.expiresAt).toBe(new Date(app.context.clock.now().getTime() + 14 * day).toISOString());
  const pointers = issues.map(({ pointer }: { pointer: string }) => pointer);
  expect(pointers).toContain("/odometerKm");
  expect(pointers).toContain("/answers/1/result");
  expect(pointers).toContain("/answers/2/asFound");
  // One for each item of the sheet that is not in it at all.
  expect(pointers.filter((pointer: string) => pointer === "/answers")).toHaveLength(whole.length - answers.length);
  expect(verdicts.map(({ itemId, result }: { itemId: string; result: string }) => [itemId, result])).toEqual([
    ["chain-slack", "defect"],
    ["front-tyre-tread-weekly", "defect"],
  ]);
  expect(guidance.map(({ code }: { code: string }) => code)).toEqual(["renew-soon", "adjust", "chain"]);
});

test("nothing of a draft counts: no record, no defect, no standing; the inspection that finishes it takes it away", async () => {
  const machineId = await addTestMachine(app, { inspected: false });
  const id = randomUUID();
  const records = async () => (await app.context.db.rows<{ n: number }>("SELECT count(*)::int AS n FROM ledger"))[0]?.n;
  const before = await records();
  const answers = [{ itemId: "horn-and-switches", result: "defect" as const, observationIds: ["horn-and-switches.silent"] }];
  await expectAnswer(save(id, draftOf(machineId, { answers })), 200);
  expect(await records()).toBe(before);
  expect((await onBoard(as, machineId)).reasons[0]?.code).toBe("first-use-inspection");
  const body = inspectionOf(app, machineId, { id });
  await expectAnswer((await as("M002")).post("/v1/weekly-inspections").send(body), 201);
  await expectAnswer(show(id), 404, "not-found");
  expect(await app.context.db.rows("SELECT id FROM inspection_draft WHERE id = $1::text::uuid", [id])).toEqual([]);
  await expectAnswer(save(id, draftOf(machineId, { revision: 1 })), 409, "draft-finished");
  await expectAnswer((await as("M002")).post("/v1/weekly-inspections").send(body), 200);
});

test("a refused inspection leaves its draft where it is", async () => {
  const machineId = await addTestMachine(app);
  const id = randomUUID();
  await expectAnswer(save(id, draftOf(machineId)), 200);
  const body = inspectionOf(app, machineId, { id, answers: whole.slice(1) });
  await expectAnswer((await as("M001")).post("/v1/weekly-inspections").send(body), 422, "inspection-not-whole");
  expect((await expectAnswer(show(id), 200)).draft.revision).toBe(1);
});

test("another mechanic of the depot goes on with it; who saves over a revision not read is told, and nothing is lost", async () => {
  const machineId = await addTestMachine(app);
  const id = randomUUID();
  const first = draftOf(machineId, { odometerKm: 1000 });
  await expectAnswer(save(id, first), 200);
  // An answer that was lost on the way: the same again is the same draft.
  expect((await expectAnswer(save(id, first), 200)).draft.revision).toBe(1);
  const more = draftOf(machineId, { revision: 1, answers: whole.slice(0, 9) });
  const { draft } = await expectAnswer(save(id, more, "M002"), 200);
  expect(draft).toMatchObject({ revision: 2, begunBy: app.cast.staffId("M001"), savedBy: app.cast.staffId("M002") });
  await expectAnswer(save(id, draftOf(machineId, { revision: 1, answers: [] })), 409, "draft-changed");
  await expectAnswer(save(id, draftOf(machineId)), 409, "draft-changed");
  expect((await expectAnswer(show(id), 200)).draft).toEqual(draft);
  await expectAnswer(save(id, draftOf(await addTestMachine(app), { revision: 2 })), 422, "id-reused");
});

test("of two who save the same revision at the same moment, one gets through", async () => {
  const machineId = await addTestMachine(app);
  const id = randomUUID();
  await expectAnswer(save(id, draftOf(machineId)), 200);
  const both = await Promise.all(
    ["M001", "M002"].map((by, index) => save(id, draftOf(machineId, { revision: 1, notes: `note ${index}` }), by)),
  );
  expect(both.map(({ status }) => status).sort((a, b) => a - b)).toEqual([200, 409]);
});

test("it is gone fourteen days after it was saved last, and not a day before", async () => {
  const machineId = await addTestMachine(app);
  const id = randomUUID();
  await expectAnswer(save(id, draftOf(machineId)), 200);
  app.context.clock.advance(13 * day);
  await expectAnswer(save(id, draftOf(machineId, { revision: 1, notes: "Parts come on Monday" })), 200);
  app.context.clock.advance(14 * day - 1000);
  await expectAnswer(show(id), 200);
  app.context.clock.advance(1000);
  await expectAnswer(show(id), 404, "not-found");
  await expectAnswer(save(randomUUID(), draftOf(machineId)), 200);
  expect(await app.context.db.rows("SELECT id FROM inspection_draft WHERE id = $1::text::uuid", [id])).toEqual([]);
});

test("drafts are listed by depot and machine, the one saved last first, page by page", async () => {
  const machineId = await addTestMachine(app);
  const ids = [randomUUID(), randomUUID(), randomUUID()];
  for (const id of ids) {
    app.context.clock.advance(60_000);
    await expectAnswer(save(id, draftOf(machineId)), 200);
  }
  const list = async (query: object) => expectAnswer((await as("F001")).get("/v1/weekly-inspections/drafts").query(query), 200);
  const one = await list({ machineId, limit: 2 });
  const two = await list({ machineId, limit: 2, cursor: one.nextCursor });
  expect([...one.items, ...two.items].map(({ id }: { id: string }) => id)).toEqual([...ids].reverse());
  expect(two.nextCursor).toBeNull();
  expect((await list({ depotId: app.cast.farDepotId })).items).toEqual([]);
});

test("a draft is for the mechanics of the machine's depot: riders and auditors have none, another depot's is not shown", async () => {
  const machineId = await addTestMachine(app);
  const far = await addTestMachine(app, { depotId: app.cast.farDepotId, inspected: false });
  const here = { staffNumber: "M901", name: "Of this depot", role: "mechanic", depotIds: [app.cast.homeDepotId], secret: codeOf("M901") };
  await expectAnswer((await as("F001")).post("/v1/staff").send(here), 201);
  await app.settleIn("M901");
  const id = randomUUID();
  await expectAnswer(save(id, draftOf(machineId)), 200);
  for (const by of ["R001", "A001"]) {
    await expectAnswer(save(id, draftOf(machineId, { revision: 1 }), by), 403, "not-your-role");
    await expectAnswer(show(id, by), 403, "not-your-role");
  }
  await expectAnswer(save(randomUUID(), draftOf(machineId), "F001"), 403, "not-your-role");
  await expectAnswer(show(id, "F101"), 403, "other-depot");
  await expectAnswer(save(randomUUID(), draftOf(far), "M901"), 403, "other-depot");
  await expectAnswer(save(id, draftOf(machineId, { revision: 1 }), "M901"), 200);
  await expectAnswer(save(randomUUID(), draftOf(randomUUID())), 404, "not-found");
});

test.each<[object, string]>([
  [{ revision: -1 }, "/revision"],
  [{ revision: undefined }, "/revision"],
  [{ machineId: "x" }, "/machineId"],
  [{ odometerKm: -1 }, "/odometerKm"],
  [{ answers: [{ itemId: "chain-slack", asFound: "30" }] }, "/answers/0/asFound"],
  [{ answers: [{ itemId: "chain-slack", places: [1] }] }, "/answers/0/places"],
  [{ boss: true }, "/boss"],
])("a draft that cannot be understood is refused at its field: %j", async (changes, pointer) => {
  const id = randomUUID();
  const body = { ...draftOf(randomUUID()), ...changes } as InspectionDraftBody;
  const refused = await expectAnswer(save(id, body), 422, "not-valid");
  expect(refused.issues.map((issue: { pointer: string }) => issue.pointer)).toEqual([pointer]);
  await expectAnswer(show(id), 404, "not-found");
});

test("whoever told work at an item stays the one who did it, whatever result, reading or word somebody else puts to it; other work is another's", async () => {
  const machineId = await addTestMachine(app);
  const id = randomUUID();
  const lining = {
    itemId: "front-lining",
    result: "ok" as const,
    asFound: 0.5,
    asLeft: 4,
    unit: "mm" as const,
    actions: ["replaced" as const],
  };
  const gaveIt = async (revision: number, by: string, changes: object) => {
    const { draft } = await expectAnswer(save(id, draftOf(machineId, { revision, answers: [{ ...lining, ...changes }] }), by), 200);
    return draft.measuredBy.map(({ staffId }: { staffId: string }) => staffId);
  };
  const worker = [app.cast.staffId("M002")];
  expect(await gaveIt(0, "M002", {})).toEqual(worker);
  expect(await gaveIt(1, "M001", { result: "defect", observationIds: ["front-lining.worn"] })).toEqual(worker);
  expect(await gaveIt(2, "M001", { asLeft: 4.1, note: "measured again" })).toEqual(worker);
  expect(await gaveIt(3, "M001", { actions: ["adjusted", "replaced"] })).toEqual([app.cast.staffId("M001")]);
});
