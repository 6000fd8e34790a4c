// Records are kept by the database itself, whoever holds the connection: no code of the house stands in between here.
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { openTestContext, type TestContext } from "../support/context.ts";

let context: TestContext;
const ids: Record<"machine" | "check" | "inspection" | "defect" | "event" | "paper" | "ending" | "staff", string> = {
  machine: "01980000-0000-7000-8000-0000000000a1",
  check: "01980000-0000-7000-8000-0000000000b1",
  inspection: "01980000-0000-7000-8000-0000000000b2",
  defect: "01980000-0000-7000-8000-0000000000b3",
  event: "01980000-0000-7000-8000-0000000000b4",
  paper: "01980000-0000-7000-8000-0000000000b5",
  ending: "01980000-0000-7000-8000-0000000000b8",
  staff: "01980000-0000-7000-8000-0000000000c1",
};
const other = "01980000-0000-7000-8000-0000000000d1";
const at = "TIMESTAMPTZ '2026-07-13T04:30:00Z'";
/** salt and hashes of the right length; whether they fit is for those who verify */
const sealed = "decode(repeat('5a', 16), 'hex'), sha256('a'), sha256('b')";
/** the values of an entry */
const entry = (id: string, chain: string, position: number, kind = "daily-check") =>
  `('${id}', '${chain}', ${position}, '${kind}', 1, '${ids.machine}', '${other}', '${ids.staff}', ${at}, ${at}, '{}', ${sealed})`;

beforeAll(async () => {
  context = await openTestContext();
  const run = (sql: string) => context.db.rows(sql);
  await run(`INSERT INTO depot VALUES ('${other}', 'Depot', 'UTC', 'gb', 8, ${at})`);
  await run(`INSERT INTO machine_model VALUES ('${other}', 'Model', 110, '{}', '{}', 1, ${at})`);
  await run(`INSERT INTO staff (id, staff_number, name, role, competences, secret_hash, added_at)
    VALUES ('${ids.staff}', 'M1', 'M', 'mechanic', '{general,inspection}', 'x', ${at})`);
  await run(`INSERT INTO machine (id, registration_mark, model_id, depot_id, in_service_from, added_at, record_count, state)
    VALUES ('${ids.machine}', 'AB1', '${other}', '${other}', DATE '2026-07-01', ${at}, 5, '{}')`);
  await run(`INSERT INTO machine_state_history VALUES ('${ids.machine}', 1, '${other}', ${at}, '{}')`);
  for (const [index, id] of [ids.check, ids.inspection, ids.defect, ids.event, ids.paper, ids.ending].entries()) {
    await run(`INSERT INTO ledger VALUES ${entry(id, ids.machine, index + 1)}`);
  }
  await run(`INSERT INTO daily_check VALUES ('${ids.check}', '${ids.machine}', '${other}', '${ids.staff}', DATE '2026-07-13', ${at}, ${at},
    60, 100, 0, 'do-not-ride', NULL, '{}')`);
  await run(`INSERT INTO weekly_inspection VALUES
    ('${ids.inspection}', '${ids.machine}', '${other}', '${ids.staff}', DATE '2026-07-13', ${at}, ${at}, 100, 0, '{}')`);
  await run(`INSERT INTO defect
    (id, machine_id, depot_id, observation_ids, category, status, origin, origin_id, reported_by, seen_at, recorded_at, competence, second_person)
    VALUES ('${ids.defect}', '${ids.machine}', '${other}', '{}', 'minor', 'open', 'report', '${other}', '${ids.staff}', ${at}, ${at},
      'general', false)`);
  await run(`INSERT INTO defect_event VALUES ('${ids.event}', '${ids.defect}', 'sighting', '${ids.staff}', ${at}, ${at})`);
  await run(`INSERT INTO paper VALUES
    ('${ids.paper}', '${ids.machine}', 'insurance', '1', DATE '2026-01-01', DATE '2026-12-31', ${at})`);
  await run(`INSERT INTO paper_ending VALUES
    ('${ids.ending}', '${ids.paper}', '${ids.machine}', DATE '2026-07-13', 'cancelled', false, '${ids.staff}', ${at})`);
  await run(`INSERT INTO photo VALUES ('${other}', sha256('a'), 'image/jpeg', 4, 3, 700, sha256('b'), '${ids.staff}', ${at})`);
  await run(`INSERT INTO secret_event VALUES ('${ids.check}', '${ids.staff}', 'set', ${at})`);
  await run(`INSERT INTO photo_use VALUES ('${other}', '${ids.check}', '${ids.machine}', NULL, '${ids.staff}')`);
});
afterAll(() => context.close());

/** The SQLSTATE of what the database says against it; null where it lets it through. */
async function refusal(sql: string): Promise<string | null> {
  return context.db.rows(sql).then(
    () => null,
    (error: { code?: string }) => error.code ?? "",
  );
}

const content = async (table: string): Promise<unknown[]> => context.db.rows(`SELECT t::text AS row FROM ${table} t ORDER BY 1`);

// FR001 is our own code for 'a record is never changed or removed', in the first migration.
describe.each([
  ["ledger", "data = '{\"changed\": true}'"],
  ["daily_check", "odometer_km = 1"],
  ["weekly_inspection", "odometer_km = 1"],
  ["defect_event", "kind = 'repair'"],
  ["paper", "valid_to = DATE '2099-12-31'"],
  ["paper_ending", "reason = 'mistaken'"],
  ["machine_state_history", "state = '{\"changed\": true}'"],
  ["photo", "sha256 = sha256('c')"],
  ["secret_event", "kind = 'changed'"],
  ["photo_use", `defect_id = '${other}'`],
])("a row of %s", (table, change) => {
  test.each([
    ["is not changed", `UPDATE ${table} SET ${change}`],
    ["is not removed", `DELETE FROM ${table}`],
    ["does not go with its table's content", `TRUNCATE ${table} CASCADE`],
  ])("%s", async (_what, sql) => {
    const before = await content(table);
    expect(before.length).toBeGreaterThan(0);
    expect(await refusal(sql)).toBe("FR001");
    expect(await content(table)).toEqual(before);
  });

  test("is not replaced on conflict either", async () => {
    const keys: Record<string, string> = { machine_state_history: "machine_id, position", photo_use: "photo_id, entry_id" };
    const key = keys[table] ?? "id";
    const sql = `INSERT INTO ${table} SELECT * FROM ${table} LIMIT 1 ON CONFLICT (${key}) DO UPDATE SET ${change}`;
    expect(await refusal(sql)).toBe("FR001");
  });
});

describe("what stays, though it may change", () => {
  test.each(["machine", "staff", "defect"])("a row of %s is never removed", async (table) => {
    const before = await content(table);
    expect(before.length).toBeGreaterThan(0);
    expect(await refusal(`DELETE FROM ${table}`)).not.toBeNull();
    expect(await content(table)).toEqual(before);
  });

  test("two entries never take the same place in a chain, and a machine's entry stands in its own", async () => {
    const add = (chain: string, position: number) => refusal(`INSERT INTO ledger VALUES ${entry(context.newId(), chain, position)}`);
    expect(await add(ids.machine, 1)).toBe("23505");
    expect(await add(other, 99)).toBe("23514");
    expect(await add(ids.machine, 0)).toBe("23514");
  });

  test("what an entry says is forgotten only by a later entry that records it, whole, once, and with nothing else changed", async () => {
    const [old, check, forgetting] = [context.newId(), context.newId(), context.newId()];
    await context.db.rows(`INSERT INTO ledger VALUES ${entry(old, ids.machine, 20)}, ${entry(check, ids.machine, 21)}`);
    const forget = (by: string, also = "") =>
      refusal(`UPDATE ledger SET data = NULL, salt = NULL, forgotten_by = '${by}'${also} WHERE id = '${old}'`);
    expect(await forget(forgetting)).toBe("FR001");
    expect(await forget(check)).toBe("FR001");
    await context.db.rows(`INSERT INTO ledger VALUES ${entry(forgetting, ids.machine, 22, "records-forgotten")}`);
    for (const also of [
      "sha256 = sha256('x')",
      "data_sha256 = sha256('x')",
      "staff_id = NULL",
      "performed_at = now()",
      "kind = 'paper-added'",
    ]) {
      expect(await forget(forgetting, `, ${also}`), also).toBe("FR001");
    }
    expect(await refusal(`UPDATE ledger SET data = NULL, forgotten_by = '${forgetting}' WHERE id = '${old}'`)).toBe("FR001");
    expect(await forget(forgetting)).toBeNull();
    expect(await refusal(`UPDATE ledger SET data = '{}', salt = sha256('x'), forgotten_by = NULL WHERE id = '${old}'`)).toBe("FR001");
    expect(await forget(forgetting)).toBe("FR001");
  });

  test("an entry without its hashes, or with half of one, is refused", async () => {
    const add = (hashes: string) => refusal(`INSERT INTO ledger VALUES ${entry(context.newId(), ids.machine, 30).replace(sealed, hashes)}`);
    expect(await add("decode(repeat('5a', 16), 'hex'), NULL, sha256('b')")).toBe("23502");
    expect(await add("decode(repeat('5a', 16), 'hex'), sha256('a'), '\\x5a'")).toBe("23514");
    expect(await add("NULL, sha256('a'), sha256('b')")).toBe("23514");
  });

  test("a row without its record in the ledger is refused", async () => {
    const paper = `('${context.newId()}', '${ids.machine}', 'insurance', '2', DATE '2026-01-01', DATE '2026-12-31', ${at})`;
    expect(await refusal(`INSERT INTO paper VALUES ${paper}`)).toBe("23503");
  });
});

describe("the course of a defect", () => {
  const change = (sql: string) => refusal(`UPDATE defect SET ${sql} WHERE id = '${ids.defect}'`);
  const signedOff = `status = 'signed-off', closed_at = ${at}, closed_by = '${ids.staff}'`;

  test("does not skip the repair, does not begin closed, and what was reported stays as reported", async () => {
    expect(await change(`${signedOff}, repaired_by = '${other}'`)).toBe("FR002");
    expect(await change("note = 'never said'")).toBe("FR002");
    expect(
      await refusal(`INSERT INTO defect (id, machine_id, depot_id, observation_ids, category, status, origin, origin_id, reported_by, seen_at,
        recorded_at, competence, second_person) VALUES ('${ids.check}', '${ids.machine}', '${other}', '{}', 'minor', 'repaired', 'report',
        '${other}', '${ids.staff}', ${at}, ${at}, 'general', false)`),
    ).toBe("FR002");
  });

  test("a grounding defect that the machine does not count is refused at the commit", async () => {
    expect(await change("category = 'dangerous'")).toBe("FR003");
    expect(await refusal(`UPDATE machine SET open_grounding = 3 WHERE id = '${ids.machine}'`)).toBe("FR003");
  });

  test("a closed defect stays closed; until then only somebody with the competence closes it", async () => {
    expect(await change(`status = 'repaired', repaired_by = '${other}'`)).toBeNull();
    expect(await change(signedOff.replace(ids.staff, other))).toBe("FR002");
    expect(await change(signedOff)).toBeNull();
    expect(await change("status = 'open', closed_at = NULL, closed_by = NULL")).toBe("FR002");
    expect(await change("sightings = 2")).toBe("FR002");
  });
});
