// The comparison of what is kept with the records: it passes over a store that is right, and names what is not.
import { beforeAll, expect, test } from "vitest";
import { compareAll, rebuildState } from "../../src/acts/index.ts";
import { reportOf } from "../support/acts.ts";
import { addTestMachine, checkFinding, inspectionOf } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";

const { app } = testService();
let machineId: string;
beforeAll(async () => {
  machineId = await addTestMachine(app);
  await (await app.signIn("R001"))
    .post("/v1/daily-checks")
    .send(checkFinding(app, machineId, "front-brake-cable.frayed"))
    .expect(201);
  await addTestMachine(app);
});

const differences = async (): Promise<readonly string[]> =>
  (await rebuildState(app.context.db, machineId))?.differences ?? ["no such machine"];
const change = (sql: string): Promise<unknown> => app.context.db.rows(sql, [machineId]);

test("a store that is right shows no difference, machine by machine", async () => {
  const compared = [];
  for await (const one of compareAll(app.context.db)) compared.push(one);
  expect(compared.length).toBeGreaterThanOrEqual(2);
  expect(compared.flatMap((one) => one.differences)).toEqual([]);
});

test("an unknown machine is none", async () => {
  expect(await rebuildState(app.context.db, "019b0000-0000-7000-8000-000000000000")).toBeNull();
});

test("a state that was changed past the records is named, with the part that differs", async () => {
  await change(`UPDATE machine SET state = jsonb_set(state, '{odometerKm}', '5') WHERE id = $1::text::uuid`);
  expect(await differences()).toEqual(["the state now differs from the records in odometerKm"]);
  await change(`UPDATE machine SET state = jsonb_set(state, '{odometerKm}', '1000') WHERE id = $1::text::uuid`);
  expect(await differences()).toEqual([]);
});

test("a defect that was changed past the records is named", async () => {
  await change("UPDATE defect SET sightings = 7 WHERE machine_id = $1::text::uuid");
  expect(await differences()).toEqual([expect.stringMatching(/^defect \S+ differs from the records in sightings$/)]);
  await change("UPDATE defect SET sightings = 1 WHERE machine_id = $1::text::uuid");
});

test("a count of records that is not theirs is named", async () => {
  await change("UPDATE machine SET record_count = record_count + 1 WHERE id = $1::text::uuid");
  expect(await differences()).toEqual([expect.stringMatching(/^\d+ records, and a count of \d+$/)]);
  await change("UPDATE machine SET record_count = record_count - 1 WHERE id = $1::text::uuid");
});

test("an inspection that leaves a minor defect open brings its last day forward, in the state and in the list of defects alike", async () => {
  const other = await addTestMachine(app);
  app.context.clock.advance(60_000);
  const rider = await app.signIn("R001");
  const raised = await rider
    .post("/v1/defects")
    .send(reportOf(app, other, "horn.weak"))
    .expect(201);
  expect(raised.body.defect).toMatchObject({ category: "minor", dueDay: "2026-07-20" });
  app.context.clock.advance(2 * 86_400_000);
  await (await app.signIn("M001")).post("/v1/weekly-inspections").send(inspectionOf(app, other)).expect(201);
  const shown = await (await app.signIn("R001")).get(`/v1/defects/${raised.body.defect.id}`).expect(200);
  expect(shown.body.dueDay).toBe("2026-07-15");
  expect((await rebuildState(app.context.db, other))?.differences).toEqual([]);
});
