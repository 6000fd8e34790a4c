// The five papers as a reader gets them: over HTTP, read back with a PDF reader that is not ours.
import { randomUUID } from "node:crypto";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { photoStoreOf } from "../../src/photos/index.ts";
import { nodesOf, type ReportRead, readPdf } from "../reports/read-pdf.ts";
import { reportOf } from "../support/acts.ts";
import { type Client, openTestApp, type TestApp } from "../support/app.ts";
import { plainPicture, tellingPicture } from "../support/pictures.ts";
import { addTestMachine, checkFinding, inspectionOf, nilCheckOf } from "../support/sheets.ts";
import { wholeBody } from "../support/whole-body.ts";

let app: TestApp;
let manager: Client;
let mechanic: Client;
let second: Client;
let auditor: Client;
let rider: Client;
let farManager: Client;
let machineId: string;
let defectId: string;

const thai = "\u0e2a\u0e38\u0e1e\u0e31\u0e15\u0e23\u0e32 \u0e1b\u0e31\u0e0d\u0e0d\u0e32\u0e27\u0e31\u0e12\u0e19\u0e4c";
const cyrillic = "\u041e\u043b\u0435\u043d\u0430 \u0406\u0432\u0430\u0449\u0435\u043d\u043a\u043e";
const caution = "does not replace the maker's handbook";
const dayMs = 24 * 3_600_000;

// Who signs in does so once: nobody's session runs out in the two weeks of this tale, since each is renewed where time has passed.
const signAllIn = async () => {
  [manager, mechanic, second, auditor, rider, farManager] = (await Promise.all(
    ["F001", "M001", "M002", "A001", "R001", "F101"].map(app.signIn),
  )) as [Client, Client, Client, Client, Client, Client];
};
const moveBy = async (milliseconds: number) => {
  app.context.clock.advance(milliseconds);
  await signAllIn();
};
const sent = async (answer: PromiseLike<{ status: number; text: string; body: Record<string, unknown> }>) => {
  const { status, text, body } = await answer;
  expect([200, 201], text).toContain(status);
  return body;
};

const fetchReport = async (client: Client, path: string): Promise<{ read: ReportRead; headers: Record<string, string> }> => {
  const answer = await client.get(path).buffer(true).parse(wholeBody);
  expect(answer.status, String(answer.body)).toBe(200);
  const read = await readPdf(answer.body as Buffer);
  const pages = read.pages.length;
  read.pages.forEach((text, index) => {
    expect(text).toContain(`Page ${index + 1} of ${pages}`);
    expect(text).toContain(caution);
    expect(text).toContain("Test Couriers");
  });
  return { read, headers: answer.headers as Record<string, string> };
};
const taken = () =>
  app.context.db.prisma.ledger.findMany({
    where: { kind: "report-taken" },
    orderBy: { position: "asc" },
    select: { staffId: true, depotId: true, machineId: true, data: true },
  });
/** The places of these texts in a paper, to see which comes first. */
const inOrder = (text: string, ...parts: string[]) => {
  const places = parts.map((part) => text.indexOf(part));
  for (const [index, place] of places.entries()) expect(place, `${parts[index]} in ${text.slice(0, 600)}`).toBeGreaterThanOrEqual(0);
  expect(places).toEqual([...places].sort((a, b) => a - b));
};

beforeAll(async () => {
  app = await openTestApp();
  const name = (staffNumber: string, name: string) => app.context.db.prisma.staff.update({ where: { staffNumber }, data: { name } });
  await name("R001", thai);
  await name("M001", cyrillic);
  await signAllIn();
  // Monday 13 July 2026, 05:30 in London: a nil check, then a rider sees a frayed brake cable on another machine.
  machineId = await addTestMachine(app, { mark: "AA11 AAA" });
  const other = await addTestMachine(app, { mark: "BB22 BBB" });
  await addTestMachine(app, { mark: "FAR1", depotId: app.cast.farDepotId, inspected: false });
  await sent(rider.post("/v1/daily-checks").send(nilCheckOf(app, machineId)));
  await sent(rider.post("/v1/daily-checks").send(nilCheckOf(app, other)));
  await moveBy(60_000);
  const late = { performedAt: new Date(app.context.clock.now().getTime() - 3_600_000).toISOString() };
  const found = await sent(rider.post("/v1/daily-checks").send(checkFinding(app, machineId, "front-brake-cable.frayed", late)));
  defectId = (found["defects"] as { id: string }[])[0]?.id ?? "";
});
afterAll(() => app.close());

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
  test("a machine without any history has a paper too", async () => {
    const fresh = await addTestMachine(app, { mark: "CC33 CCC", inspected: false });
    const { read } = await fetchReport(manager, `/v1/machines/${fresh}/roadworthiness.pdf?from=2026-07-01`);
    for (const part of ["No defect is open", "No weekly inspection", "No paper is recorded"]) expect(read.text).toContain(part);
    await sent(manager.patch(`/v1/machines/${fresh}`).send({ withdrawn: { reason: "Sold" } }));
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
    expect(read.text).not.toContain("CC33CCC");
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

// From here on time moves: what stands above is of the first morning.
test("a defect that was seen again, re-graded, repaired and signed off is told step by step, with its readings", async () => {
  await moveBy(60_000);
  const again = { ...checkFinding(app, machineId, "front-brake-cable.frayed"), id: randomUUID() };
  const answers = again.answers.map((answer) => (answer.result === "defect" ? { ...answer, note: "Now two strands" } : answer));
  await sent(rider.post("/v1/daily-checks").send({ ...again, answers }));
  await moveBy(60_000);
  await sent(
    second.post(`/v1/defects/${defectId}/regrades`).send({ id: randomUUID(), category: "major", reason: "One strand of nineteen" }),
  );
  await moveBy(60_000);
  await sent(
    mechanic.post(`/v1/defects/${defectId}/repairs`).send({
      id: randomUUID(),
      performedAt: app.context.clock.now().toISOString(),
      workDone: "New cable fitted and set",
      minutes: 25,
      parts: [{ name: "Front brake cable", quantity: 1, number: "FBC-7" }],
    }),
  );
  await moveBy(60_000);
  const off = { id: randomUUID(), statement: "Tried on the yard", reading: { value: 25, unit: "mm" } };
  await sent(second.post(`/v1/defects/${defectId}/sign-off`).send(off));
  const { read } = await fetchReport(manager, `/v1/defects/${defectId}/report.pdf`);
  inOrder(
    read.text.slice(read.text.indexOf("Course")),
    ...[
      "Found on a daily check",
      "Seen again on a daily check",
      "Now two strands",
      "Graded from Dangerous to Major",
      "One strand of nineteen",
    ],
    ...["Repaired by", "New cable fitted and set", "25 min", "FBC-7", "Signed off by", "Tried on the yard", "25 mm", "20 mm to 30 mm"],
  );
  expect(read.text).toContain(`repaired by ${cyrillic} (M001)`);
});

test("the paper of a past day shows the board as it stood then, not as it is now", async () => {
  await moveBy(2 * dayMs);
  const { homeDepotId } = app.cast;
  await sent(rider.post("/v1/daily-checks").send(nilCheckOf(app, machineId)));
  const { read: now } = await fetchReport(manager, `/v1/reports/roadworthiness.pdf?depotId=${homeDepotId}`);
  inOrder(now.text.slice(now.text.indexOf("Standings as of")), "Not checked yet", "BB22BBB", "Fit", "AA11AAA");
  const { read: then } = await fetchReport(manager, `/v1/reports/roadworthiness.pdf?depotId=${homeDepotId}&on=2026-07-12`);
  expect(then.text).not.toContain("AA11AAA");
  const { read: monday } = await fetchReport(manager, `/v1/reports/roadworthiness.pdf?depotId=${homeDepotId}&on=2026-07-13`);
  expect(monday.text).toContain("13 Jul 2026, 23:59");
  expect(monday.text).toContain("CC33CCC");
  // The clearance of Monday morning ran out in the evening; the paper of Monday still counts it, but not one that a grounding ended.
  inOrder(
    monday.text.slice(monday.text.indexOf("Standings as of")),
    "CC33CCC",
    "Not cleared by a check that day",
    "AA11AAA",
    "Fit Machine",
    "BB22BBB",
  );
  expect(monday.text).toContain("1 of 3 machines fit");
});

test("a machine with a long history: wear is drawn, earlier readings only where they were outside, days without a check named", async () => {
  let odometerKm = 1000;
  for (let week = 0; week < 6; week += 1) {
    await moveBy(6 * dayMs);
    odometerKm += 300;
    const body = inspectionOf(app, machineId, { odometerKm });
    const worn = (value: number) =>
      body.answers.map((answer) => (answer.itemId === "front-tyre-tread-weekly" ? { ...answer, asFound: value } : answer));
    const slack = worn(5 - week / 2).map((answer) => {
      if (week !== 2) return answer;
      if (answer.itemId === "rear-wheel-fast") return { ...answer, actions: ["tightened"] };
      return answer.itemId === "chain-slack" ? { ...answer, asFound: 31, asLeft: 20, actions: ["adjusted"] } : answer;
    });
    await sent(mechanic.post("/v1/weekly-inspections").send({ ...body, answers: slack }));
    await moveBy(dayMs);
    odometerKm += 40;
    await sent(rider.post("/v1/daily-checks").send(nilCheckOf(app, machineId, { odometerKm })));
  }
  const { read } = await fetchReport(auditor, `/v1/machines/${machineId}/roadworthiness.pdf?from=2026-07-13`);
  for (const part of ["Wear against the limit", "found outside", "Ridden without a check: 21 Jul", "16 Jul to 20 Jul"])
    expect(read.text).toContain(part);
  expect(read.text).toContain("31 mm");
  expect(read.text.split(/Readings of \d/).length - 1).toBe(1);
  expect(read.text).toContain("Signed off");
});

test("the defect report shows photos of every type, and says where one is gone or has not arrived", async () => {
  const bike = await addTestMachine(app, { mark: "DD44 DDD" });
  const send = async (type: string, bytes: Buffer) => {
    await moveBy(60_000);
    return sent(rider.post("/v1/photos").query({ id: randomUUID() }).set("content-type", type).send(bytes));
  };
  const photos = [
    await send("image/webp", await tellingPicture("webp")),
    await send("image/png", await plainPicture("png", 1600, 1200)),
    await send("image/jpeg", await plainPicture("jpeg", 41, 31)),
  ] as { id: string; sha256: string }[];
  const photoIds = [...photos.map(({ id }) => id), randomUUID()];
  const { defect } = (await sent(rider.post("/v1/defects").send(reportOf(app, bike, "horn.weak", { photoIds })))) as {
    defect: { id: string };
  };
  const { read } = await fetchReport(auditor, `/v1/defects/${defect.id}/report.pdf`);
  inOrder(
    read.text,
    ...photos.flatMap(({ sha256 }, place) => [`Photo ${place + 1} of 3, sent by ${thai} (R001)`, `kept: ${sha256.slice(0, 16)}\u2026`]),
  );
  expect(read.text).toContain("Named by its records and not arrived by the moment of this paper: 1.");
  expect(nodesOf(read.trees, "Figure")).toHaveLength(3);
  await photoStoreOf(app.context).takeAway(photos[2]?.sha256 ?? "", async () => true);
  const { read: later } = await fetchReport(auditor, `/v1/defects/${defect.id}/report.pdf`);
  expect(nodesOf(later.trees, "Figure")).toHaveLength(2);
  expect(later.text).toContain("This photo is not kept any more");
});
