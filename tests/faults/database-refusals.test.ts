// What may never happen is refused by the database itself, on rows that the service wrote, with the rule named.
import { beforeAll, expect, test } from "vitest";
import { expectAnswer, repairOf, reportOf } from "../support/acts.ts";
import { addTestMachine } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";

const { app, as } = testService();
let machineId: string;
beforeAll(async () => {
  machineId = await addTestMachine(app);
});

const at = "'2026-07-13T05:00:00Z'";
const report = async (seen: string): Promise<string> =>
  (await expectAnswer((await as("R001")).post("/v1/defects").send(reportOf(app, machineId, seen)), 201)).defect.id;
const repaired = async (seen: string): Promise<string> => {
  const id = await report(seen);
  await expectAnswer((await as("M001")).post(`/v1/defects/${id}/repairs`).send(repairOf(app)), 201);
  return id;
};

/** What the database says against a statement: its code, and the constraint that it names or its words. */
async function refusal(sql: string): Promise<{ code: string; says: string }> {
  type DatabaseError = { code?: string; constraint?: string; constraint_name?: string; message: string };
  return app.context.db.rows(sql).then(
    () => ({ code: "", says: "taken" }),
    ({ code = "", constraint, constraint_name, message }: DatabaseError) => ({ code, says: constraint ?? constraint_name ?? message }),
  );
}
const change = (id: string, sql: string) => refusal(`UPDATE defect SET ${sql} WHERE id = '${id}'`);
const closing = (who: string) => `status = 'signed-off', closed_at = ${at}, closed_by = '${app.cast.staffId(who)}'`;

// FR002: our code for a defect that leaves its course. FR003: for a count that does not agree. 23505, 23514: PostgreSQL, appendix A.
test("a sign-off without a repair, or one that skips it, is refused", async () => {
  const id = await report("horn.silent");
  expect(await change(id, closing("M002"))).toEqual({ code: "FR002", says: "a defect does not go from open to signed-off" });
  const unproved = await repaired("stop-lamp.out");
  expect(await change(unproved, `${closing("M002")}, repaired_by = NULL`)).toEqual({
    code: "23514",
    says: "defect_signed_off_after_a_repair",
  });
});

test("a sign-off by a rider, a manager or a mechanic without the competence is refused", async () => {
  const id = await repaired("lamps.headlamp-out");
  for (const who of ["R001", "F001", "M003"]) {
    const { code, says } = await change(id, closing(who));
    expect([code, says], who).toEqual(["FR002", `defect ${id} is closed by a mechanic with the competence electrics only`]);
  }
});

test("a sign-off of steering by the repairer, and of a measured item without a reading, is refused", async () => {
  const alone = await repaired("steering.knock");
  expect(await change(alone, closing("M001"))).toEqual({
    code: "FR002",
    says: `defect ${alone} is not signed off by one of those who repaired it`,
  });
  const renamed = `${closing("M002")}, repaired_by = '${app.cast.staffId("M002")}'`;
  expect(await change(alone, renamed)).toEqual({ code: "23514", says: "defect_second_person" });
  expect(await change(await repaired("chain.fouls"), closing("M002"))).toEqual({ code: "23514", says: "defect_closed_with_a_reading" });
});

test("a sign-off by somebody who repaired it before somebody else did is refused, one after it was seen again is not", async () => {
  const id = await repaired("steering.knock");
  await expectAnswer((await as("M003")).post(`/v1/defects/${id}/repairs`).send(repairOf(app)), 201);
  expect(await change(id, closing("M001"))).toEqual({
    code: "FR002",
    says: `defect ${id} is not signed off by one of those who repaired it`,
  });
  app.context.clock.advance(60_000);
  expect(await report("steering.knock")).toBe(id);
  app.context.clock.advance(60_000);
  await expectAnswer((await as("M003")).post(`/v1/defects/${id}/repairs`).send(repairOf(app)), 201);
  // The course lets it pass; alone, without the machine's count, it still does not go in.
  expect((await change(id, closing("M001"))).code).toBe("FR003");
});

test("a closed defect is not opened again, and a major one is not put off", async () => {
  const id = await repaired("fuel.drips");
  await expectAnswer((await as("M002")).post(`/v1/defects/${id}/sign-off`).send({ id: app.context.newId() }), 201);
  expect(await change(id, "status = 'open', closed_at = NULL, closed_by = NULL")).toEqual({
    code: "FR002",
    says: `defect ${id} is closed`,
  });
  const major = await report("engine-oil.milky");
  expect(await change(major, "status = 'deferred'")).toEqual({ code: "23514", says: "defect_only_minor_is_deferred" });
});

test("a second open defect for one item, a count of grounding defects that is out of step, and a doubled place in a chain are refused", async () => {
  const id = await report("indicators.one-out");
  const copy = (table: string, row: string, changes: string) =>
    `INSERT INTO ${table} SELECT (jsonb_populate_record(t, '${changes}')).* FROM ${table} t WHERE id = '${row}'`;
  const other = app.context.newId();
  expect(await refusal(copy("defect", id, `{"id": "${other}"}`))).toEqual({ code: "23505", says: "defect_one_open_per_item" });
  expect(await refusal(copy("ledger", id, `{"id": "${other}"}`))).toEqual({ code: "23505", says: "ledger_chain_id_position_key" });
  const count = await refusal(`UPDATE machine SET open_grounding = 0 WHERE id = '${machineId}'`);
  expect([count.code, count.says]).toEqual(["FR003", expect.stringContaining(`machine ${machineId} states 0 open grounding defects`)]);
  expect((await change(id, "category = 'minor'")).code).toBe("FR003");
});
