// One judge for figures: what papers and answers count of a month is the same, and it is what the board showed all that month.
import { randomUUID } from "node:crypto";
import { beforeAll, describe, expect, test } from "vitest";
import type { DefectRates } from "../../shared/contracts/insight.ts";
import { localDay } from "../../shared/rules/calendar.ts";
import { drawMonth, monthScope } from "../../src/reports/index.ts";
import { readPdf } from "../reports/read-pdf.ts";
import { boardOf, expectAnswer, repairOf, reportOf } from "../support/acts.ts";
import { openTestContext } from "../support/context.ts";
import { type FiguresRead, figuresOnReport } from "../support/reports-read.ts";
import { addTestMachine, inspectionOf } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";

const hourMs = 3_600_000;
const slotMs = 3 * hourMs;
const july = { from: "2026-07-01", to: "2026-07-31" };
// July begins at 17:00 the day before in Far and at 23:00 in Home. All acts fall on a boundary of three hours that both share, so that a
// look at the middle of each three hours sees everything that was.
const begins = { far: Date.parse("2026-06-30T17:00:00Z"), home: Date.parse("2026-06-30T23:00:00Z") };

const { app, as } = testService(() => openTestContext("2026-06-29T05:00:00.000Z"));
/** by mark */
const machines: Record<string, string> = {};

/** To the `slot`th three hours of a day of July in London. */
const on = (day: number, slot = 3): void =>
  app.context.clock.moveTo(new Date(begins.home + (day - 1) * 24 * hourMs + slot * slotMs).toISOString());
const post = async (who: string, path: string, body: object) => expectAnswer((await as(who)).post(path).send(body), 201);
const patch = async (machineId: string, body: object) =>
  expectAnswer((await as("F001")).patch(`/v1/machines/${machineId}`).send(body), 200);
const inspect = (machineId: string) => post("M001", "/v1/weekly-inspections", inspectionOf(app, machineId));
const found = async (machineId: string, observationId: string): Promise<string> =>
  (await post("M003", "/v1/defects", reportOf(app, machineId, observationId))).defect.id;
const noFault = (who: string, defectId: string) =>
  post(who, `/v1/defects/${defectId}/not-found`, { id: randomUUID(), reason: "Looked at in the light: whole" });
const putRight = async (defectId: string, reading?: object) => {
  await post("M001", `/v1/defects/${defectId}/repairs`, repairOf(app));
  await post("M002", `/v1/defects/${defectId}/sign-off`, { id: randomUUID(), ...(reading ? { reading } : {}) });
};
const policy = async (changes: object) => expectAnswer((await as("F001")).put("/v1/policy").send(changes), 200);
const rates = async (query: object = {}): Promise<DefectRates> =>
  expectAnswer((await as("F001")).get("/v1/insight/rates").query({ ...july, ...query }), 200);

beforeAll(async () => {
  const add = async (mark: string, more: object = {}): Promise<string> => {
    const machineId = await addTestMachine(app, { mark, ...more });
    machines[mark] = machineId;
    return machineId;
  };
  const [minor, broken, unpapered, lent, mover] = [await add("H1"), await add("H2"), await add("H3"), await add("H4"), await add("H5")];
  const far = await add("F1", { depotId: app.cast.farDepotId });
  const insured = (number: string, validFrom: string, validTo: string) =>
    post("F001", `/v1/machines/${unpapered}/papers`, { kind: "insurance", number, validFrom, validTo });
  await insured("1", "2026-01-01", "2026-07-12");

  on(2);
  // Put off to no other day, it is overdue from the day of the next inspection on, and grounds.
  const horn = await found(minor, "horn.weak");
  on(3, 5);
  const cable = await found(broken, "front-brake-cable.frayed");
  const stand = await found(broken, "stand.stiff");
  on(4);
  for (const machineId of [broken, lent, mover, far, unpapered]) await inspect(machineId);
  on(5, 6);
  await patch(lent, { withdrawn: { reason: "Lent to the workshop school" } });
  on(6);
  await putRight(cable, { value: 25, unit: "mm" });
  // On the board from the 8th on, in service from the 12th on.
  on(8);
  await patch(await add("H6"), { inServiceFrom: "2026-07-12" });
  on(9);
  await patch(lent, { withdrawn: null });
  on(10, 1);
  await inspect(lent);
  const joined = await add("H7", { inspected: false });
  await inspect(mover);
  const dent = await found(mover, "front-wheel.dent");
  on(11, 6);
  const crack = await found(far, "front-wheel.crack");
  on(13, 4);
  await inspect(joined);
  on(14);
  await patch(mover, { depotId: app.cast.farDepotId });
  on(15, 2);
  await insured("2", "2026-07-15", "2027-07-14");
  on(16);
  await noFault("M001", dent);
  // Two have to look where it grounds: the first closes nothing.
  await noFault("M001", crack);
  on(16, 5);
  await noFault("M002", crack);
  on(18);
  await policy({ inspectionEveryDays: 10 });
  // A day at another workshop is lost, whoever works on it.
  on(19, 7);
  const out = { id: randomUUID(), since: app.context.clock.now().toISOString(), workshop: "Harbour Street", reason: "Ignition" };
  await post("M001", `/v1/machines/${joined}/outside-work`, { ...out, expectedDay: "2026-07-21" });
  on(21, 3);
  await post("M001", `/v1/outside-work/${out.id}/return`, { id: randomUUID(), returnedAt: app.context.clock.now().toISOString() });
  on(22, 2);
  await putRight(horn);
  on(25);
  await policy({ inspectionEveryDays: 7 });
  for (const machineId of [minor, unpapered]) await inspect(machineId);
  on(29);
  await found(lent, "lamps.headlamp-out");
  await patch(broken, { disposed: { how: "sold" } });
  machines["stand"] = stand;
  on(40);
});

/** What the board shows at the middle of each three hours of the depot's July, added up. */
async function sampled(depotId: string, begin: number) {
  const days = { machineDays: 0, grounded: 0, papersExpired: 0, inspectionOverdue: 0, withdrawn: 0 };
  const inService = new Map<string, string>();
  for (const machine of (await expectAnswer((await as("F001")).get("/v1/machines").query({ limit: 200, disposed: "too" }), 200)).items)
    inService.set(machine.id, machine.inServiceFrom);
  const timeZone = depotId === app.cast.homeDepotId ? "Europe/London" : "Asia/Ho_Chi_Minh";
  for (let at = begin + slotMs / 2; at < begin + 31 * 24 * hourMs; at += slotMs) {
    const board = await boardOf(as, { depotId, at: new Date(at).toISOString() });
    for (const { machineId, standing } of board.machines) {
      if (localDay(at, timeZone) < (inService.get(machineId) ?? "")) continue;
      if (standing === "withdrawn") days.withdrawn += 1 / 8;
      else days.machineDays += 1 / 8;
      if (standing === "grounded") days.grounded += 1 / 8;
      if (standing === "papers-expired") days.papersExpired += 1 / 8;
      if (standing === "inspection-overdue") days.inspectionOverdue += 1 / 8;
    }
  }
  return days;
}

describe("machine-days and days lost", () => {
  test("are what the board showed, sampled every three hours of the month at each depot: whoever came, went, moved or was withdrawn", async () => {
    const { homeDepotId, farDepotId } = app.cast;
    const together = { machineDays: 0, grounded: 0, papersExpired: 0, inspectionOverdue: 0, withdrawn: 0 };
    for (const [depotId, begin] of [
      [homeDepotId, begins.home],
      [farDepotId, begins.far],
    ] as const) {
      const board = await sampled(depotId, begin);
      const { machineDays, lostDays, withdrawnDays, groundedDays } = await rates({ depotId });
      const { all, ...lost } = lostDays;
      expect({ machineDays, ...lost, withdrawn: withdrawnDays }).toEqual(board);
      expect([all, groundedDays]).toEqual([board.grounded + board.papersExpired + board.inspectionOverdue, board.grounded]);
      for (const key of Object.keys(together) as (keyof typeof together)[]) together[key] += board[key];
    }
    // Each of them came about, and a paper of all depots counts each on its own clock.
    expect(Math.min(...Object.values(together))).toBeGreaterThan(1);
    const all = await rates();
    expect({ machineDays: all.machineDays, withdrawn: all.withdrawnDays, ...all.lostDays }).toEqual({
      ...together,
      all: together.grounded + together.papersExpired + together.inspectionOverdue,
    });
    expect(all.byDepot.map(({ machineDays }) => machineDays).reduce((one, other) => one + other)).toBeCloseTo(all.machineDays, 9);
    expect(all.byDepot.map(({ lostDays }) => lostDays).reduce((one, other) => one + other)).toBeCloseTo(all.lostDays.all, 9);
  });
});

describe("defects", () => {
  test("count once, whatever became of them: what no fault was found in stays counted and is told beside it", async () => {
    const all = await rates();
    expect(all).toMatchObject({ all: { defects: 6 }, noFault: 3, done: { repaired: 2, signedOff: 2, noFault: 3 } });
    const { items } = await expectAnswer((await as("F001")).get("/v1/defects").query({ ...july, limit: 200 }), 200);
    expect(items).toHaveLength(6);
    // Closed by an inspection that found the part in order, not by somebody who looked into the report.
    expect(items.find(({ id }: { id: string }) => id === machines["stand"])).toMatchObject({ status: "not-found" });
    expect(all.timeToClear.all).toMatchObject({ found: 6, cleared: 5, open: 1 });
  });

  test("belong to the depot at which they were found, also after the machine has moved with one open", async () => {
    const home = await rates({ depotId: app.cast.homeDepotId });
    const far = await rates({ depotId: app.cast.farDepotId });
    expect([home.all.defects, far.all.defects]).toEqual([5, 1]);
    // Its closing was made at the other.
    expect([home.done.noFault, far.done.noFault]).toEqual([1, 2]);
  });

  test("of the risk of a machine are the same ones, but for those of a machine that was sold: nobody has to attend to it", async () => {
    const { machines: ranked } = await expectAnswer((await as("F001")).get("/v1/insight/risk").query({ to: july.to }), 200);
    const counted = ranked.flatMap(({ years }: { years: { dangerous: number; major: number; minor: number }[] }) =>
      years.map(({ dangerous, major, minor }) => dangerous + major + minor),
    );
    expect(counted.reduce((one: number, other: number) => one + other, 0)).toBe(6 - 2);
  });
});

describe("the papers of the month", () => {
  const paper = async (path: string, query: object): Promise<FiguresRead> => {
    const answer = await (await as("A001")).get(path).query(query).buffer(true);
    expect(answer.status, answer.text).toBe(200);
    return figuresOnReport(answer.body as Buffer);
  };
  const monthReport = async (depotIds: readonly string[] | null): Promise<FiguresRead> => {
    const chunks: Buffer[] = [];
    for await (const chunk of drawMonth(app.context, await monthScope(app.context, { month: "2026-07", depotIds })))
      chunks.push(chunk as Buffer);
    return figuresOnReport(Buffer.concat(chunks));
  };

  test.each(["home", "far", "all"] as const)("tell the same figures as the answers: %s", async (which) => {
    const depotId = { home: app.cast.homeDepotId, far: app.cast.farDepotId, all: undefined }[which];
    const of = depotId === undefined ? {} : { depotId };
    const told = await rates(of);
    const oneDecimal = (value: number): string => String(Math.round(value * 10) / 10);
    const expected = {
      found: String(told.all.defects),
      machineDays: oneDecimal(told.machineDays),
      open: String(told.timeToClear.all.open),
      lost: oneDecimal(told.lostDays.all),
      noFault: String(told.noFault),
      rate: told.all.per1000 === null ? "too little to say" : oneDecimal(told.all.per1000),
      repaired: String(told.done.repaired),
      signedOff: String(told.done.signedOff),
      closedNoFault: String(told.done.noFault),
    };
    expect(await paper("/v1/reports/defects.pdf", { ...july, ...of })).toEqual(expected);
    expect(await paper("/v1/reports/review.pdf", { month: "2026-07", ...of })).toEqual(expected);
    expect(await monthReport(depotId === undefined ? null : [depotId])).toEqual(expected);
  });

  test("of each machine add up to those of the firm", async () => {
    const sums = { found: 0, machineDays: 0, lost: 0, repaired: 0, signedOff: 0, closedNoFault: 0 };
    for (const [mark, machineId] of Object.entries(machines)) {
      if (mark === "stand") continue;
      const read = await paper(`/v1/machines/${machineId}/roadworthiness.pdf`, july);
      for (const key of Object.keys(sums) as (keyof typeof sums)[]) sums[key] += Number(read[key]);
    }
    const all = await rates();
    expect(sums).toMatchObject({ found: all.all.defects, ...{ repaired: 2, signedOff: 2, closedNoFault: 3 } });
    // Each is printed with one decimal.
    expect(Math.abs(sums.machineDays - all.machineDays)).toBeLessThan(0.05 * Object.keys(machines).length);
    expect(Math.abs(sums.lost - all.lostDays.all)).toBeLessThan(0.05 * Object.keys(machines).length);
  });

  test("the fleet's paper counts the machines of a moment as the board does", async () => {
    const at = "2026-07-13T10:00:00.000Z";
    const { totals } = await boardOf(as, { at });
    const answer = await (await as("A001")).get("/v1/reports/roadworthiness.pdf").query({ at }).buffer(true);
    const { text } = await readPdf(answer.body as Buffer);
    expect(text).toContain(`Fit: ${totals.fit}`);
  });
});

test("a day on which the board had a machine grounded by an overdue minor defect is one on which it was not in use", async () => {
  const { items } = await expectAnswer(
    (await as("F001")).get("/v1/completeness").query({ month: "2026-07", depotId: app.cast.homeDepotId }),
    200,
  );
  const { verdicts } = items.find(({ registrationMark }: { registrationMark: string }) => registrationMark === "H1");
  expect(verdicts.slice(13, 20)).toEqual(Array.from({ length: 7 }, () => "not-in-use"));
});

test("a depot of two hours has no rate, and its papers say so", async () => {
  const depotId = (await post("F001", "/v1/depots", { name: "New", timeZone: "Europe/London", ruleSet: "gb", workshopHoursPerDay: 8 })).id;
  const machineId = await addTestMachine(app, { depotId });
  app.context.clock.advance(2 * hourMs);
  await found(machineId, "horn.weak");
  const today = localDay(app.context.clock.now(), "Europe/London");
  const told: DefectRates = await expectAnswer((await as("F001")).get("/v1/insight/rates").query({ depotId, from: today, to: today }), 200);
  expect(told).toMatchObject({ leastMachineDays: 28, all: { defects: 1, per1000: null, low: null, high: null } });
  const answer = await (await as("A001"))
    .get("/v1/reports/review.pdf")
    .query({ depotId, month: today.slice(0, 7) })
    .buffer(true);
  const { text } = await readPdf(answer.body as Buffer);
  expect(text).toContain("too little to say");
  expect(text).not.toMatch(/\d{3},\d{3}/);
});
