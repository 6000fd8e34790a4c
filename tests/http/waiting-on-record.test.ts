// What is on record of a wait for a part and of a note: on reports, in the records of the month, in a pack, corrected, and forgotten in its time.
import { randomUUID } from "node:crypto";
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, expect, test } from "vitest";
import { verifyPack } from "../../src/audit/verify-pack.ts";
import { workOff } from "../../src/audit/work-off.ts";
import { forgetOld } from "../../src/keeping/index.ts";
import { expectAnswer, onBoard, repairOf, reportOf } from "../support/acts.ts";
import { filesOf, zipOf } from "../support/packs.ts";
import { reportAt } from "../support/report-at.ts";
import { addTestMachine } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";
import { wholeBody } from "../support/whole-body.ts";

const { app, as } = testService();
let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), "ferrule-waits-"));
});
afterAll(() => rm(folder, { recursive: true, force: true }));

const act = async (who: string, defectId: string, what: string, body: object): Promise<void> => {
  app.context.clock.advance(60_000);
  await expectAnswer((await as(who)).post(`/v1/defects/${defectId}/${what}`).send({ id: randomUUID(), ...body }), 201);
};
const paper = async (path: string): Promise<string> => (await reportAt(await as("F001"), path)).read.text.replaceAll(/\s+/g, " ");
const part = "a horn of twelve volts";
const reason = "Weak and heard all the same";
const note = "The supplier rang on Tuesday";

/** A defect that was let wait, with a note. */
async function waitingDefect(): Promise<{ machineId: string; id: string }> {
  const machineId = await addTestMachine(app);
  const { defect } = await expectAnswer((await as("R001")).post("/v1/defects").send(reportOf(app, machineId, "horn.weak")), 201);
  await act("M001", defect.id, "waiting", { part, reason, expectedDay: app.context.clock.now().toISOString().slice(0, 10) });
  await act("F001", defect.id, "notes", { note });
  return { machineId, id: defect.id };
}

test("the defect's report, its machine's, the summary, the month and its pack tell the wait and the note", async () => {
  const { machineId, id } = await waitingDefect();
  const today = app.context.clock.now().toISOString().slice(0, 10);
  const report = await paper(`/v1/defects/${id}/report.pdf`);
  for (const said of [`Let wait for ${part}, expected `, `Reason: ${reason}`, `Note: ${note}`, `waiting for ${part}, expected `])
    expect(report).toContain(said);
  for (const path of [
    `/v1/machines/${machineId}/roadworthiness.pdf?from=${today}&to=${today}`,
    `/v1/reports/defects.pdf?from=${today}&to=${today}`,
  ]) {
    expect(await paper(path), path).toContain(`waiting for ${part}`);
  }
  const records = await (await as("F001")).get("/v1/records").query({ month: today.slice(0, 7), format: "csv" });
  expect(records.text).toContain(`${part}, expected ${today}: ${reason}`);
  expect(records.text).toContain(note);
  const order = await expectAnswer((await as("F001")).post("/v1/audit-packs").send({ month: today.slice(0, 7) }), 202);
  await workOff(app.context, { id: randomUUID(), alone: false, stopped: () => false });
  const answer = await (await as("F001")).get(`/v1/audit-packs/${order.id}/download`).buffer(true).parse(wholeBody);
  const files = await filesOf(answer.body as Buffer);
  expect(files.get("records.ndjson")?.toString()).toContain('"defect-waiting"');
  expect(await verifyPack(await zipOf(folder, files))).toMatchObject({ holds: true });
});

test("a note is corrected by whoever wrote it, and both stay", async () => {
  const { id } = await waitingDefect();
  const { course } = await expectAnswer((await as("F001")).get(`/v1/defects/${id}`), 200);
  const noted = course.find(({ kind }: { kind: string }) => kind === "note");
  const correction = { id: randomUUID(), pointer: "/submitted/note", right: "He rang on Monday", reason: "Wrong day" };
  const corrected = await expectAnswer((await as("F001")).post(`/v1/records/${noted.id}/corrections`).send(correction), 201);
  expect(JSON.stringify(corrected)).toContain(note);
  expect(JSON.stringify(corrected)).toContain("He rang on Monday");
});

test("once their time is over the part, the reason and the note are forgotten; that there was a wait and a note stays", async () => {
  const { id } = await waitingDefect();
  await act("M001", id, "repairs", repairOf(app));
  await act("M002", id, "sign-off", {});
  const open = await waitingDefect();
  app.context.clock.advance(16 * 31 * 86_400_000);
  await (await as("F001")).get("/v1/checkpoints");
  expect(await forgetOld(app.context)).toBeGreaterThan(0);
  const shown = await expectAnswer((await as("F001")).get(`/v1/defects/${id}`), 200);
  expect(shown.course.map(({ kind, data }: { kind: string; data: unknown }) => [kind, data])).toEqual(
    ["raised", "waiting", "note", "repair", "sign-off"].map((kind) => [kind, null]),
  );
  const report = await paper(`/v1/defects/${id}/report.pdf`);
  for (const gone of [part, reason, note]) expect(report).not.toContain(gone);
  for (const left of ["Let wait for a part by ", "Noted by "]) expect(report).toContain(left);
  // What is open is kept as long as it is open.
  expect((await onBoard(as, open.machineId)).reasons[0]).toMatchObject({ code: "minor-defect-overdue", part });
});
