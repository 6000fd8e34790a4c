// What a paper about some days counts as theirs. Over HTTP, read back with a PDF reader that is not ours.
import { randomUUID } from "node:crypto";
import { expect, test } from "vitest";
import { nodesOf, type ReportRead } from "../reports/read-pdf.ts";
import { repairOf, reportOf, sent } from "../support/acts.ts";
import { reportAt } from "../support/report-at.ts";
import { addTestMachine, inspectionOf } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";

const { app, as } = testService();
const dayMs = 24 * 3_600_000;

const pdfOf = async (path: string): Promise<ReportRead> => (await reportAt(await as("A001"), path)).read;
const pdfText = async (path: string): Promise<string> => (await pdfOf(path)).text;

test("repairs, sign-offs and sightings belong to the period in which they were made, whenever the defect was found", async () => {
  const bike = await addTestMachine(app, { mark: "EE55 EEE" });
  const today = () => app.context.clock.now().toISOString().slice(0, 10);
  const found = today();
  const { defect } = (await sent((await as("R001")).post("/v1/defects").send(reportOf(app, bike, "front-brake-cable.frayed")))) as {
    defect: { id: string };
  };
  app.context.clock.advance(2 * dayMs);
  const seen = today();
  await sent((await as("R001")).post("/v1/defects").send(reportOf(app, bike, "front-brake-cable.frayed", { note: "Still frayed" })));
  app.context.clock.advance(dayMs);
  const mended = today();
  await sent((await as("M001")).post(`/v1/defects/${defect.id}/repairs`).send(repairOf(app)));
  app.context.clock.advance(dayMs);
  const signed = today();
  const off = { id: randomUUID(), statement: "Tried on the yard", reading: { value: 25, unit: "mm" } };
  await sent((await as("M002")).post(`/v1/defects/${defect.id}/sign-off`).send(off));
  const sections = async (day: string) => {
    const text = await pdfText(`/v1/machines/${bike}/roadworthiness.pdf?from=${day}&to=${day}`);
    const [, defects = "", work = ""] =
      /Defects found or seen again in the period(.*)Repairs and sign-offs in the period(.*)Weekly inspections/s.exec(text) ?? [];
    return { defects, work };
  };
  for (const day of [found, seen]) {
    const { defects, work } = await sections(day);
    expect(defects).toContain("Front brake and its cable");
    expect(work).toContain("Nothing was repaired or signed off in the period.");
  }
  const repaired = await sections(mended);
  expect(repaired.defects).toContain("No defect was found or seen again in the period.");
  expect(repaired.work).toContain("Repaired");
  expect(repaired.work).not.toContain("Signed off");
  const closed = await sections(signed);
  expect(closed.work).toContain("Tried on the yard");
  expect(closed.work).not.toContain("Repaired");
  const summary = (day: string) => pdfText(`/v1/reports/defects.pdf?depotId=${app.cast.homeDepotId}&from=${day}&to=${day}`);
  expect(await summary(signed)).toMatch(/Defects found 0 .*Signed off 1/);
  expect(await summary(found)).toMatch(/Defects found 1 .*Signed off 0/);
});

test("the chart of wear goes on over a new part: its line breaks there, and the part is marked as renewed", async () => {
  const bike = await addTestMachine(app, { mark: "FF66 FFF" });
  let defectId = "";
  for (const [week, asFound] of [4, 3, 2, 1].entries()) {
    app.context.clock.advance(7 * dayMs);
    const body = inspectionOf(app, bike, { odometerKm: 1300 + week * 300 });
    const answers = body.answers.map((answer) => (answer.itemId === "front-tyre-tread-weekly" ? { ...answer, asFound } : answer));
    const { defects } = (await sent((await as("M001")).post("/v1/weekly-inspections").send({ ...body, answers }))) as {
      defects: { id: string }[];
    };
    defectId = defects[0]?.id ?? "";
  }
  app.context.clock.advance(dayMs);
  await sent((await as("M001")).post(`/v1/defects/${defectId}/repairs`).send(repairOf(app)));
  app.context.clock.advance(60_000);
  await sent((await as("M002")).post(`/v1/defects/${defectId}/sign-off`).send({ id: randomUUID(), reading: { value: 5, unit: "mm" } }));
  const { trees } = await pdfOf(`/v1/machines/${bike}/roadworthiness.pdf`);
  const chart = nodesOf(trees, "Figure")
    .find(({ alt }) => alt?.startsWith("Front tread depth"))
    ?.alt?.replaceAll("\u00a0", " ");
  expect(chart).toMatch(/^Front tread depth: 5 mm at 1,000 km, 5 mm at 2,200 km; .*renewed at 2,200 km$/);
  const report = await pdfText(`/v1/defects/${defectId}/report.pdf`);
  expect(report.slice(report.indexOf("Readings against their limits"))).toContain("Front tread depth \u2013 5 mm");
});
