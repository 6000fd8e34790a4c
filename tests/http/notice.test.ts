// The notice to hang on a machine that may not be ridden, against what the board says of it.
import { expect, test } from "vitest";
import { setOn } from "../reports/read-pdf.ts";
import { expectAnswer } from "../support/acts.ts";
import { reportAt } from "../support/report-at.ts";
import { addTestMachine, checkFinding, nilCheckOf } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";

const { app, as } = testService();

const paperOf = (machineId: string) => `/v1/machines/${machineId}/notice.pdf`;
const ground = async (machineId: string) =>
  expectAnswer((await as("R001")).post("/v1/daily-checks").send(checkFinding(app, machineId, "front-brake-cable.frayed")), 201);

test("says not to ride which machine, since when and why, as the board does, on A5, and taking it is recorded", async () => {
  const machineId = await addTestMachine(app, { mark: "NOT1" });
  await ground(machineId);
  const { machines } = await expectAnswer((await as("F001")).get("/v1/readiness"), 200);
  const line = machines.find((one: { machineId: string }) => one.machineId === machineId);
  // That no check was made today does not matter where none would clear it.
  const reasons = line.reasons.filter(({ code }: { code: string }) => code !== "unchecked").map(({ text }: { text: string }) => text);
  const { read, bytes, headers } = await reportAt(await as("M001"), paperOf(machineId));
  expect(headers["content-disposition"]).toBe('inline; filename="do-not-ride-NOT1.pdf"');
  expect(read.pages).toHaveLength(1);
  const { widthPt, heightPt } = await setOn(bytes, 1);
  // A5, ISO 216
  expect([widthPt, heightPt].map((pt) => Math.round((pt * 25.4) / 72))).toEqual([148, 210]);
  for (const part of ["DO NOT RIDE", "NOT1", "Stands still since", ...reasons]) expect(read.text).toContain(part);
  const ofThis = (await taken()).filter((data) => (data as { machineId?: string }).machineId === machineId);
  expect(ofThis).toEqual([{ paper: "machine-notice", machineId, depotId: app.cast.homeDepotId }]);
  expect((await reportAt(await as("M001"), paperOf(machineId), { lang: "de" })).read.text).toContain("NICHT FAHREN");
});

test("is refused for a machine that may be ridden, or may as soon as it was checked, and then nothing is recorded", async () => {
  const machineId = await addTestMachine(app, { mark: "NOT2" });
  const before = (await taken()).length;
  await expectAnswer((await as("M001")).get(paperOf(machineId)), 409, "nothing-to-hang-up");
  await expectAnswer((await as("R001")).post("/v1/daily-checks").send(nilCheckOf(app, machineId)), 201);
  await expectAnswer((await as("M001")).get(paperOf(machineId)), 409, "nothing-to-hang-up");
  expect(await taken()).toHaveLength(before);
});

test("names nothing with which a machine may be ridden", async () => {
  const machineId = await addTestMachine(app, { mark: "NOT4" });
  await expectAnswer((await as("R001")).post("/v1/daily-checks").send(checkFinding(app, machineId, "horn.weak")), 201);
  await ground(machineId);
  const { machines } = await expectAnswer((await as("F001")).get("/v1/readiness"), 200);
  const line = machines.find((one: { machineId: string }) => one.machineId === machineId);
  expect(line.reasons.map(({ code }: { code: string }) => code)).toContain("minor-defect");
  const { text } = (await reportAt(await as("M001"), paperOf(machineId))).read;
  expect(text).toContain("Front brake and its cable");
  expect(text).not.toContain("Horn");
});

test("of a machine that the manager withdrew gives the manager's reason", async () => {
  const machineId = await addTestMachine(app, { mark: "NOT3" });
  const change = { withdrawn: { reason: "Frame is being measured" } };
  await expectAnswer((await as("F001")).patch(`/v1/machines/${machineId}`).send(change), 200);
  expect((await reportAt(await as("F001"), paperOf(machineId))).read.text).toContain("Frame is being measured");
});

const taken = async () =>
  (await app.context.db.prisma.ledger.findMany({ where: { kind: "report-taken" }, orderBy: { position: "asc" } })).map(({ data }) => data);
