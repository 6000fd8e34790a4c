// The report of a month, drawn from real records and read back: what stands in it, how it is found, and that its size costs no memory.
import { randomUUID } from "node:crypto";
import { once } from "node:events";
import { setTimeout as wait } from "node:timers/promises";
import { beforeAll, describe, expect, test } from "vitest";
import type { Block, ReportHead, Row } from "../../src/pdf/document.ts";
import { drawLongPdf } from "../../src/pdf/draw.ts";
import type { Database } from "../../src/platform/index.ts";
import { drawMonth, monthScope } from "../../src/reports/index.ts";
import { groundOf, machineDaysOf } from "../../src/reports/month/collect-days.ts";
import { expectAnswer, throughItsCourse } from "../support/acts.ts";
import { openTestContext, type TestContext } from "../support/context.ts";
import { addTestMachine, checkFinding, inspectionOf, nilCheckOf } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";
import { type ReportRead, readPdf } from "./read-pdf.ts";

const thai = "\u0e2a\u0e38\u0e1e\u0e31\u0e15\u0e23\u0e32 \u0e1b\u0e31\u0e0d\u0e0d\u0e32\u0e27\u0e31\u0e12\u0e19\u0e4c";
const cyrillic = "\u041e\u043b\u0435\u043d\u0430 \u0406\u0432\u0430\u0449\u0435\u043d\u043a\u043e";
const longName = "Maximiliana-Bartholomea of the Upper and the Lower Quay ".repeat(1).trim();
const caution = "does not replace the maker's handbook";

let machineId: string;
/** cursors that are open */
let open = 0;

function countingStreams(context: TestContext): TestContext {
  const stream: Database["stream"] = async function* (...asked) {
    open += 1;
    try {
      yield* context.db.stream(...asked);
    } finally {
      open -= 1;
    }
  };
  return { ...context, db: { ...context.db, stream } };
}

const draw = async (month: string, depotIds: readonly string[] | null = null): Promise<ReportRead> => {
  const chunks: Buffer[] = [];
  for await (const chunk of drawMonth(app.context, await monthScope(app.context, { month, depotIds }))) chunks.push(chunk as Buffer);
  const read = await readPdf(Buffer.concat(chunks));
  read.pages.forEach((text, index) => {
    for (const part of [`Page ${index + 1} of ${read.pages.length}`, caution, "Test Couriers"]) expect(text).toContain(part);
  });
  expect(open).toBe(0);
  return read;
};
const { app, as } = testService(async () => countingStreams(await openTestContext("2026-06-30T08:00:00.000Z")));
const at = (instant: string) => app.context.clock.moveTo(instant);
const check = async (odometerKm: number, who = "R001") =>
  expectAnswer((await as(who)).post("/v1/daily-checks").send(nilCheckOf(app, machineId, { odometerKm })), 201);

beforeAll(async () => {
  for (const [staffNumber, name] of [
    ["R001", thai],
    ["M001", cyrillic],
    ["R002", longName],
  ] as const)
    await app.context.db.prisma.staff.update({ where: { staffNumber }, data: { name } });
  machineId = await addTestMachine(app, { mark: "AA11 AAA" });
  await addTestMachine(app, { mark: "FAR1", depotId: app.cast.farDepotId });
  // A week of 60 km a day, checked each morning; then Thursday and Friday nobody checks, and more was ridden than one day holds.
  for (let day = 1; day <= 8; day += 1) {
    at(`2026-07-0${day}T05:00:00.000Z`);
    await check(1000 + (day - 1) * 60, day % 2 === 0 ? "R002" : "R001");
  }
  at("2026-07-11T05:00:00.000Z");
  await check(1420 + 200);
  at("2026-07-12T05:00:00.000Z");
  await expectAnswer(
    (await as("R001")).post("/v1/daily-checks").send(checkFinding(app, machineId, "horn.weak", { odometerKm: 1680 })),
    201,
  );
  at("2026-07-13T05:00:00.000Z");
  await throughItsCourse(app, as, machineId, "front-brake-cable.frayed", { value: 25, unit: "mm" });
  await expectAnswer((await as("M001")).post("/v1/weekly-inspections").send(inspectionOf(app, machineId, { odometerKm: 1690 })), 201);
  await expectAnswer((await as("F001")).put("/v1/policy").send({ clearanceHours: 12 }), 200);
  await expectAnswer((await as("F001")).patch(`/v1/staff/${app.cast.staffId("R101")}`).send({ left: true }), 200);
  await expectAnswer((await as("A001")).get("/v1/records").query({ month: "2026-06" }), 200);
  at("2026-08-03T08:00:00.000Z");
});

describe("the paper of a month", () => {
  test("has every part, each with its bookmark, on broad pages", async () => {
    const read = await draw("2026-07");
    expect(read.outline).toEqual([
      ...["Records of a month", "The month in figures", "Was each machine checked, day by day", "What was recorded in the month"],
      ...["How the days are judged", "Checks day by day: Far", "Checks day by day: Home", "Daily checks: Far", "Daily checks: Home"],
      ...["Defects and their course: Far", "Defects and their course: Home", "Weekly inspections: Far", "Weekly inspections: Home"],
      ...["Sign-offs: Far", "Sign-offs: Home", "Changes of the firm's policy", "Who took reports out of the records"],
      ...["Changes of people", "Changes of machines, papers, models and depots", "Other entries"],
    ]);
    expect(read.info["Title"]).toBe("Records of a month \u00b7 Jul 2026: All depots");
    for (const part of [
      thai,
      cyrillic,
      longName,
      "Cable frayed",
      "clearanceHours: from 14 to 12",
      "records of a month, 2026-06-01 to 2026-06-30",
    ])
      expect(read.text).toContain(part);
    expect(read.text).toContain("A person left, and their sessions ended");
  });
  test("holds every check of the month, once", async () => {
    const { text } = await draw("2026-07", [app.cast.homeDepotId]);
    const part = text.slice(text.indexOf("Daily checks: Home"), text.indexOf("Defects and their course"));
    for (const km of ["1,000", "1,060", "1,120", "1,180", "1,240", "1,300", "1,360", "1,420", "1,620", "1,680"])
      expect(part.split(`${km} km`)).toHaveLength(2);
    expect(text).not.toContain("FAR1");
  });
  test("says on the cover how often a machine was ridden without a check, and shows on which days it may have been", async () => {
    const { text } = await draw("2026-07", [app.cast.homeDepotId]);
    expect(text).toContain("2 machine-days were ridden without a check");
    const scope = await monthScope(app.context, { month: "2026-07", depotIds: [app.cast.homeDepotId] });
    const [depot] = scope.depots;
    if (!depot) throw new Error("the depot is there");
    const [machine] = await machineDaysOf(app.context, scope, depot, await groundOf(app.context, scope));
    const told = Object.fromEntries((machine?.verdicts ?? []).map((verdict, index) => [index + 1, verdict]));
    expect(told).toMatchObject({ 8: "nil", 9: "ridden", 10: "ridden", 11: "nil", 12: "defect" });
  });
  test("of a month without an entry is a short one that says so", async () => {
    const { pages, text } = await draw("2025-02");
    expect(pages.length).toBeLessThan(8);
    for (const part of ["Nothing was recorded in this month", "No machine was in the fleet", "No defect was found", "Nobody took a report"])
      expect(text).toContain(part);
  });
  test("of the month that still runs says so, and one that is still to come is refused", async () => {
    expect((await draw("2026-08")).text).toContain("The month is not over");
    await expect(monthScope(app.context, { month: "2026-09", depotIds: null })).rejects.toMatchObject({ code: "period-not-valid" });
  });
  test("has the same bytes each time it is printed at the same moment", async () => {
    const bytes = async () => {
      const chunks: Buffer[] = [];
      for await (const chunk of drawMonth(app.context, await monthScope(app.context, { month: "2026-07", depotIds: null })))
        chunks.push(chunk as Buffer);
      return Buffer.concat(chunks);
    };
    expect((await bytes()).equals(await bytes())).toBe(true);
  });
});

describe("a machine that moves to another depot", () => {
  test("has each of its days at one of the two", async () => {
    const moved = await addTestMachine(app, { mark: `M${randomUUID().slice(0, 6)}`, inspected: false });
    at("2026-08-20T08:00:00.000Z");
    await expectAnswer((await as("F001")).patch(`/v1/machines/${moved}`).send({ depotId: app.cast.farDepotId }), 200);
    at("2026-09-02T08:00:00.000Z");
    const scope = await monthScope(app.context, { month: "2026-08", depotIds: null });
    const ground = await groundOf(app.context, scope);
    const counted = new Map<string, number>();
    for (const depot of scope.depots)
      for (const machine of await machineDaysOf(app.context, scope, depot, ground)) {
        const days = machine.verdicts.filter((verdict) => verdict !== "outside").length;
        counted.set(machine.registrationMark, (counted.get(machine.registrationMark) ?? 0) + days);
      }
    // In the fleet from the 3rd on; the others all month.
    expect([...counted.values()].sort((a, b) => a - b)).toEqual([29, 31, 31]);
  });
});

test("a check that cleared nothing for want of an inspection found nothing, in the list, in the day and in short", async () => {
  at("2026-10-05T06:00:00.000Z");
  const uninspected = await addTestMachine(app, { mark: "NEW1", inspected: false });
  at("2026-10-05T07:00:00.000Z");
  const said = await expectAnswer((await as("R001")).post("/v1/daily-checks").send(nilCheckOf(app, uninspected)), 201);
  expect(said.clearance.decision).toBe("do-not-ride");
  const { text } = await draw("2026-10", [app.cast.homeDepotId]);
  const row = /NEW1 5 Oct 2026, 08:00 .*?not cleared/.exec(text)?.[0];
  expect(row).toContain("nothing found");
  expect(row).not.toContain("nothing new");
  const { text: records } = await (await as("F001")).get("/v1/records").query({ month: "2026-10", kind: "daily-check", format: "csv" });
  expect(records).toContain("nothing found, not cleared");
});

describe("a paper of any length", () => {
  const head: ReportHead = {
    ...{ title: "T", subject: "S", firmName: "F", depotName: "D", period: "P", printedAt: "N", createdAt: new Date(0) },
    ...{ language: "en-GB", timeZone: "UTC", pageOf: "Page {page} of {pages}", caution: "C", notDrawn: "{signs}" },
  };
  const long = (rows: AsyncIterable<Row>): AsyncIterable<Block> =>
    (async function* () {
      yield { kind: "long-table", alt: "A", columns: [{ head: "H", share: 1 }], rows, empty: "none" } as const;
    })();

  test("waits for its reader, and reads no further rows when the reader goes away", async () => {
    const words = Array.from({ length: 300 }, () => randomUUID().slice(0, 8));
    let read = 0;
    let ended = false;
    async function* endless(): AsyncGenerator<Row> {
      try {
        // No row twice, so that nothing of it packs well.
        for (; read < 2_000_000; read += 1)
          yield [Array.from({ length: 12 }, () => words[Math.floor(Math.random() * words.length)]).join(" ")];
      } finally {
        ended = true;
      }
    }
    const stream = drawLongPdf(head, long(endless()));
    await once(stream, "readable");
    let before = -1;
    for (; before !== read; await wait(400)) before = read;
    expect(read).toBeGreaterThan(1000);
    expect(read).toBeLessThan(200_000);
    expect(stream.readableLength).toBeLessThan(3 << 20);
    stream.destroy();
    for (let tries = 0; !ended && tries < 100; tries += 1) await wait(20);
    expect(ended).toBe(true);
  });
  test("ends with the error of whoever hands it rows", async () => {
    async function* failing(): AsyncGenerator<Row> {
      yield ["one"];
      throw new Error("the rows ended badly");
    }
    const stream = drawLongPdf(head, long(failing()));
    await expect(
      (async () => {
        for await (const _ of stream);
      })(),
    ).rejects.toThrow("the rows ended badly");
  });
});
