// Until when a check lets somebody ride: the end of the depot's day or 14 hours, over the change to summer time and back.
import { afterEach, beforeEach, expect, test } from "vitest";
import { type As, expectAnswer, onBoard, peopleAtHand } from "../support/acts.ts";
import { openTestApp, type TestApp } from "../support/app.ts";
import { openTestContext } from "../support/context.ts";
import { addTestMachine, nilCheckOf } from "../support/sheets.ts";

let app: TestApp;
let as: As;
// The clock goes on and never back, so what is told of it stands in one test, and each firm has its own.
beforeEach(async () => {
  app = await openTestApp(await openTestContext("2026-03-28T05:00:00.000Z"));
  as = peopleAtHand(app);
});
afterEach(() => app.close());

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
