// What reports tell in the days and weeks after the first morning. Each test has a firm of its own, since time moves in it.
import { randomUUID } from "node:crypto";
import { afterEach, beforeEach, expect, test } from "vitest";
import { photoStoreOf } from "../../src/photos/index.ts";
import { nodesOf } from "../reports/read-pdf.ts";
import { type As, reportOf, sent } from "../support/acts.ts";
import type { TestApp } from "../support/app.ts";
import { cyrillic, fetchReport, inOrder, openFirstMorning, thai } from "../support/first-morning.ts";
import { plainPicture, tellingPicture } from "../support/pictures.ts";
import { addTestMachine, checkFinding, inspectionOf, nilCheckOf } from "../support/sheets.ts";

let app: TestApp;
let as: As;
let [machineId, defectId] = ["", ""];
beforeEach(async () => {
  ({ app, as, machineId, defectId } = await openFirstMorning());
});
afterEach(() => app.close());

const dayMs = 24 * 3_600_000;

async function repairAndSignOff(): Promise<void> {
  await sent(
    (await as("M001")).post(`/v1/defects/${defectId}/repairs`).send({
      id: randomUUID(),
      performedAt: app.context.clock.now().toISOString(),
      workDone: "New cable fitted and set",
      minutes: 25,
      parts: [{ name: "Front brake cable", quantity: 1, number: "FBC-7" }],
    }),
  );
  app.context.clock.advance(60_000);
  const off = { id: randomUUID(), statement: "Tried on the yard", reading: { value: 25, unit: "mm" } };
  await sent((await as("M002")).post(`/v1/defects/${defectId}/sign-off`).send(off));
}

test("a defect that was seen again, re-graded, repaired and signed off is told step by step, with its readings", async () => {
  app.context.clock.advance(60_000);
  const again = checkFinding(app, machineId, "front-brake-cable.frayed");
  const answers = again.answers.map((answer) => (answer.result === "defect" ? { ...answer, note: "Now two strands" } : answer));
  await sent((await as("R001")).post("/v1/daily-checks").send({ ...again, answers }));
  app.context.clock.advance(60_000);
  await sent(
    (await as("M002"))
      .post(`/v1/defects/${defectId}/regrades`)
      .send({ id: randomUUID(), category: "major", reason: "One strand of nineteen" }),
  );
  app.context.clock.advance(60_000);
  await repairAndSignOff();
  const { read } = await fetchReport(await as("F001"), `/v1/defects/${defectId}/report.pdf`);
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
  await repairAndSignOff();
  const sold = await addTestMachine(app, { mark: "CC33 CCC", inspected: false });
  await sent((await as("F001")).patch(`/v1/machines/${sold}`).send({ withdrawn: { reason: "Sold" } }));
  app.context.clock.advance(2 * dayMs);
  const { homeDepotId } = app.cast;
  await sent((await as("R001")).post("/v1/daily-checks").send(nilCheckOf(app, machineId)));
  const { read: now } = await fetchReport(await as("F001"), `/v1/reports/roadworthiness.pdf?depotId=${homeDepotId}`);
  inOrder(now.text.slice(now.text.indexOf("Standings as of")), "Not checked yet", "BB22BBB", "Fit", "AA11AAA");
  const { read: then } = await fetchReport(await as("F001"), `/v1/reports/roadworthiness.pdf?depotId=${homeDepotId}&on=2026-07-12`);
  expect(then.text).not.toContain("AA11AAA");
  const { read: monday } = await fetchReport(await as("F001"), `/v1/reports/roadworthiness.pdf?depotId=${homeDepotId}&on=2026-07-13`);
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
  await repairAndSignOff();
  app.context.clock.advance(2 * dayMs);
  await sent((await as("R001")).post("/v1/daily-checks").send(nilCheckOf(app, machineId)));
  let odometerKm = 1000;
  for (let week = 0; week < 6; week += 1) {
    app.context.clock.advance(6 * dayMs);
    odometerKm += 300;
    const body = inspectionOf(app, machineId, { odometerKm });
    const worn = (value: number) =>
      body.answers.map((answer) => (answer.itemId === "front-tyre-tread-weekly" ? { ...answer, asFound: value } : answer));
    const slack = worn(5 - week / 2).map((answer) => {
      if (week !== 2) return answer;
      if (answer.itemId === "rear-wheel-fast") return { ...answer, actions: ["tightened"] };
      return answer.itemId === "chain-slack" ? { ...answer, asFound: 31, asLeft: 20, actions: ["adjusted"] } : answer;
    });
    await sent((await as("M001")).post("/v1/weekly-inspections").send({ ...body, answers: slack }));
    app.context.clock.advance(dayMs);
    odometerKm += 40;
    await sent((await as("R001")).post("/v1/daily-checks").send(nilCheckOf(app, machineId, { odometerKm })));
  }
  const { read } = await fetchReport(await as("A001"), `/v1/machines/${machineId}/roadworthiness.pdf?from=2026-07-13`);
  for (const part of ["Wear against the limit", "found outside", "Ridden without a check: 21 Jul", "16 Jul to 20 Jul"])
    expect(read.text).toContain(part);
  expect(read.text).toContain("31 mm");
  expect(read.text.split(/Readings of \d/).length - 1).toBe(1);
  expect(read.text).toContain("Signed off");
});

test("the defect report shows photos of every type, and says where one is gone or has not arrived", async () => {
  const bike = await addTestMachine(app, { mark: "DD44 DDD" });
  const send = async (type: string, bytes: Buffer) => {
    app.context.clock.advance(60_000);
    return sent((await as("R001")).post("/v1/photos").query({ id: randomUUID() }).set("content-type", type).send(bytes));
  };
  const photos = [
    await send("image/webp", await tellingPicture("webp")),
    await send("image/png", await plainPicture("png", 1600, 1200)),
    await send("image/jpeg", await plainPicture("jpeg", 41, 31)),
  ] as { id: string; sha256: string }[];
  const photoIds = [...photos.map(({ id }) => id), randomUUID()];
  const { defect } = (await sent((await as("R001")).post("/v1/defects").send(reportOf(app, bike, "horn.weak", { photoIds })))) as {
    defect: { id: string };
  };
  const { read } = await fetchReport(await as("A001"), `/v1/defects/${defect.id}/report.pdf`);
  inOrder(
    read.text,
    ...photos.flatMap(({ sha256 }, place) => [`Photo ${place + 1} of 3, sent by ${thai} (R001)`, `kept: ${sha256.slice(0, 16)}\u2026`]),
  );
  expect(read.text).toContain("Named by its records and not arrived by the moment of this paper: 1.");
  expect(nodesOf(read.trees, "Figure")).toHaveLength(3);
  await photoStoreOf(app.context).takeAway(photos[2]?.sha256 ?? "", async () => true);
  const { read: later } = await fetchReport(await as("A001"), `/v1/defects/${defect.id}/report.pdf`);
  expect(nodesOf(later.trees, "Figure")).toHaveLength(2);
  expect(later.text).toContain("This photo is not kept any more");
});
