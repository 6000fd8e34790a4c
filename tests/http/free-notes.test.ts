// A defect for which nobody named an item is told in the words of whoever found it, by every door that tells reasons and on every paper.
import { randomUUID } from "node:crypto";
import { beforeAll, expect, test } from "vitest";
import { firstWords, sayReason } from "../../shared/words/say-reason.ts";
import type { Statement } from "../../src/platform/index.ts";
import { drawMonth, monthScope } from "../../src/reports/index.ts";
import { readPdf } from "../reports/read-pdf.ts";
import { expectAnswer, onBoard, repairOf, reportOf } from "../support/acts.ts";
import { reportAt } from "../support/report-at.ts";
import { addTestMachine, inspectionOf, nilCheckOf } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";

const { app, as } = testService();
let machineId: string;
let defectId: string;
// A line break, and longer than a name may be.
const note =
  `Something knocks under the tank\nwhen I go over the rails at the harbour gate, and it was not there ${"yesterday ".repeat(20)}`.trim();
const told = "Something knocks under the tank when I go over the rails at the harbour gate,\u2026";
const sentence = `Major defect: \u201c${told}\u201d`;

const paper = async (path: string): Promise<string> => (await reportAt(await as("F001"), path)).read.text.replaceAll("\u00a0", " ");
const papersOfNow = () => [
  `/v1/machines/${machineId}/roadworthiness.pdf`,
  `/v1/defects/${defectId}/report.pdf`,
  "/v1/reports/roadworthiness.pdf",
  "/v1/reports/defects.pdf",
];

beforeAll(async () => {
  machineId = await addTestMachine(app, { mark: "NOTE1" });
  const report = { ...reportOf(app, machineId, "x"), observationIds: [], note };
  const { defect, machine } = await expectAnswer((await as("R001")).post("/v1/defects").send(report), 201);
  defectId = defect.id;
  expect(machine.reasons[0]).toMatchObject({ code: "grounding-defect", itemId: null, words: told, text: sentence });
});

test("a name is the first words of a note on one line, cut where a word ends, and three dots say that it goes on", () => {
  expect(firstWords("  short\n and\tplain ")).toBe("short and plain");
  expect(firstWords("x".repeat(80))).toBe("x".repeat(80));
  expect(firstWords(`${"x".repeat(78)} yy`)).toBe(`${"x".repeat(78)}\u2026`);
  expect(firstWords("\u{1f6f5}".repeat(90))).toBe(`${"\u{1f6f5}".repeat(79)}\u2026`);
  expect(firstWords(note)).toBe(told);
});

test("each language has the words between its own quotation marks, and a sentence for a note that is not kept any more", () => {
  const reason = { code: "grounding-defect", defectId: "", itemId: null, category: "major" } as const;
  expect(sayReason({ ...reason, words: "It knocks" }, "en").text).toBe("Major defect: \u201cIt knocks\u201d");
  expect(sayReason({ ...reason, words: "Es klopft" }, "de").text).toMatch(/: \u201eEs klopft\u201c$/);
  expect(sayReason(reason, "en").text).toBe("Major defect: a note that names no item");
  expect(sayReason(reason, "de").text).toMatch(/: eine Notiz, die keinen Punkt nennt$/);
});

test("the board, now and at a past moment, the machine, the list of machines and every receipt tell it", async () => {
  const rider = await as("R001");
  expect((await onBoard(as, machineId)).reasons[0]).toMatchObject({ words: told, text: sentence });
  const at = app.context.clock.now().toISOString();
  app.context.clock.advance(60_000);
  expect((await onBoard(as, machineId, { at })).reasons[0]?.text).toBe(sentence);
  expect((await expectAnswer(rider.get(`/v1/machines/${machineId}`), 200)).reasons[0].text).toBe(sentence);
  const { items } = await expectAnswer(rider.get("/v1/machines"), 200);
  expect(items.find(({ id }: { id: string }) => id === machineId).reasons[0].text).toBe(sentence);
  const check = nilCheckOf(app, machineId);
  expect((await expectAnswer(rider.post("/v1/daily-checks").send(check), 201)).clearance.reasons[0].text).toBe(sentence);
  expect((await expectAnswer(rider.post("/v1/daily-checks").send(check), 200)).clearance.reasons[0].text).toBe(sentence);
  expect((await expectAnswer(rider.get(`/v1/daily-checks/${check.id}`), 200)).clearance.reasons[0].text).toBe(sentence);
  const inspection = inspectionOf(app, machineId);
  const mechanic = await as("M001");
  expect((await expectAnswer(mechanic.post("/v1/weekly-inspections").send(inspection), 201)).reasons[0].text).toBe(sentence);
  const amended = await expectAnswer((await as("F001")).patch(`/v1/machines/${machineId}`).send({ vin: "TESTV1N0000000001" }), 200);
  expect(amended.reasons[0].text).toBe(sentence);
});

test("the papers of the machine, the defect, the fleet and the period tell it among the reasons, and name the defect by it", async () => {
  for (const path of papersOfNow()) {
    const text = await paper(path);
    expect(text, path).toContain(sentence);
    expect(text, path).not.toContain("names no item");
  }
  expect(await paper(`/v1/defects/${defectId}/report.pdf`)).toContain(`NOTE1: \u201c${told}\u201d, Major`);
});

test.each([1, 366])("the workshop's plan of %i days names the repair by it, in place as on a thread", async (days) => {
  const { homeDepotId: depotId } = app.cast;
  const plan = await expectAnswer((await as("F001")).get("/v1/readiness/plan").query({ depotId, days }), 200);
  const repair = plan.days
    .flatMap(({ jobs }: { jobs: { defectId?: string }[] }) => jobs)
    .find((job: { defectId?: string }) => job.defectId === defectId);
  expect(repair).toMatchObject({ kind: "grounding-repair", itemId: null, words: told });
  expect(repair.text).toContain(`\u201c${told}\u201d`);
});

test("what was closed is told so in the month's records", async () => {
  app.context.clock.advance(60_000);
  const repaired = await expectAnswer((await as("M001")).post(`/v1/defects/${defectId}/repairs`).send(repairOf(app)), 201);
  expect(repaired.machine.reasons[0].text).toBe(sentence);
  app.context.clock.advance(60_000);
  await expectAnswer((await as("M002")).post(`/v1/defects/${defectId}/sign-off`).send({ id: randomUUID() }), 201);
  const chunks: Buffer[] = [];
  const scope = await monthScope(app.context, { month: "2026-07", depotIds: null });
  for await (const chunk of drawMonth(app.context, scope)) chunks.push(chunk as Buffer);
  const { text } = await readPdf(Buffer.concat(chunks));
  expect(text.split(told).length - 1).toBeGreaterThanOrEqual(2);
  expect(text.slice(text.indexOf("Sign-offs: Home"))).toContain(told);
});

test("where the words cannot be read behind an act, its answer is given without them", async () => {
  const other = await addTestMachine(app, { mark: "NOTE2" });
  const { db } = app.context;
  const kept = { ...db };
  Object.assign(db, {
    rows: (asked: Statement<unknown> | string, parameters?: readonly unknown[]) =>
      (typeof asked === "string" ? asked : asked.sql).includes("note IS NOT NULL")
        ? Promise.reject(new Error("the connection is gone"))
        : kept.rows(asked, parameters),
  });
  try {
    const report = { ...reportOf(app, other, "x"), observationIds: [], note: "It pulls" };
    const { machine } = await expectAnswer((await as("R001")).post("/v1/defects").send(report), 201);
    expect(machine.reasons[0].text).toBe("Major defect: a note that names no item");
  } finally {
    Object.assign(db, kept);
  }
});
