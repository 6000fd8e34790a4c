// What an auditor asks months later: each paper, and the history, as it was at that moment, whatever came since. Over HTTP, read back
// with a PDF reader that is not ours.
import { randomUUID } from "node:crypto";
import { beforeAll, describe, expect, test } from "vitest";
import { addDays, localDay } from "../../shared/rules/calendar.ts";
import { readPdf } from "../reports/read-pdf.ts";
import { repairOf, reportOf } from "../support/acts.ts";
import { plainPicture } from "../support/pictures.ts";
import { addTestMachine, inspectionOf } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";
import { wholeBody } from "../support/whole-body.ts";

const { app, as } = testService();
let machineId: string;
let defectId: string;

type RecordContent = Record<"history" | "machine" | "defect" | "defects" | "fleet", string>;
/** What was shown after each act, by the moment. */
const shown = new Map<string, RecordContent>();

async function textOf(path: string, query: object): Promise<string> {
  const answer = await (await as("A001")).get(path).query(query).buffer(true).parse(wholeBody);
  // No defect yet, or none that was known then.
  if ([404, 422].includes(answer.status)) return "refused";
  expect(answer.status).toBe(200);
  // Title and box of a past moment name it, and take a line more: what stands on which page, its head and the heads of a table that goes on are not compared.
  const { pages } = await readPdf(answer.body as Buffer);
  const moment = /,\s+as\s+at\s+\d+\s+\w+\s+\d+,\s+\d+:\d+|As at \d+ \w+ \d+, \d+:\d+\. ?/g;
  return pages
    .map((page) => page.replace(/^.*?Page \d+ of \d+ /s, ""))
    .join(" ")
    .replaceAll(moment, "")
    .replaceAll("Reading As found As left Limit Verdict ", "");
}

async function told(at: { at?: string }): Promise<RecordContent> {
  const history = await (await as("A001")).get(`/v1/machines/${machineId}/history`).query(at).expect(200);
  return {
    history: JSON.stringify(history.body),
    machine: await textOf(`/v1/machines/${machineId}/roadworthiness.pdf`, at),
    defect: await textOf(`/v1/defects/${defectId}/report.pdf`, at),
    defects: await textOf("/v1/reports/defects.pdf", { depotId: app.cast.homeDepotId, ...at }),
    fleet: await textOf("/v1/reports/roadworthiness.pdf", { depotId: app.cast.homeDepotId, ...at }),
  };
}

const now = (): Date => app.context.clock.now();

/** An act, and what is shown a second after it. */
async function then(who: string, method: "post" | "put" | "patch", path: string, body: object): Promise<void> {
  app.context.clock.advance(60_000);
  const answer = await (await as(who))[method](path).send(body);
  expect([200, 201], answer.text).toContain(answer.status);
  app.context.clock.advance(1000);
  shown.set(now().toISOString(), await told({}));
}

beforeAll(async () => {
  machineId = await addTestMachine(app, { mark: "AA11 AAA", inspected: false });
  await addTestMachine(app, { mark: "BB22 BBB" });
  const today = localDay(now(), "Europe/London");
  const photoId = randomUUID();
  const machine = `/v1/machines/${machineId}`;
  const onDefect = (act: string) => `/v1/defects/${defectId}/${act}`;
  const act = () => ({ id: randomUUID() });

  await then("M001", "post", "/v1/weekly-inspections", inspectionOf(app, machineId));
  app.context.clock.advance(60_000);
  const reported = await (await as("R001"))
    .post("/v1/defects")
    .send(reportOf(app, machineId, "front-wheel.dent", { note: "Hit a kerb", photoIds: [photoId] }));
  defectId = reported.body.defect.id;
  shown.set(now().toISOString(), await told({}));
  app.context.clock.advance(60_000);
  const bytes = await plainPicture("jpeg");
  await (await as("R001")).post("/v1/photos").query({ id: photoId }).set("content-type", "image/jpeg").send(bytes).expect(201);
  shown.set(now().toISOString(), await told({}));
  await then("M001", "post", onDefect("deferral"), { ...act(), untilDay: addDays(today, 3), reason: "The rim is on its way" });
  await then("M001", "post", onDefect("regrades"), { ...act(), category: "major", reason: "A crack beside the dent" });
  await then("F001", "patch", machine, { registrationMark: "CC33 CCC", inServiceFrom: addDays(today, -3) });
  await then("M001", "post", onDefect("repairs"), repairOf(app));
  await then("M002", "post", onDefect("sign-off"), act());
  await then("F001", "post", `${machine}/papers`, {
    kind: "insurance",
    number: "77",
    validFrom: addDays(today, -9),
    validTo: addDays(today, 99),
  });
  await then("F001", "patch", machine, { odometerKm: 4321, reason: "The clock was replaced" });
  await then("F001", "patch", machine, { withdrawn: { reason: "Lent to the workshop school" } });
  await then("F001", "patch", machine, { depotId: app.cast.farDepotId, withdrawn: null });
  app.context.clock.advance(40 * 86_400_000);
});

describe("as at a past moment", () => {
  test("each paper and the history say, word for word, what they said then", async () => {
    expect(shown.size).toBe(12);
    for (const [at, before] of shown) expect(await told({ at }), at).toEqual(before);
  });

  test("what was shown did change at every act, and shows what came", () => {
    const tales = [...shown.values()];
    for (const [index, { machine, defect, history }] of tales.entries()) {
      const next = tales[index + 1];
      if (next) expect([machine, defect, history]).not.toEqual([next.machine, next.defect, next.history]);
    }
    const last = tales.at(-1);
    expect(last?.defect).toContain("CC33CCC");
    expect(tales[1]?.defect).toContain("AA11AAA");
  });

  test("the paper says that it is about a past moment, and when it was printed", async () => {
    const [at = ""] = shown.keys();
    const answer = await (await as("A001")).get(`/v1/machines/${machineId}/roadworthiness.pdf`).query({ at }).buffer(true);
    const { text } = await readPdf(answer.body as Buffer);
    expect(text).toContain("Machine roadworthiness AA11AAA, as at 13 Jul 2026, 05:31");
    expect(text).toContain("As at 13 Jul 2026, 05:31. Nothing else stands against it.");
    expect(text).not.toMatch(/\bnow\b|\btoday\b|day of printing/);
    expect(answer.headers["content-disposition"]).toMatch(/-2026-07-13-as-at-2026-07-13T04-31-\d\dZ\.pdf"$/);
  });

  test("who took a paper about a past moment is recorded with that moment", async () => {
    const [at = ""] = shown.keys();
    await textOf(`/v1/machines/${machineId}/roadworthiness.pdf`, { at });
    const entry = await app.context.db.prisma.ledger.findFirst({ where: { kind: "report-taken" }, orderBy: { position: "desc" } });
    expect(entry?.data).toMatchObject({ paper: "machine-roadworthiness", machineId, at });
  });
});

describe("a moment that cannot be asked about is refused with its reason", () => {
  const papers = () => [
    `/v1/machines/${machineId}/history`,
    `/v1/machines/${machineId}/roadworthiness.pdf`,
    `/v1/defects/${defectId}/report.pdf`,
    "/v1/reports/defects.pdf",
    "/v1/reports/roadworthiness.pdf",
  ];
  test("still to come", async () => {
    const at = new Date(now().getTime() + 1000).toISOString();
    for (const path of papers()) {
      const { status, body } = await (await as("A001")).get(path).query({ at });
      expect([status, body.code, body.issues?.[0]?.pointer], path).toEqual([422, "not-valid", "/query/at"]);
    }
  });
  test("no moment at all, or one without a zone", async () => {
    for (const path of papers())
      for (const at of ["yesterday", "2026-07-13T05:00:00", ""]) {
        const { status, body } = await (await as("A001")).get(path).query({ at });
        expect([status, body.code], `${path} ${at}`).toEqual([422, "not-valid"]);
      }
  });
  test("before there was the machine or the defect", async () => {
    const at = "2020-01-01T00:00:00Z";
    for (const path of [`/v1/machines/${machineId}/roadworthiness.pdf`, `/v1/defects/${defectId}/report.pdf`])
      expect((await (await as("A001")).get(path).query({ at })).body.code, path).toBe("not-found");
    expect((await (await as("A001")).get(`/v1/machines/${machineId}/history`).query({ at }).expect(200)).body.items).toEqual([]);
  });
  test("a day and a moment at once", async () => {
    const { status, body } = await (await as("A001"))
      .get("/v1/reports/roadworthiness.pdf")
      .query({ on: "2026-07-13", at: "2026-07-13T05:00:00Z" });
    expect([status, body.code, body.issues?.[0]?.pointer]).toEqual([422, "not-valid", "/query/at"]);
  });
});
