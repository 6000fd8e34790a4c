// The service on a role that owns nothing: all of its work goes on, and not even that role's own hands can change a record.
import { randomUUID } from "node:crypto";
import { describe, expect, test } from "vitest";
import type { MachineState } from "../../shared/rules/machine-state.ts";
import { mendState } from "../../src/acts/index.ts";
import { replaceHistory } from "../../src/acts/mend-store.ts";
import { workOff } from "../../src/audit/index.ts";
import { forgetOld } from "../../src/keeping/index.ts";
import { takeCheckpoint } from "../../src/ledger/index.ts";
import { giveServiceRole } from "../../src/platform/index.ts";
import { expectAnswer, throughItsCourse } from "../support/acts.ts";
import { openTestContext } from "../support/context.ts";
import { openTestDatabase } from "../support/database.ts";
import { addTestMachine, nilCheckOf } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";

// The embedded database has one role, which owns it.
describe.skipIf(!process.env["TEST_DATABASE_URL"])("on the role of prisma/service-role.sql", () => {
  const { app, as } = testService(async () => openTestContext(undefined, {}, await openTestDatabase({ weaker: true })));

  test("the service starts, and a machine goes through check, defect, repair, sign-off, correction, checkpoint and audit pack", async () => {
    expect(await app.context.db.migrate()).toEqual([]);
    const machineId = await addTestMachine(app);
    await throughItsCourse(app, as, machineId, "horn.silent");
    const check = nilCheckOf(app, machineId);
    await expectAnswer((await as("R001")).post("/v1/daily-checks").send(check), 201);
    const draft = { machineId, revision: 0, body: {} };
    expect((await (await as("M001")).put(`/v1/inspection-drafts/${randomUUID()}`).send(draft)).status).toBeLessThan(500);
    await expectAnswer(
      (await as("R001")).post(`/v1/records/${check.id}/corrections`).send({ id: randomUUID(), right: "x", reason: "y" }),
      201,
    );
    await expectAnswer((await as("F001")).put("/v1/policy").send({ minorDefectDays: 5 }), 200);
    expect(await takeCheckpoint(app.context)).not.toBeNull();
    const { id } = await expectAnswer((await as("F001")).post("/v1/audit-packs").send({ month: "2026-07" }), 202);
    await workOff(app.context, { id: randomUUID(), alone: false, stopped: () => false });
    expect(await expectAnswer((await as("F001")).get(`/v1/audit-packs/${id}`), 200)).toMatchObject({ state: "ready" });
    const hold = { id: randomUUID(), machineId: await addTestMachine(app), reason: "An examiner asks" };
    await expectAnswer((await as("F001")).post("/v1/holds").send(hold), 201);
    await expectAnswer((await as("F001")).post(`/v1/holds/${hold.id}/lift`).send({ reason: "Settled" }), 200);
    app.context.clock.advance(490 * 86_400_000);
    expect(await forgetOld(app.context)).toBeGreaterThan(3);
    const path = `/v1/staff/${app.cast.staffId("R002")}`;
    await expectAnswer((await as("F001")).patch(path).send({ left: true }), 200);
    await expectAnswer((await as("F001")).post(`${path}/anonymise`).send({ reason: "Asked for" }), 200);
  });

  test("a state that cannot be read is rebuilt, and of the past it is said that only the owner can", async () => {
    const { db } = app.context;
    const machineId = await addTestMachine(app);
    await db.rows("UPDATE machine SET state = '{}' WHERE id = $1::text::uuid", [machineId]);
    expect(await mendState(db, machineId)).toMatchObject({ state: true, historyLeft: null });
    expect(await mendState(db, machineId)).toMatchObject({ state: false, differences: [] });
    const [kept] = await db.rows<{ state: MachineState }>("SELECT state FROM machine WHERE id = $1::text::uuid", [machineId]);
    if (!kept) throw new Error("the machine is gone");
    expect(await replaceHistory(db, machineId, [{ position: 1, state: kept.state }])).toContain("only the owner of the database");
  });

  // FR001: our trigger. 42501: insufficient_privilege, PostgreSQL documentation, appendix A.
  test.each([
    ["UPDATE ledger SET kind = 'x'", "42501"],
    ["UPDATE ledger SET data = '{}'", "FR001"],
    ["DELETE FROM ledger", "42501"],
    ["TRUNCATE ledger CASCADE", "42501"],
    ["ALTER TABLE ledger DISABLE TRIGGER ALL", "42501"],
    ["DROP TRIGGER ledger_is_append_only ON ledger", "42501"],
    ["SET session_replication_role = replica", "42501"],
    ["CREATE OR REPLACE FUNCTION keep_the_ledger() RETURNS trigger LANGUAGE plpgsql AS 'BEGIN RETURN NEW; END'", "42501"],
    ["UPDATE daily_check SET odometer_km = 1", "42501"],
    ["DELETE FROM checkpoint", "42501"],
    ["DELETE FROM machine", "42501"],
    ["DROP TABLE defect", "42501"],
  ])("%s is refused", async (sql, code) => {
    await expect(app.context.db.rows(sql)).rejects.toMatchObject({ code });
  });
});

test("the step that prepares a database makes the role, renews its password, and refuses one that owns tables", async () => {
  const database = await openTestDatabase();
  const role = `ferrule_prepared_${process.pid}`;
  try {
    for (const password of [`it's \\ $1 %s`, "another"]) await giveServiceRole(database, role, password);
    const [own] = await database.rows<{ login: boolean; may: boolean; change: boolean; owner: string }>(
      `SELECT rolcanlogin AND NOT rolsuper AS login, has_table_privilege($1, 'ledger', 'INSERT') AS may,
        has_table_privilege($1, 'ledger', 'DELETE') AS change, current_user::text AS owner FROM pg_roles WHERE rolname = $1`,
      [role],
    );
    expect(own).toMatchObject({ login: true, may: true, change: false });
    await expect(giveServiceRole(database, String(own?.owner), "any")).rejects.toThrow("owns tables or is a superuser");
    await expect(giveServiceRole(database, 'x"; DROP TABLE ledger', "any")).rejects.toThrow("small letters");
  } finally {
    await database.rows(`DROP OWNED BY ${role}`);
    await database.rows(`DROP ROLE ${role}`);
    await database.close();
  }
});
