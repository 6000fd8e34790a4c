// A manager resets a mechanic's secret, signs in with the code, chooses a secret and signs off: what was signed within a day of it says so,
// wherever it is told, and the mechanic learns of it.
import { writeFile } from "node:fs/promises";
import { beforeEach, expect, test } from "vitest";
import type { CourseStep } from "../../shared/contracts/defects.ts";
import { drawMonth, monthScope } from "../../src/reports/index.ts";
import { readPdf } from "../reports/read-pdf.ts";
import { expectAnswer, repairOf, reportOf } from "../support/acts.ts";
import { resetOf, signAsAnother } from "../support/impostor.ts";
import { reportAt } from "../support/report-at.ts";
import { serviceForEach } from "../support/test-service.ts";

const { app, as } = serviceForEach();
let machineId: string;
let defectId: string;
let inspectionId: string;
let resetAt: string;
let chosenAt: string;
// Each in a firm of its own, since time moves and secrets change.
beforeEach(async () => {
  ({ machineId, defectId, inspectionId, resetAt, chosenAt } = await signAsAnother(app, as));
});

const now = (): string => app.context.clock.now().toISOString();
const tick = (minutes: number) => app.context.clock.advance(minutes * 60_000);
const beside = () => ({
  secretResetAt: resetAt,
  secretResetBy: { staffId: app.cast.staffId("F001"), staffNumber: "F001", name: "Person F001" },
  secretChosenAt: chosenAt,
});
const nothing = { secretResetAt: null, secretResetBy: null, secretChosenAt: null };
const courseOf = async (id = defectId): Promise<CourseStep[]> =>
  (await expectAnswer((await as("A001")).get(`/v1/defects/${id}`), 200)).course;
const textIn = async (pdf: Buffer, name: string): Promise<string> => {
  // Kept as a picture's source where SHOTS names a folder.
  const folder = process.env["SHOTS"];
  if (folder !== undefined) await writeFile(`${folder}/${name}.pdf`, pdf);
  return (await readPdf(pdf)).text.replace(/\s+/g, " ");
};
const textOf = async (path: string, name: string): Promise<string> => textIn((await reportAt(await as("A001"), path)).bytes, name);

test("the course of the defect has it beside the sign-off, and beside nothing that somebody else signed", async () => {
  for (const step of await courseOf()) {
    expect(step, step.kind).toMatchObject(step.staffId === app.cast.staffId("M002") ? beside() : nothing);
  }
  expect((await courseOf()).map(({ kind }) => kind)).toContain("sign-off");
});

test("the weekly inspection has it, alone and in the list, and so have its record and the machine's history", async () => {
  expect(await expectAnswer((await as("A001")).get(`/v1/weekly-inspections/${inspectionId}`), 200)).toMatchObject(beside());
  const { items } = await expectAnswer((await as("A001")).get("/v1/weekly-inspections"), 200);
  const shown = items.map((item: { id: string; secretResetAt: string | null }) => [item.id === inspectionId, item.secretResetAt]);
  for (const [isTheirs, at] of shown) expect(at).toBe(isTheirs ? resetAt : null);
  expect(await expectAnswer((await as("A001")).get(`/v1/records/${inspectionId}`), 200)).toMatchObject(beside());
  const repair = (await courseOf()).find(({ kind }) => kind === "repair");
  expect(await expectAnswer((await as("A001")).get(`/v1/records/${repair?.id}`), 200)).toMatchObject(nothing);
  const history = await expectAnswer((await as("A001")).get(`/v1/machines/${machineId}/history`), 200);
  const marked = history.items.filter((item: { secretResetAt: string | null }) => item.secretResetAt !== null);
  expect(marked.map(({ kind }: { kind: string }) => kind).sort()).toEqual(
    expect.arrayContaining(["defect-signed-off", "weekly-inspection"]),
  );
});

test("the defect report, the machine's paper, the month's paper and the month's table say it", async () => {
  const said = /Note: less than a day before, on .{10,40}, this person.s secret was chosen with a code that Person F001/;
  const day = now().slice(0, 10);
  expect(await textOf(`/v1/defects/${defectId}/report.pdf`, "defect-report")).toMatch(said);
  expect(await textOf(`/v1/machines/${machineId}/roadworthiness.pdf?from=${day}&to=${day}`, "roadworthiness")).toMatch(said);
  const month = day.slice(0, 7);
  const chunks: Buffer[] = [];
  for await (const chunk of drawMonth(app.context, await monthScope(app.context, { month, depotIds: null }))) chunks.push(chunk as Buffer);
  // In the course of the defect, with the inspection, and in the list of sign-offs.
  expect((await textIn(Buffer.concat(chunks), "month")).match(new RegExp(said, "g"))).toHaveLength(3);
  const csv = (await (await as("A001")).get(`/v1/records?month=${month}&format=csv`)).text;
  const lines = csv.split("\r\n").filter((line) => line.includes("had set this person's secret"));
  expect(lines.filter((line) => line.includes("defect-signed-off"))).toHaveLength(1);
  expect(lines.filter((line) => line.includes("weekly-inspection"))).toHaveLength(1);
  expect(lines.every((line) => line.includes(`F001 had set this person's secret at ${resetAt}`))).toBe(true);
  expect(csv).toMatch(/secret-reset,.*F001.*M002; the one-time code runs out at/);
});

test("a day later nothing is said any more; what was signed keeps its note for ever", async () => {
  tick(25 * 60);
  const other = (await expectAnswer((await as("R001")).post("/v1/defects").send(reportOf(app, machineId, "horn.weak")), 201)).defect.id;
  await expectAnswer((await as("M002")).post(`/v1/defects/${other}/repairs`).send(repairOf(app)), 201);
  expect((await courseOf(other)).map(({ secretResetAt }) => secretResetAt)).toEqual([null, null]);
  expect((await courseOf()).find(({ kind }) => kind === "sign-off")).toMatchObject(beside());
});

test("a code that lay about for days counts from the moment at which a secret was chosen with it, and no date in a body leads out of the day", async () => {
  const reset = await resetOf(app, as, "M002");
  resetAt = now();
  tick(5 * 24 * 60);
  chosenAt = now();
  const client = await app.settleIn("M002", reset.oneTimeCode);
  tick(10);
  const { defect } = await expectAnswer(
    (await as("R001")).post("/v1/defects").send(reportOf(app, machineId, "indicators.wrong-rhythm")),
    201,
  );
  const performedAt = new Date(Date.parse(now()) - 6 * 24 * 3_600_000).toISOString();
  await expectAnswer(client.post(`/v1/defects/${defect.id}/repairs`).send(repairOf(app, { performedAt })), 201);
  expect((await courseOf(defect.id)).find(({ kind }) => kind === "repair")).toMatchObject(beside());
});

test("a person's own change of a secret that was their own is nobody's business", async () => {
  tick(2 * 24 * 60);
  const client = await as("M001");
  await expectAnswer(client.put("/v1/me/secret").send({ current: "test-M001", secret: "quite my own one" }), 200);
  const { defect } = await expectAnswer(
    (await as("R001")).post("/v1/defects").send(reportOf(app, machineId, "bodywork.mirror-cracked")),
    201,
  );
  await expectAnswer(client.post(`/v1/defects/${defect.id}/repairs`).send(repairOf(app)), 201);
  expect((await courseOf(defect.id)).map(({ secretResetAt }) => secretResetAt)).toEqual([null, null]);
});
