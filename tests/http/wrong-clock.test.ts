// A host whose clock is wrong: its records stand in the database's time, an alarm is raised, and what it wrote before does not hold anybody up.
import { randomUUID } from "node:crypto";
import { describe, expect, test } from "vitest";
import { takeCheckpoint } from "../../src/ledger/index.ts";
import { BoundClock, keepTime, mostDriftMs } from "../../src/platform/index.ts";
import { expectAnswer, onBoard, peopleAtHand, repairOf, reportOf } from "../support/acts.ts";
import { openTestContext, type TestContext } from "../support/context.ts";
import { expectAgreement } from "../support/proofs.ts";
import { addTestMachine, checkFinding, nilCheckOf } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";

const day = 86_400_000;

/** A host whose clock can be set wrong, on a database that keeps the time of this machine. */
async function hostOff(): Promise<{ context: TestContext; clock: BoundClock; set: (offMs: number) => void }> {
  let offMs = 0;
  const clock = new BoundClock(() => Date.now() + offMs);
  const context = await openTestContext(new Date().toISOString());
  return { context: { ...context, clock: clock as unknown as TestContext["clock"] }, clock, set: (ms) => (offMs = ms) };
}

describe("a host whose clock is a day ahead", () => {
  let host: Awaited<ReturnType<typeof hostOff>>;
  const { app, as } = testService(async () => {
    host = await hostOff();
    return host.context;
  });

  test("writes what it takes in the database's time, and the next check by a host that is right clears", async () => {
    const machineId = await addTestMachine(app);
    host.set(day);
    const before = Date.now();
    const body = { ...nilCheckOf(app, machineId), performedAt: new Date().toISOString() };
    const { check, clearance } = await expectAnswer((await as("R001")).post("/v1/daily-checks").send(body), 201);
    expect(clearance.decision).toBe("ride");
    expect(check.flags).not.toContain("arrived-late");
    expect(Math.abs(Date.parse(check.recordedAt) - before)).toBeLessThan(day / 2);
    host.set(0);
    const next = await expectAnswer((await as("R002")).post("/v1/daily-checks").send(nilCheckOf(app, machineId)), 201);
    expect(next.clearance.decision).toBe("ride");
  });

  test("says so where it is watched, and goes on taking calls", async () => {
    host.set(day);
    const told: unknown[] = [];
    const log = { ...host.context.log, error: (about: unknown) => told.push(about), info: () => undefined, warn: () => undefined };
    const stop = await keepTime({ db: host.context.db, clock: host.clock, log: log as never });
    await stop();
    expect(told).toEqual([expect.objectContaining({ driftMs: expect.any(Number), mostDriftMs })]);
    const ready = await app.anyone.get("/readyz");
    expect([ready.status, ready.body.status, ready.body.clock]).toEqual([200, "ready", expect.stringMatching(/864\d\d s/)]);
    const metrics = (await app.anyone.get("/metrics")).text;
    expect(Number(/^ferrule_clock_drift_seconds (\S+)$/m.exec(metrics)?.[1])).toBeGreaterThan(86_000);
    host.set(0);
    await (await keepTime({ db: host.context.db, clock: host.clock, log: log as never }))();
    expect((await app.anyone.get("/readyz")).body).toEqual({ status: "ready" });
  });
});

test("a clock that is off by less than two hosts usually differ stays the host's own, and a slow answer blames nobody", () => {
  let steadyMs = 0;
  let offMs = 0;
  const rightMs = () => 1_000_000 + steadyMs;
  const clock = new BoundClock(
    () => rightMs() + offMs,
    () => steadyMs,
  );
  const hear = () => clock.asking()(rightMs());
  const nowIs = (ms: number) => expect(clock.now().getTime()).toBe(ms);
  expect([clock.driftMs, clock.isOff]).toEqual([null, false]);
  offMs = mostDriftMs;
  hear();
  nowIs(rightMs() + mostDriftMs);
  // Set wrong after it was compared: seen at once, and seen at once when it is right again.
  offMs = day;
  steadyMs += 1000;
  nowIs(rightMs());
  offMs = -day;
  nowIs(rightMs());
  offMs = 20;
  nowIs(rightMs() + 20);
  // Asked half a minute before the database answered, which said the time at some moment in between.
  const heard = clock.asking();
  steadyMs += 30_000;
  heard(rightMs() - 10_000);
  expect([clock.isOff, clock.driftMs]).toEqual([false, 0]);
});

describe("what a clock that was ahead has written", () => {
  const { app, as } = testService();
  const tick = (minutes = 1) => app.context.clock.advance(minutes * 60_000);

  /** The same app, its clock a day ahead while `act` runs: as a host was before its clock was bound. */
  async function aDayAhead<T>(act: () => Promise<T>): Promise<T> {
    const { clock } = app.context;
    const now = clock.now.bind(clock);
    clock.now = () => new Date(now().getTime() + day);
    try {
      return await act();
    } finally {
      clock.now = now;
    }
  }
  const as2 = () => peopleAtHand(app);

  test("makes no check 'too old', and nothing goes back in time", async () => {
    const machineId = await addTestMachine(app);
    const early = nilCheckOf(app, machineId);
    await aDayAhead(async () => expectAnswer((await as2()("M001")).post("/v1/defects").send(reportOf(app, machineId, "horn.weak")), 201));
    tick();
    const { check, clearance } = await expectAnswer((await as("R001")).post("/v1/daily-checks").send(nilCheckOf(app, machineId)), 201);
    expect([clearance.decision, check.flags.includes("arrived-late")]).toEqual(["ride-with-defects", false]);
    expect((await onBoard(as, machineId)).standing).toBe("fit");
    const { record } = await expectAnswer((await as("A001")).get(`/v1/records/${check.id}`), 200);
    expect(record.data.arrivedAt).toBe(app.context.clock.now().toISOString());
    expect(Date.parse(early.performedAt)).toBeLessThan(Date.parse(record.recordedAt));
  });

  test("a grounding of its stands until it is signed off; then the next check clears", async () => {
    const machineId = await addTestMachine(app);
    const found = checkFinding(app, machineId, "horn.silent");
    const { defects } = await aDayAhead(async () => expectAnswer((await as2()("R001")).post("/v1/daily-checks").send(found), 201));
    expect((await onBoard(as, machineId)).standing).toBe("grounded");
    tick();
    await expectAnswer((await as("M001")).post(`/v1/defects/${defects[0].id}/repairs`).send(repairOf(app)), 201);
    tick();
    await expectAnswer((await as("M002")).post(`/v1/defects/${defects[0].id}/sign-off`).send({ id: randomUUID() }), 201);
    tick();
    const { clearance } = await expectAnswer((await as("R001")).post("/v1/daily-checks").send(nilCheckOf(app, machineId)), 201);
    expect(clearance.decision).toBe("ride");
  });

  test("a checkpoint of its does not stand in for those until then", async () => {
    const ahead = await aDayAhead(() => takeCheckpoint(app.context));
    const next = await takeCheckpoint(app.context, { unlessWithinMs: 3_600_000 });
    expect(next?.number).toBe((ahead?.number ?? 0) + 1);
  });

  test("and every state can be rebuilt from its records", () => expectAgreement(app.context));
});
