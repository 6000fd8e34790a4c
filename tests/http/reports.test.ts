// The five reports as a reader gets them: over HTTP, read back with a PDF reader that is not ours. Time stands still here;
// tests/http/reports-later.test.ts tells what they say in the days and weeks after.
import { randomUUID } from "node:crypto";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { sent } from "../support/acts.ts";
import type { Client, TestApp } from "../support/app.ts";
import { cyrillic, fetchReport, inOrder, openFirstMorning, thai } from "../support/first-morning.ts";
import { addTestMachine } from "../support/sheets.ts";

let app: TestApp;
let [machineId, defectId] = ["", ""];
let manager: Client;
let mechanic: Client;
let auditor: Client;
let rider: Client;
let farManager: Client;
beforeAll(async () => {
  const morning = await openFirstMorning();
  ({ app, machineId, defectId } = morning);
  manager = await morning.as("F001");
  mechanic = await morning.as("M001");
  auditor = await morning.as("A001");
  rider = await morning.as("R001");
  farManager = await morning.as("F101");
});
afterAll(() => app.close());

const taken = () =>
  app.context.db.prisma.ledger.findMany({
    where: { kind: "report-taken" },
    orderBy: { position: "asc" },
    select: { staffId: true, depotId: true, machineId: true, data: true },
  });

describe("on the morning when a machine was grounded", () => {
  test("the defect report says what was seen, by whom, that it grounds, and that it came late", async () => {
    const { read, headers } = await fetchReport(mechanic, `/v1/defects/${defectId}/report.pdf`);
    expect(headers["content-type"]).toBe("application/pdf");
    expect(headers["content-disposition"]).toMatch(/^inline; filename="defect-report-AA11AAA-[0-9a-f]{8}\.pdf"$/);
    expect(headers["content-language"]).toBe("en-GB");
    for (const part of ["Home", "AA11AAA", "it grounds AA11AAA", thai, "R001", "arrived late", "Europe/London", "1,000"])
      expect(read.text).toContain(part);
    expect(read.info["Title"]).toContain("Defect report");
    inOrder(read.text, "Open: it grounds", "Readings none", "Photos none", "Course", "Handed over by");
  });
  test("the fleet's paper tells what may not be ridden first, each reason, and who checked the others", async () => {
    const { read } = await fetchReport(manager, `/v1/reports/roadworthiness.pdf?depotId=${app.cast.homeDepotId}`);
    expect(read.text).toContain("1 of 2 machines fit");
    inOrder(read.text, "1 machine may not be ridden", "AA11AAA", "BB22BBB");
    expect(read.text).toContain(thai);
    expect(read.text).not.toContain("FAR1");
  });
  test("the review tells the month as far as it has come, and asks about the checks without judging anybody", async () => {
    const { read, headers } = await fetchReport(manager, `/v1/reports/review.pdf?month=2026-07&depotId=${app.cast.homeDepotId}`);
    expect(headers["content-disposition"]).toBe('inline; filename="fleet-review-Home-2026-07.pdf"');
    inOrder(read.text, "Fleet review: Jul 2026", "checks 3, defects 1", "The month is not over", "never a verdict on a person");
    for (const part of [thai, "R001", "A question to ask", "AA11AAA"]) expect(read.text).toContain(part);
    expect(read.text).not.toContain("Far");
    const { read: empty } = await fetchReport(farManager, "/v1/reports/review.pdf?month=2026-06");
    expect(empty.text).toContain("nothing to review");
  });
  test("a paper of all depots names each machine's own", async () => {
    const { read } = await fetchReport(auditor, "/v1/reports/roadworthiness.pdf");
    for (const part of ["All depots", "FAR1", "Test model, Far", "Test model, Home", "each time names its clock"])
      expect(read.text).toContain(part);
    const { read: own } = await fetchReport(farManager, "/v1/reports/roadworthiness.pdf");
    expect(own.text).not.toContain("AA11AAA");
    expect(own.text).toContain("Asia/Ho_Chi_Minh");
  });
  test("the defect summary begins with the grounded machine and since when", async () => {
    const { read } = await fetchReport(manager, `/v1/reports/defects.pdf?depotId=${app.cast.homeDepotId}`);
    inOrder(read.text, "1 machine is grounded", "Grounded, and why", "Totals of the period", "All defects of the period");
    expect(read.text).toContain("AA11AAA Test model 13 Jul 2026, 05:31");
    // Two machines since this morning: no rate can be told of so little.
    expect(read.text).toContain("In 1,000 machine-days too little to say");
  });
  test("the machine's paper shows standing, open defect, the day and the statement", async () => {
    const { read, headers } = await fetchReport(auditor, `/v1/machines/${machineId}/roadworthiness.pdf`);
    expect(headers["content-disposition"]).toContain('filename="roadworthiness-AA11AAA-2026-06-14-2026-07-13.pdf"');
    inOrder(read.text, "Grounded", "Open defects", thai, "Daily checks", "defect found (1)", "Weekly inspections", cyrillic, "Papers");
    expect(read.text).toContain("first-use inspection");
  });
  test("a machine without any history has a report too, and once withdrawn no label", async () => {
    const fresh = await addTestMachine(app, { mark: "CC33 CCC", depotId: app.cast.farDepotId, inspected: false });
    const { read } = await fetchReport(farManager, `/v1/machines/${fresh}/roadworthiness.pdf?from=2026-07-01`);
    for (const part of ["No defect is open", "No weekly inspection", "No paper is recorded"]) expect(read.text).toContain(part);
    const labels = async () => (await fetchReport(farManager, "/v1/reports/labels.pdf")).read.text;
    expect(await labels()).toContain("CC33CCC");
    await sent(farManager.patch(`/v1/machines/${fresh}`).send({ withdrawn: { reason: "Sold" } }));
    expect(await labels()).not.toContain("CC33CCC");
  });
  test("the blank sheet holds every item, and taking one leaves no record", async () => {
    const before = (await taken()).length;
    const { read: daily } = await fetchReport(mechanic, `/v1/machines/${machineId}/sheet.pdf`);
    const { read: weekly } = await fetchReport(mechanic, `/v1/machines/${machineId}/sheet.pdf?kind=weekly`);
    const sheet = (await sent(mechanic.get(`/v1/machines/${machineId}/sheet?kind=weekly`))) as unknown as {
      stations: { items: { prompt: string }[] }[];
    };
    for (const { items } of sheet.stations) for (const { prompt } of items) expect(weekly.text).toContain(prompt);
    expect(daily.text).toContain("AA11AAA");
    expect(daily.pages.length).toBeLessThanOrEqual(2);
    expect((await taken()).length).toBe(before);
  });
  test("labels are there for every machine in service, for the view of the asker or one machine, and taking them leaves no record", async () => {
    const before = (await taken()).length;
    const { read, headers } = await fetchReport(manager, `/v1/reports/labels.pdf?depotId=${app.cast.homeDepotId}`);
    expect(headers["content-disposition"]).toContain('filename="labels-Home.pdf"');
    expect(read.text).toContain("AA11AAA");
    expect(read.text).toContain("BB22BBB");
    const { read: one, headers: named } = await fetchReport(mechanic, `/v1/reports/labels.pdf?machineId=${machineId}`);
    expect(named["content-disposition"]).toContain('filename="labels-AA11AAA.pdf"');
    expect(one.text.match(/Scan\./g)).toHaveLength(1);
    const { read: far } = await fetchReport(farManager, "/v1/reports/labels.pdf");
    expect(far.text).not.toContain("AA11AAA");
    expect((await taken()).length).toBe(before);
  });
});

describe("who may take a paper", () => {
  const papers = () => ({
    defect: `/v1/defects/${defectId}/report.pdf`,
    machine: `/v1/machines/${machineId}/roadworthiness.pdf`,
    summary: "/v1/reports/defects.pdf",
    fleet: "/v1/reports/roadworthiness.pdf",
    review: "/v1/reports/review.pdf?month=2026-07",
    sheet: `/v1/machines/${machineId}/sheet.pdf`,
    labels: `/v1/reports/labels.pdf?machineId=${machineId}`,
  });
  const refused = async (client: Client, path: string) => {
    const { status, body, headers } = await client.get(path);
    expect(headers["content-type"]).toContain("application/problem+json");
    return [status, body.code];
  };
  test("riders take none, mechanics no summaries, auditors no blank sheets, and nobody without signing in", async () => {
    for (const path of Object.values(papers())) {
      expect(await refused(rider, path)).toEqual([403, "not-your-role"]);
      expect(await refused(app.anyone, path)).toEqual([401, "not-signed-in"]);
    }
    expect(await refused(mechanic, papers().summary)).toEqual([403, "not-your-role"]);
    expect(await refused(mechanic, papers().fleet)).toEqual([403, "not-your-role"]);
    expect(await refused(mechanic, papers().review)).toEqual([403, "not-your-role"]);
    expect(await refused(auditor, papers().sheet)).toEqual([403, "not-your-role"]);
    expect(await refused(auditor, papers().labels)).toEqual([403, "not-your-role"]);
  });
  test("a manager of another depot takes none, and nothing is recorded as taken", async () => {
    const before = (await taken()).length;
    const { defect, machine, sheet, labels, summary, fleet, review } = papers();
    for (const path of [
      defect,
      machine,
      sheet,
      labels,
      `/v1/reports/labels.pdf?depotId=${app.cast.homeDepotId}`,
      `${review}&depotId=${app.cast.homeDepotId}`,
      `${summary}?depotId=${app.cast.homeDepotId}`,
      `${fleet}?depotId=${app.cast.homeDepotId}`,
    ])
      expect(await refused(farManager, path)).toEqual([403, "other-depot"]);
    expect((await taken()).length).toBe(before);
  });
  test("what is not there is not found", async () => {
    for (const path of [
      "/v1/defects/ID/report.pdf",
      "/v1/machines/ID/roadworthiness.pdf",
      "/v1/machines/ID/sheet.pdf",
      "/v1/reports/labels.pdf?machineId=ID",
    ])
      expect(await refused(manager, path.replace("ID", randomUUID()))).toEqual([404, "not-found"]);
    for (const path of ["defects", "roadworthiness", "labels"])
      expect(await refused(manager, `/v1/reports/${path}.pdf?depotId=${randomUUID()}`)).toEqual([404, "not-found"]);
  });
  test("days that make no period are refused, each by its own field", async () => {
    const wrong: [string, string][] = [
      ["from=2025-07-12&to=2026-07-13", "/query/from"],
      ["to=2026-07-15", "/query/to"],
    ];
    for (const path of [papers().summary, papers().machine])
      for (const [query, pointer] of wrong) {
        const { status, body } = await manager.get(`${path}?${query}`);
        expect([query, status, body.code, body.issues[0].pointer]).toEqual([query, 422, "period-not-valid", pointer]);
      }
    expect(await refused(manager, `${papers().fleet}?on=2026-07-15`)).toEqual([422, "period-not-valid"]);
    expect(await refused(manager, "/v1/reports/review.pdf?month=2026-08")).toEqual([422, "period-not-valid"]);
    for (const query of ["", "?month=2026-13", "?month=2026-7", "?month=2026-07&on=2026-07-13"])
      expect(await refused(manager, `/v1/reports/review.pdf${query}`)).toEqual([422, "not-valid"]);
    for (const query of ["on=2026-02-30", "on=0001-01-01", "on=yesterday", "day=2026-07-13", "on=2026-07-13&on=2026-07-12"])
      expect(await refused(manager, `${papers().fleet}?${query}`)).toEqual([422, "not-valid"]);
    expect(await refused(mechanic, `${papers().sheet}?kind=monthly`)).toEqual([422, "not-valid"]);
    await fetchReport(manager, `${papers().summary}?from=2025-07-13&to=2026-07-13`);
  });
});

test("every paper taken is recorded: who, which, about what and which days", async () => {
  const before = (await taken()).length;
  const { homeDepotId, staffId } = app.cast;
  const machineBefore = await app.context.db.prisma.machine.findUniqueOrThrow({ where: { id: machineId } });
  await fetchReport(auditor, `/v1/defects/${defectId}/report.pdf`);
  await fetchReport(auditor, `/v1/machines/${machineId}/roadworthiness.pdf?from=2026-07-01&to=2026-07-12`);
  await fetchReport(auditor, `/v1/reports/defects.pdf?depotId=${homeDepotId}`);
  await fetchReport(auditor, "/v1/reports/roadworthiness.pdf?on=2026-07-12");
  await fetchReport(auditor, `/v1/reports/review.pdf?month=2026-07&depotId=${homeDepotId}`);
  const by = { staffId: staffId("A001"), machineId: null };
  expect((await taken()).slice(before)).toEqual([
    { ...by, depotId: homeDepotId, data: { paper: "defect-report", depotId: homeDepotId, machineId, defectId } },
    {
      ...by,
      depotId: homeDepotId,
      data: { paper: "machine-roadworthiness", depotId: homeDepotId, machineId, from: "2026-07-01", to: "2026-07-12" },
    },
    { ...by, depotId: homeDepotId, data: { paper: "defect-summary", depotId: homeDepotId, from: "2026-07-07", to: "2026-07-13" } },
    { ...by, depotId: null, data: { paper: "fleet-roadworthiness", depotId: null, on: "2026-07-12" } },
    { ...by, depotId: homeDepotId, data: { paper: "fleet-review", depotId: homeDepotId, from: "2026-07-01", to: "2026-07-13" } },
  ]);
  expect(await app.context.db.prisma.machine.findUniqueOrThrow({ where: { id: machineId } })).toEqual(machineBefore);
});
