// A firm's store from before one-time codes: nobody's secret stops working, and what its records say of secrets is carried over.
import { readdir, readFile } from "node:fs/promises";
import { fileURLToPath } from "node:url";
import { PGlite } from "@electric-sql/pglite";
import { expect, test } from "vitest";

const folder = fileURLToPath(new URL("../../prisma/migrations/", import.meta.url));
const mine = "20261129100000_codes_for_secrets";

test("people go on with the secrets that they have, and every setting by a manager that the records tell is known", async () => {
  const db = new PGlite();
  const names = (await readdir(folder)).filter((name) => /^\d{14}_/.test(name)).sort();
  for (const name of names.slice(0, names.indexOf(mine))) await db.exec(await readFile(`${folder}${name}/migration.sql`, "utf8"));
  const id = (n: number): string => `01980000-0000-7000-8000-0000000000${String(n).padStart(2, "0")}`;
  const [firm, manager, mechanic, forgotten] = [id(1), id(2), id(3), id(4)];
  for (const [n, person] of [manager, mechanic, forgotten].entries()) {
    await db.exec(`INSERT INTO staff (id, staff_number, name, role, competences, secret_hash, added_at)
      VALUES ('${person}', 'P${n}', 'P', 'mechanic', '{}', 'hash ${n}', '2026-07-01T06:00:00Z')`);
  }
  const told = async (position: number, kind: string, data: object | null, at: string) => {
    const kept =
      data === null
        ? `NULL, NULL, sha256('a'), sha256('b'), '${firm}'`
        : `'${JSON.stringify(data)}', decode(repeat('5a', 16), 'hex'), sha256('a'), sha256('b'), NULL`;
    await db.exec(`INSERT INTO ledger (id, chain_id, position, kind, version, staff_id, performed_at, recorded_at, data, salt, data_sha256, sha256, forgotten_by)
      VALUES ('${id(10 + position)}', '${firm}', ${position}, '${kind}', 1, '${manager}', '${at}', '${at}', ${kept})`);
  };
  await told(1, "person-added", { personId: manager }, "2026-07-01T06:00:00Z");
  await told(2, "person-added", { personId: mechanic }, "2026-07-02T06:00:00Z");
  await told(3, "person-amended", { personId: mechanic, changed: ["name"] }, "2026-07-03T06:00:00Z");
  await told(4, "person-amended", { personId: mechanic, changed: ["name", "secret"] }, "2026-07-04T06:00:00Z");
  await told(5, "person-added", null, "2026-07-05T06:00:00Z");
  await db.exec(await readFile(`${folder}${mine}/migration.sql`, "utf8"));
  const people = await db.query("SELECT secret_hash, code_expires_at FROM staff ORDER BY staff_number");
  expect(people.rows).toEqual([0, 1, 2].map((n) => ({ secret_hash: `hash ${n}`, code_expires_at: null })));
  const events = await db.query<{ id: string; staff_id: string; kind: string; at: Date }>("SELECT * FROM secret_event ORDER BY at");
  expect(events.rows).toEqual([
    { id: id(11), staff_id: manager, kind: "set", at: new Date("2026-07-01T06:00:00Z") },
    { id: id(12), staff_id: mechanic, kind: "set", at: new Date("2026-07-02T06:00:00Z") },
    { id: id(14), staff_id: mechanic, kind: "set", at: new Date("2026-07-04T06:00:00Z") },
  ]);
  await db.close();
});
