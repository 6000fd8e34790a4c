// What the next rider is told with the answer to a check (49 CFR 396.13, basis: standards.md topic 2): what was put right and by whom, and who
// else has checked the machine that day.
import { expect, test } from "vitest";
import { expectAnswer, throughItsCourse } from "../support/acts.ts";
import { addTestMachine, checkFinding, nilCheckOf } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";

const { app, as } = testService();

const check = async (who: string, body: object, status: 200 | 201 = 201) => {
  app.context.clock.advance(60_000);
  return expectAnswer((await as(who)).post("/v1/daily-checks").send(body), status);
};

test("the answer to a check names what was closed since the machine was last cleared, and who signed; the next one no longer does", async () => {
  const machineId = await addTestMachine(app);
  expect((await check("R001", nilCheckOf(app, machineId))).before).toEqual({ putRight: [], checkedToday: null });
  const defectId = await throughItsCourse(app, as, machineId, "horn.silent");
  const body = nilCheckOf(app, machineId);
  const { before } = await check("R002", body);
  const signedBy = await expectAnswer((await as("M002")).get("/v1/me"), 200);
  expect(before.putRight).toEqual([
    { defectId, itemId: "horn", how: "signed-off", at: expect.stringMatching(/^2026/), by: signedBy.person?.name ?? signedBy.name },
  ]);
  expect((await check("R001", nilCheckOf(app, machineId))).before.putRight).toEqual([]);
  // The receipt says the same whenever it is asked for.
  expect((await check("R002", body, 200)).before).toEqual(before);
  expect((await expectAnswer((await as("R002")).get(`/v1/daily-checks/${body.id}`), 200)).before).toEqual(before);
});

test("a check that cleared nobody leaves the news for the next one, and another's check of that day is named with what came of it", async () => {
  const machineId = await addTestMachine(app);
  const defectId = await throughItsCourse(app, as, machineId, "horn.silent");
  const grounding = checkFinding(app, machineId, "rear-tyre-pressure.flat");
  expect((await check("R001", grounding)).before.putRight).toMatchObject([{ defectId }]);
  const { before } = await check("R002", nilCheckOf(app, machineId));
  expect(before).toMatchObject({ putRight: [{ defectId }], checkedToday: { at: grounding.performedAt, decision: "do-not-ride" } });
  // One's own earlier check is no news.
  app.context.clock.advance(24 * 3_600_000);
  await check("R001", nilCheckOf(app, machineId));
  expect((await check("R001", nilCheckOf(app, machineId))).before.checkedToday).toBeNull();
});

test("a rider of another depot is not told what was done at this one", async () => {
  const machineId = await addTestMachine(app, { depotId: app.cast.farDepotId });
  await check("R101", nilCheckOf(app, machineId));
  const answer = await check("R001", checkFinding(app, machineId, "horn.silent"));
  expect(answer.before).toEqual({ putRight: [], checkedToday: null });
});
