// Until when a check lets somebody ride: the end of the depot's day or 14 hours, over the change to summer time and back.
import { expect, test } from "vitest";
import { expectAnswer, onBoard } from "../support/acts.ts";
import { openTestContext } from "../support/context.ts";
import { addTestMachine, nilCheckOf } from "../support/sheets.ts";
import { serviceForEach } from "../support/test-service.ts";

const { app, as } = serviceForEach(() => openTestContext("2026-03-28T05:00:00.000Z"));
// The clock goes on and never back, so what is told of it stands in one test, and each firm has its own.

const nil = async (machineId: string, who: string) =>
  expectAnswer((await as(who)).post("/v1/daily-checks").send(nilCheckOf(app, machineId)), 201);

test("a nil-defect check lets ride until the end of the depot's day or 14 hours, in summer time or not", async () => {
  for (const [depot, at, until] of [
    // London puts its clocks forward at 01:00 UTC on 2026-03-29 and back at 01:00 UTC on 2026-10-25 (IANA time zone database).
    ["home", "2026-03-28T06:00:00.000Z", "2026-03-28T20:00:00.000Z"],
    ["home", "2026-03-28T12:00:00.000Z", "2026-03-29T00:00:00.000Z"],
    ["home", "2026-03-29T00:30:00.000Z", "2026-03-29T14:30:00.000Z"],
    ["home", "2026-03-29T12:00:00.000Z", "2026-03-29T23:00:00.000Z"],
    // Ho Chi Minh City is seven hours ahead all year (IANA time zone database).
    ["far", "2026-03-29T22:30:00.000Z", "2026-03-30T12:30:00.000Z"],
    ["far", "2026-03-30T09:00:00.000Z", "2026-03-30T17:00:00.000Z"],
    ["home", "2026-10-24T23:30:00.000Z", "2026-10-25T13:30:00.000Z"],
    ["home", "2026-10-25T12:00:00.000Z", "2026-10-26T00:00:00.000Z"],
  ] as const) {
    app.context.clock.moveTo(at);
    const machineId = await addTestMachine(app, { depotId: depot === "home" ? app.cast.homeDepotId : app.cast.farDepotId });
    const { clearance } = await nil(machineId, depot === "home" ? "R001" : "R101");
    expect([depot, at, clearance]).toMatchObject([depot, at, { decision: "ride", validUntil: until, reasons: [] }]);
    expect(clearance.caution).toMatch(/handbook/);
    expect((await onBoard(as, machineId)).standing).toBe("fit");
  }
});

test("a clearance is over at that moment and not before: after 14 hours, or with the day", async () => {
  for (const at of ["2026-10-26T06:00:00.000Z", "2026-10-27T15:00:00.000Z"]) {
    app.context.clock.moveTo(at);
    const machineId = await addTestMachine(app);
    const { validUntil } = (await nil(machineId, "R001")).clearance;
    app.context.clock.moveTo(new Date(Date.parse(validUntil) - 1));
    expect((await onBoard(as, machineId)).standing).toBe("fit");
    app.context.clock.moveTo(validUntil);
    expect((await onBoard(as, machineId)).standing).toBe("unchecked");
  }
});

test("over midnight a clearance runs on only where depot or firm says so, never past its hours, and not where something is due that night", async () => {
  const manager = async () => as("F001");
  const depot = `/v1/depots/${app.cast.homeDepotId}`;
  const overMidnight = async (clearanceOverMidnight: boolean | null) =>
    expectAnswer((await manager()).patch(depot).send({ clearanceOverMidnight }), 200);
  const lateCheck = async (day: string, prepare?: (machineId: string) => Promise<unknown>) => {
    app.context.clock.moveTo(`${day}T22:00:00.000Z`);
    const machineId = await addTestMachine(app);
    await prepare?.(machineId);
    app.context.clock.moveTo(`${day}T22:30:00.000Z`);
    return { machineId, until: (await nil(machineId, "R001")).clearance.validUntil };
  };
  expect((await lateCheck("2026-11-02")).until).toBe("2026-11-03T00:00:00.000Z");

  expect((await overMidnight(true)).clearanceOverMidnight).toBe(true);
  const { machineId, until } = await lateCheck("2026-11-03");
  expect(until).toBe("2026-11-04T12:30:00.000Z");
  app.context.clock.moveTo("2026-11-04T01:00:00.000Z");
  expect((await onBoard(as, machineId)).standing).toBe("fit");
  // The phone judges by the same rules.
  const kit = await expectAnswer((await as("R001")).get("/v1/field-kit").query({ machineId }), 200);
  expect(kit.items[0].clearanceOverMidnight).toBe(true);
  app.context.clock.moveTo(until);
  expect((await onBoard(as, machineId)).standing).toBe("unchecked");

  // Its insurance ends that night: nobody rides on it.
  const insurance = { kind: "insurance", number: "1", validFrom: "2026-01-01", validTo: "2026-11-05" };
  const papers = async (id: string) => (await manager()).post(`/v1/machines/${id}/papers`).send(insurance).expect(201);
  expect((await lateCheck("2026-11-05", async (id) => papers(id))).until).toBe("2026-11-06T00:00:00.000Z");

  // A depot's own choice goes before the firm's.
  await expectAnswer((await manager()).patch("/v1/policy").send({ clearanceOverMidnight: true }), 200);
  await overMidnight(false);
  expect((await lateCheck("2026-11-06")).until).toBe("2026-11-07T00:00:00.000Z");
  await overMidnight(null);
  expect((await lateCheck("2026-11-07")).until).toBe("2026-11-08T12:30:00.000Z");
});
