// What a record says of the sheet that it was made on: version and hash, old versions included.
import { expect, test } from "vitest";
import { SHEET_VERSION } from "../../shared/catalogue/sheet.ts";
import { sheetSha256, sheetVersions } from "../../src/checks/index.ts";
import { expectAnswer, onBoard } from "../support/acts.ts";
import { openTestContext } from "../support/context.ts";
import { addTestMachine, checkFinding, inspectionOf, nilCheckOf } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";

const { app, as } = testService(() => openTestContext("2026-12-02T06:00:00.000Z"));

const stored = async (id: string) => {
  const entry = await app.context.db.prisma.ledger.findUniqueOrThrow({ where: { id } });
  return entry.data as { sheetSha256?: string | null };
};

test("the sheet, the record of a check and of an inspection, and their answers carry the hash of the version that they name", async () => {
  const machineId = await addTestMachine(app);
  const today = sheetSha256(SHEET_VERSION);
  for (const kind of ["daily", "weekly"]) {
    const sheet = await expectAnswer((await as("M001")).get(`/v1/machines/${machineId}/sheet`).query({ kind }), 200);
    expect([sheet.sheetVersion, sheet.sheetSha256]).toEqual([SHEET_VERSION, today]);
  }
  const { check } = await expectAnswer((await as("R001")).post("/v1/daily-checks").send(nilCheckOf(app, machineId)), 201);
  const { inspection } = await expectAnswer((await as("M001")).post("/v1/weekly-inspections").send(inspectionOf(app, machineId)), 201);
  for (const { id, sheetSha256: said } of [check, inspection]) expect([said, (await stored(id)).sheetSha256]).toEqual([today, today]);
});

test("a check on any older sheet is taken, judged by that sheet, flagged as old and recorded with that sheet's hash", async () => {
  for (const sheetVersion of sheetVersions.filter((version) => version !== SHEET_VERSION)) {
    const machineId = await addTestMachine(app);
    const nil = await expectAnswer((await as("R001")).post("/v1/daily-checks").send(nilCheckOf(app, machineId, { sheetVersion })), 201);
    expect(nil.check).toMatchObject({ sheetVersion, sheetSha256: sheetSha256(sheetVersion), decision: "ride" });
    expect(nil.check.flags).toContain("sheet-old");
    expect((await stored(nil.check.id)).sheetSha256).toBe(sheetSha256(sheetVersion));
    const body = checkFinding(app, machineId, "stop-lamp.out", { sheetVersion });
    expect((await expectAnswer((await as("R001")).post("/v1/daily-checks").send(body), 201)).clearance.decision).toBe("do-not-ride");
    expect((await onBoard(as, machineId)).standing).toBe("grounded");
  }
});

test("a sheet that never was has no hash to record", async () => {
  const machineId = await addTestMachine(app);
  const body = checkFinding(app, machineId, "stop-lamp.out", { sheetVersion: "1999-01" });
  const { check } = await expectAnswer((await as("R001")).post("/v1/daily-checks").send(body), 201);
  expect([check.sheetSha256, (await stored(check.id)).sheetSha256]).toEqual([null, null]);
});
