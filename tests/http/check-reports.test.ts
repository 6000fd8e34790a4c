// The papers of one daily check and one weekly inspection as a reader gets them, against what the API answers.
import { randomUUID } from "node:crypto";
import { describe, expect, test } from "vitest";
import { itemsFor, SHEET_VERSION } from "../../shared/catalogue/sheet.ts";
import { itemPrompt } from "../../shared/words/item-words.ts";
import { expectAnswer, reportOf } from "../support/acts.ts";
import { chainMachine, testModel } from "../support/machines.ts";
import { plainPicture } from "../support/pictures.ts";
import { reportAt } from "../support/report-at.ts";
import { addTestMachine, checkFinding, inspectionFinding, inspectionOf, nilCheckOf } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";

const { app, as } = testService();

const tick = (minutes = 1) => app.context.clock.advance(minutes * 60_000);
const post = async (who: string, path: string, body: object, status = 201, code?: string) =>
  expectAnswer((await as(who)).post(path).send(body), status, code);
const checkPaper = (id: string) => `/v1/daily-checks/${id}/report.pdf`;
const inspectionPaper = (id: string) => `/v1/weekly-inspections/${id}/report.pdf`;
const textOf = async (who: string, path: string) => (await reportAt(await as(who), path)).read.text;
const hashOf = async (id: string) => (await expectAnswer((await as("A001")).get(`/v1/records/${id}`), 200)).record.sha256 as string;
/** Without gaps: a hash is printed with some, and an id breaks over two lines wherever its digits are wide. */
const packed = (text: string) => text.replaceAll(" ", "");
const taken = () =>
  app.context.db.prisma.ledger.findMany({
    where: { kind: "report-taken" },
    orderBy: { position: "asc" },
    select: { staffId: true, depotId: true, data: true },
  });
/** A moment as a paper of the home depot prints it. */
const printed = (instant: string) =>
  new Intl.DateTimeFormat("en-GB", {
    ...({ day: "numeric", month: "short", year: "numeric", hour: "2-digit", minute: "2-digit", hourCycle: "h23" } as const),
    timeZone: "Europe/London",
  }).format(new Date(instant));

describe("the paper of a daily check", () => {
  test("says each item as its sheet asks it, who made it, how long it took, and until when the answer holds", async () => {
    const machineId = await addTestMachine(app, { mark: "PAP1" });
    tick();
    const { check, clearance } = await post("R001", "/v1/daily-checks", nilCheckOf(app, machineId, { durationSeconds: 83 }));
    const { read, headers } = await reportAt(await as("R001"), checkPaper(check.id));
    expect(headers["content-disposition"]).toBe(`inline; filename="daily-check-PAP1-${check.id.slice(-8)}.pdf"`);
    expect(clearance.decision).toBe("ride");
    for (const part of [
      ...["PAP1", "Test model", "R001", "83 s", "1,000 km", SHEET_VERSION, "No defect was found.", "the proof reading is missing"],
      ...[`Cleared to ride until ${printed(clearance.validUntil)}`, `Holds until ${printed(clearance.validUntil)}`],
      ...[`Made ${printed(check.performedAt)}`, `Reached the service ${printed(check.recordedAt)}`],
      ...itemsFor(chainMachine, "daily").map(({ id }) => itemPrompt(id)),
    ])
      expect(read.text).toContain(part);
    for (const part of [check.id, await hashOf(check.id)]) expect(packed(read.text)).toContain(part);
    expect(packed(read.text)).toContain(check.sheetSha256);
    expect(read.text).not.toContain("Corrections");
    const { read: german } = await reportAt(await as("R001"), checkPaper(check.id), { lang: "de" });
    expect(german.info["Title"]).toContain("T\u00e4gliche Kontrolle");
    for (const { id } of itemsFor(chainMachine, "daily")) expect(german.text).toContain(itemPrompt(id, "de"));
  });

  test("tells a finding with its defect, a photo by its hash, what came late, and an item that nobody answered", async () => {
    const machineId = await addTestMachine(app);
    const photo = randomUUID();
    const bytes = await plainPicture("jpeg");
    const { sha256 } = await expectAnswer((await as("R001")).post("/v1/photos").query({ id: photo }).type("image/jpeg").send(bytes), 201);
    const [, ...answers] = checkFinding(app, machineId, "horn.weak").answers.map((answer) =>
      answer.itemId === "horn" ? { ...answer, note: "Hoarse since the rain", photoIds: [photo] } : answer,
    );
    const body = checkFinding(app, machineId, "horn.weak", { answers });
    tick(6 * 60);
    const receipt = await post("R001", "/v1/daily-checks", body);
    const text = await textOf("M001", checkPaper(body.id));
    const [defect] = receipt.defects;
    for (const part of ["Not cleared to ride", "\u201cHoarse since the rain\u201d", "not answered", "new defect", "arrived late"])
      expect(text).toContain(part);
    expect(packed(text)).toContain(defect.id);
    for (const { text: reason } of receipt.clearance.reasons.slice(0, 1)) expect(text).toContain(reason);
    expect(packed(text)).toContain(sha256);
    tick();
    const again = await post("R001", "/v1/daily-checks", checkFinding(app, machineId, "horn.weak"));
    expect(await textOf("R001", checkPaper(again.check.id))).toContain("seen again, was open already");
  });

  test("shows what was changed in a body that could not be taken as it was sent", async () => {
    const machineId = await addTestMachine(app);
    const body = { ...checkFinding(app, machineId, "horn.weak"), odometerKm: "about a thousand" };
    await post("R001", "/v1/daily-checks", body);
    const text = await textOf("F001", checkPaper(body.id));
    for (const part of ["Changed so that it could be taken", "/odometerKm", "about a thousand", "the odometer could not be read as sent"])
      expect(text).toContain(part);
  });

  test("shows a correction beside what was recorded, and the record's hash stays", async () => {
    const machineId = await addTestMachine(app);
    const { check } = await post("R001", "/v1/daily-checks", nilCheckOf(app, machineId, { odometerKm: 1025 }));
    const before = await hashOf(check.id);
    tick();
    const correction = { id: randomUUID(), pointer: "/submitted/odometerKm", right: 1052, reason: "Two figures swapped" };
    await post("R001", `/v1/records/${check.id}/corrections`, correction);
    const text = await textOf("A001", checkPaper(check.id));
    for (const part of ["Corrections to this record", "/submitted/odometerKm", "1025", "1052", "Two figures swapped"])
      expect(text).toContain(part);
    expect(packed(text)).toContain(before);
  });
});

describe("the paper of a weekly inspection", () => {
  test("says the condition of each item, readings with limits and method, what was done, who signed, and when the next is due", async () => {
    const machineId = await addTestMachine(app, { mark: "PAP2" });
    tick();
    const body = inspectionFinding(app, machineId, "front-spokes.broken");
    const { inspection, defects } = await post("M001", "/v1/weekly-inspections", {
      ...body,
      answers: body.answers.map((answer) =>
        answer.itemId === "chain-slack" ? { ...answer, asFound: 40, asLeft: 25, places: [45, 40], actions: ["adjusted"] } : answer,
      ),
    });
    const { read, headers } = await reportAt(await as("A001"), inspectionPaper(inspection.id));
    expect(headers["content-disposition"]).toBe(`inline; filename="weekly-inspection-PAP2-${inspection.id.slice(-8)}.pdf"`);
    const due = new Date(Date.parse(`${inspection.performedAt.slice(0, 10)}T00:00:00Z`) + 7 * 86_400_000);
    const dueDay = new Intl.DateTimeFormat("en-GB", { day: "numeric", month: "short", year: "numeric", timeZone: "UTC" }).format(due);
    for (const part of [
      ...["PAP2", "M001", "Grounded", "40 mm", "25 mm", "45 mm, 40 mm", "Adjusted", "corrected: found outside, left within"],
      ...["at the middle of the", "new defect", `${dueDay}, counted from this one`, "Declaration", "Signature"],
      "this signature does not clear it",
      ...itemsFor(chainMachine, "weekly").map(({ id }) => itemPrompt(id)),
    ])
      expect(read.text).toContain(part);
    for (const part of [defects[0].id, inspection.id, await hashOf(inspection.id)]) expect(packed(read.text)).toContain(part);
  });

  test("names who measured beside who signed, what it closed, and compares with the handbook of that day", async () => {
    const machineId = await addTestMachine(app);
    tick();
    const draft = inspectionOf(app, machineId);
    const { defect } = await post("R001", "/v1/defects", reportOf(app, machineId, "horn.weak"));
    tick();
    const begun = { machineId, sheetVersion: SHEET_VERSION, revision: 0, answers: draft.answers };
    await expectAnswer((await as("M002")).put(`/v1/weekly-inspections/drafts/${draft.id}`).send(begun), 200);
    tick();
    await post("M001", "/v1/weekly-inspections", {
      ...draft,
      performedAt: app.context.clock.now().toISOString(),
      answers: draft.answers.map((answer, place) => (place === 0 ? { ...answer, actions: ["lubricated"] } : answer)),
    });
    const text = await textOf("M001", inspectionPaper(draft.id));
    expect(text).toMatch(/Measured by [^:]*M002\): [^:]*M001\): the rest/);
    for (const part of ["What others measured stands with their names", "closed by this inspection: no fault found", "15 mm to 25 mm"])
      expect(text).toContain(part);
    expect(packed(text)).toContain(defect.id);
    tick();
    const { items } = await expectAnswer((await as("F001")).get("/v1/models").query({ limit: 200 }), 200);
    const { id, revision } = items.find(({ name }: { name: string }) => name === "Test model");
    const model = testModel("Test model");
    const chainSlack = { ...model.handbook.chainSlack, minMm: 35, maxMm: 45, method: "gap-to-swinging-arm" };
    await expectAnswer(
      (await as("F001")).put(`/v1/models/${id}`).send({ ...model, revision, handbook: { ...model.handbook, chainSlack } }),
      200,
    );
    const later = await textOf("M001", inspectionPaper(draft.id));
    expect(later).not.toContain("Gap to the swinging arm");
    expect(later.replace(/Printed \S+ \S+ \S+ \S+/g, "")).toBe(text.replace(/Printed \S+ \S+ \S+ \S+/g, ""));
  });
});

describe("who may take them", () => {
  test("riders their own check and no other's, nobody an inspection as a rider, and nobody of another depot", async () => {
    const machineId = await addTestMachine(app);
    const { check } = await post("R001", "/v1/daily-checks", nilCheckOf(app, machineId));
    const { inspection } = await post("M001", "/v1/weekly-inspections", inspectionOf(app, machineId));
    const before = (await taken()).length;
    const refusals: [string, string, number, string][] = [
      ["R002", checkPaper(check.id), 404, "not-found"],
      ["F101", checkPaper(check.id), 403, "other-depot"],
      ["R001", inspectionPaper(inspection.id), 403, "not-your-role"],
      ["F101", inspectionPaper(inspection.id), 403, "other-depot"],
      ["F001", checkPaper(randomUUID()), 404, "not-found"],
      ["F001", inspectionPaper(check.id), 404, "not-found"],
      ["F001", checkPaper("4711"), 422, "not-valid"],
    ];
    for (const [who, path, status, code] of refusals) {
      const answer = await (await as(who)).get(path);
      expect([who, answer.status, answer.body.code], path).toEqual([who, status, code]);
      expect(answer.headers["content-type"]).toContain("application/problem+json");
    }
    await expectAnswer(app.anyone.get(checkPaper(check.id)), 401, "not-signed-in");
    expect((await taken()).length).toBe(before);
    for (const who of ["R001", "M001", "F001", "A001"]) await textOf(who, checkPaper(check.id));
    for (const who of ["M001", "F001", "A001"]) await textOf(who, inspectionPaper(inspection.id));
    const about = { depotId: app.cast.homeDepotId, machineId };
    expect((await taken()).slice(before)).toEqual(
      [
        ...["R001", "M001", "F001", "A001"].map((who) => ({ who, data: { ...about, paper: "daily-check-report", checkId: check.id } })),
        ...["M001", "F001", "A001"].map((who) => ({
          who,
          data: { ...about, paper: "weekly-inspection-report", inspectionId: inspection.id },
        })),
      ].map(({ who, data }) => ({ staffId: app.cast.staffId(who), depotId: app.cast.homeDepotId, data })),
    );
  });
});
