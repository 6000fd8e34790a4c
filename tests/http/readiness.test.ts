// The board: every machine's standing, now and at any past moment.
import { randomUUID } from "node:crypto";
import { expect, test } from "vitest";
import type { Readiness } from "../../shared/contracts/readiness.ts";
import { endOfDay } from "../../shared/rules/calendar.ts";
import { boardOf, expectAnswer, onBoard, reportOf, throughItsCourse } from "../support/acts.ts";
import { reportAt } from "../support/report-at.ts";
import { addTestMachine, checkFinding, nilCheckOf } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";

const { app, as } = testService();

const minute = 60_000;
const day = 24 * 60 * minute;
const tick = (milliseconds = minute) => app.context.clock.advance(milliseconds);
const now = () => app.context.clock.now().toISOString();
const check = async (who: string, body: object) => expectAnswer((await as(who)).post("/v1/daily-checks").send(body), 201);
const amend = async (machineId: string, body: object) =>
  expectAnswer((await as("F001")).patch(`/v1/machines/${machineId}`).send(body), 200);
const expectTotals = ({ totals, machines }: Readiness) => {
  for (const [standing, count] of Object.entries(totals)) {
    expect(count, standing).toBe(machines.filter((machine) => machine.standing === standing).length);
  }
  expect(Object.values(totals).reduce((sum, count) => sum + count, 0)).toBe(machines.length);
};

test("every machine stands on the board once with the first of its standings and all its reasons, and the totals equal the machines", async () => {
  const paper = { kind: "insurance", number: "1", validFrom: "2026-01-01", validTo: "2026-07-12" };
  const [fit, unchecked, grounded, first, expired, withdrawn, all] = [
    ...[await addTestMachine(app), await addTestMachine(app), await addTestMachine(app), await addTestMachine(app, { inspected: false })],
    ...[await addTestMachine(app), await addTestMachine(app), await addTestMachine(app, { inspected: false })],
  ] as [string, string, string, string, string, string, string];
  await check("R001", nilCheckOf(app, fit));
  await check("R001", checkFinding(app, grounded, "horn.silent"));
  for (const id of [expired, all]) await expectAnswer((await as("F001")).post(`/v1/machines/${id}/papers`).send(paper), 201);
  await amend(withdrawn, { withdrawn: { reason: "Sold" } });
  await check("R001", checkFinding(app, all, "horn.silent"));
  await amend(all, { withdrawn: { reason: "Crash" } });
  const board = await boardOf(as);
  expectTotals(board);
  const line = (id: string) => {
    const { standing, reasons } = board.machines.find(({ machineId }) => machineId === id) ?? { standing: "", reasons: [] };
    return [standing, ...reasons.map(({ code }) => code)];
  };
  expect(line(fit)).toEqual(["fit"]);
  expect(line(unchecked)).toEqual(["unchecked", "unchecked"]);
  expect(line(grounded)).toEqual(["grounded", "grounding-defect", "unchecked"]);
  expect(line(first)).toEqual(["inspection-overdue", "first-use-inspection", "unchecked"]);
  expect(line(expired)).toEqual(["papers-expired", "papers-expired", "unchecked"]);
  expect(line(withdrawn)).toEqual(["withdrawn", "withdrawn", "unchecked"]);
  expect(line(all)).toEqual(["withdrawn", "withdrawn", "grounding-defect", "papers-expired", "first-use-inspection", "unchecked"]);
  expect(board.machines.every(({ reasons }) => reasons.every(({ text }) => text.length > 3 && !text.includes("{")))).toBe(true);
  expect(board.machines.map(({ registrationMark }) => registrationMark)).toEqual(
    board.machines.map(({ registrationMark }) => registrationMark).sort(),
  );
});

test("at a past moment the board says what it said then, whatever came since: checks, courses, moves, papers, days, policy", async () => {
  const [one, other] = [await addTestMachine(app), await addTestMachine(app)];
  const said: Readiness[] = [];
  const look = async () => {
    tick();
    said.push(await boardOf(as));
    tick();
  };
  await look();
  await check("R001", nilCheckOf(app, one));
  await look();
  await expectAnswer((await as("R001")).post("/v1/defects").send(reportOf(app, other, "horn.weak")), 201);
  await look();
  await throughItsCourse(app, as, one, "stop-lamp.out");
  await look();
  await amend(one, { depotId: app.cast.farDepotId });
  await look();
  await amend(other, { withdrawn: { reason: "Sold" } });
  await look();
  tick(9 * day);
  await look();
  await expectAnswer((await as("F001")).put("/v1/policy").send({ inspectionEveryDays: 31, minorDefectDays: 31 }), 200);
  await look();
  await addTestMachine(app);
  await amend(other, { withdrawn: null });
  await look();
  for (const then of said) {
    const again = await boardOf(as, { at: then.at });
    expectTotals(again);
    expect(again).toEqual(then);
  }
  await expectAnswer((await as("F001")).put("/v1/policy").send({}), 200);
  expect(new Set(said.map(({ totals }) => JSON.stringify(totals))).size).toBeGreaterThanOrEqual(5);
});

test("before a machine entered the fleet it is not on the board, and nobody is told the board of a moment to come", async () => {
  const before = now();
  tick();
  const machineId = await addTestMachine(app);
  const board = await boardOf(as, { at: before });
  expect(board.machines.map((machine) => machine.machineId)).not.toContain(machineId);
  const refused = await expectAnswer(
    (await as("F001")).get("/v1/readiness").query({ at: new Date(Date.parse(now()) + 1).toISOString() }),
    422,
    "not-valid",
  );
  expect(refused.issues[0].pointer).toBe("/query/at");
});

test("a machine that moved is on the board of the depot where it was then, and people see their own depots only", async () => {
  const machineId = await addTestMachine(app);
  tick();
  const then = now();
  tick();
  await amend(machineId, { depotId: app.cast.farDepotId });
  const { homeDepotId, farDepotId } = app.cast;
  const has = async (query: { depotId: string; at?: string }) =>
    (await boardOf(as, query)).machines.some((machine) => machine.machineId === machineId);
  expect([await has({ depotId: homeDepotId }), await has({ depotId: farDepotId })]).toEqual([false, true]);
  expect([await has({ depotId: homeDepotId, at: then }), await has({ depotId: farDepotId, at: then })]).toEqual([true, false]);
  const far = await expectAnswer((await as("F101")).get("/v1/readiness"), 200);
  expect(new Set(far.machines.map(({ depotId }: { depotId: string }) => depotId))).toEqual(new Set([farDepotId]));
  await expectAnswer((await as("F101")).get("/v1/readiness").query({ depotId: homeDepotId }), 403, "other-depot");
  await expectAnswer((await as("R001")).get("/v1/readiness"), 403, "not-your-role");
  for (const at of [{}, { at: then }]) {
    await expectAnswer((await as("F001")).get("/v1/readiness").query({ depotId: randomUUID(), ...at }), 404, "not-found");
  }
});

test("a depot without machines has a board, and it is empty", async () => {
  const depot = await expectAnswer((await as("F001")).post("/v1/depots").send({ name: "Empty", timeZone: "UTC" }), 201);
  expect((await boardOf(as, { depotId: depot.id })).machines).toEqual([]);
});

test("a weekly inspection lasts seven days, a minor defect its days, and both run out with the depot's day, not before", async () => {
  const machineId = await addTestMachine(app);
  await expectAnswer((await as("R001")).post("/v1/defects").send(reportOf(app, machineId, "horn.weak")), 201);
  tick(7 * day);
  expect((await onBoard(as, machineId)).standing).toBe("unchecked");
  tick(day);
  const line = await onBoard(as, machineId);
  expect([line.standing, ...line.reasons.map(({ code }) => code)]).toEqual([
    ...["grounded", "minor-defect-overdue", "inspection-overdue", "unchecked"],
  ]);
});

test("no reason says that a check was not made when it was made and found something", async () => {
  const machineId = await addTestMachine(app);
  await check("R001", checkFinding(app, machineId, "horn.silent"));
  const { standing, reasons } = await onBoard(as, machineId);
  expect(standing).toBe("grounded");
  expect(reasons.map(({ text }) => text)).toEqual(["Major defect: Horn", "No check clears it today"]);
});

test("since when a machine stands still is one moment on board and summary: the end of a minor defect's last day, the failed test, the first defect that is open", async () => {
  const [overdue, failed, twice] = [await addTestMachine(app), await addTestMachine(app), await addTestMachine(app)];
  const markOf = async (id: string) => (await onBoard(as, id)).registrationMark;
  // Grounded by something else, and put right; what stays is small until its day is over.
  await throughItsCourse(app, as, overdue, "horn.silent");
  const { defects } = await check("R001", checkFinding(app, overdue, "rear-tyre-pressure.cap-missing"));
  tick();
  const first = await check("R001", checkFinding(app, twice, "horn.silent"));
  expect(first.clearance.decision).toBe("do-not-ride");
  const grounded = now();
  tick();
  await check("R002", checkFinding(app, twice, "rear-tyre-pressure.flat"));
  expect((await onBoard(as, twice)).groundedAt).toBe(grounded);
  expect((await onBoard(as, overdue)).groundedAt).toBeNull();
  app.context.clock.advance(8 * day);
  const paper = await expectAnswer(
    (await as("F001"))
      .post(`/v1/machines/${failed}/papers`)
      .send({ kind: "roadworthiness-test", number: "T 1", validFrom: "2026-01-01", validTo: "2027-01-01" }),
    201,
  );
  await expectAnswer((await as("F001")).post(`/v1/papers/${paper.id}/ending`).send({ day: now().slice(0, 10), reason: "failed" }), 201);
  const failedAt = now();
  tick();
  expect((await onBoard(as, overdue)).groundedAt).toBe(endOfDay(defects[0].dueDay, "Europe/London").toISOString());
  expect((await onBoard(as, failed)).groundedAt).toBe(failedAt);
  const { read } = await reportAt(await as("F001"), "/v1/reports/defects.pdf");
  for (const id of [overdue, failed, twice]) expect(read.text).toContain(await markOf(id));
});
