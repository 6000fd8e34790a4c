// Acts on a machine whose stored state cannot be read are decided on what the records say, and store the state whole again.
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { compareAll, mendState } from "../../src/acts/index.ts";
import { onBoard, reportOf } from "../support/acts.ts";
import { type EveryRoute, openEveryRoute } from "../support/every-route.ts";
import { addTestMachine, inspectionOf, nilCheckOf } from "../support/sheets.ts";

let context: EveryRoute;
const rows = <Row>(sql: string, ...values: unknown[]): Promise<Row[]> => context.app.context.db.rows<Row>(sql, values);
const stateOf = async (machineId: string): Promise<unknown> =>
  (await rows<{ state: unknown }>("SELECT state FROM machine WHERE id = $1::text::uuid", machineId))[0]?.state;

beforeAll(async () => {
  context = await openEveryRoute();
});
afterAll(() => context.app.close());

describe("acts on a machine whose state cannot be read", () => {
  test("a check is decided on what the records say, and stores the state whole again", async () => {
    const { machineId } = context;
    const openIn = (state: unknown): string[] => (state as { defects: { id: string }[] }).defects.map(({ id }) => id);
    // A report's, and a campaign's job.
    const before = openIn(await stateOf(machineId));
    expect(before).toHaveLength(2);
    await rows(`UPDATE machine SET state = '{"broken": true}' WHERE id = $1::text::uuid`, machineId);
    context.app.context.clock.advance(60_000);
    const answer = (await (await context.as("R001")).post("/v1/daily-checks").send(nilCheckOf(context.app, machineId)).expect(201)).body;
    expect(answer.clearance).toMatchObject({
      decision: "ride-with-defects",
      reasons: [{ code: "minor-defect" }, { code: "minor-defect" }],
    });
    expect(openIn(await stateOf(machineId)).sort()).toEqual(before.sort());
    for await (const { differences } of compareAll(context.app.context.db)) expect(differences).toEqual([]);
  });

  test("where not even the records give it, a check and a report are still recorded and clear nothing, and what was open stays counted", async () => {
    const fresh = await addTestMachine(context.app);
    await (await context.as("M001")).post("/v1/weekly-inspections").send(inspectionOf(context.app, fresh)).expect(201);
    const rider = await context.as("R001");
    await rider
      .post("/v1/defects")
      .send(reportOf(context.app, fresh, "front-brake-cable.frayed"))
      .expect(201);
    // Its first record names no odometer any more, so nothing can follow on it.
    await rows("ALTER TABLE ledger DISABLE TRIGGER ALL");
    await rows("UPDATE ledger SET kind = 'person-added' WHERE machine_id = $1::text::uuid AND kind = 'machine-added'", fresh);
    await rows("UPDATE machine SET state = '{}' WHERE id = $1::text::uuid", fresh);
    context.app.context.clock.advance(60_000);
    const check = (await rider.post("/v1/daily-checks").send(nilCheckOf(context.app, fresh)).expect(201)).body;
    expect(check.clearance.decision).toBe("do-not-ride");
    expect(check.clearance.reasons[0].code).toBe("cannot-be-judged");
    await rider
      .post("/v1/defects")
      .send(reportOf(context.app, fresh, "front-tyre.cords-showing"))
      .expect(201);
    expect((await onBoard(context.as, fresh)).reasons.map(({ code }) => code)).toEqual(["cannot-be-judged"]);
    const [counted] = await rows<{ open: number }>("SELECT open_grounding AS open FROM machine WHERE id = $1::text::uuid", fresh);
    expect(counted?.open).toBe(2);
    await expect(mendState(context.app.context.db, fresh)).rejects.toThrow("person-added");
    await rows("UPDATE ledger SET kind = 'machine-added' WHERE chain_id = $1::text::uuid AND position = 1", fresh);
    await rows("ALTER TABLE ledger ENABLE TRIGGER ALL");
    expect(await mendState(context.app.context.db, fresh)).toMatchObject({ state: true });
    expect((await onBoard(context.as, fresh)).reasons.filter(({ code }) => code === "grounding-defect")).toHaveLength(2);
  });
});
