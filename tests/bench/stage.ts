// The stage of the benchmarks: a database of its own on a real server, a fleet of 10,000 machines in 20 depots, one rider.
import { randomUUID } from "node:crypto";
import postgres from "postgres";
import { newMachineState } from "../../shared/rules/machine-state.ts";
import { defaultPolicy } from "../../shared/rules/policy.ts";
import { hashSecret } from "../../src/people/index.ts";
import { fewestConnections, openServer } from "../../src/platform/index.ts";
import { chainMachine, testHandbook } from "../support/machines.ts";

export const server = process.env["BENCH_DATABASE_URL"] ?? "postgres://postgres@127.0.0.1:5432/postgres";
export const fleetSize = 10_000;
export const depots = 20;
export const rider = { staffNumber: "R001", secret: "bench-rider-secret" };
export const manager = { staffNumber: "F001", secret: "bench-manager-secret" };

/** Machine n of the fleet, 1 to `fleetSize`: an id that pgbench can write too. */
export const machineId = (n: number): string => `00000000-0000-7000-8000-${n.toString(16).padStart(12, "0")}`;
/** Depot n, 0 to `depots` - 1; the fleet is spread evenly. */
export const depotId = (n: number): string => `00000000-0000-7000-8001-${n.toString(16).padStart(12, "0")}`;

export interface Stage {
  readonly address: string;
  readonly sql: postgres.Sql;
  clear(): Promise<void>;
}

/** Makes a database with the fleet, all inspected yesterday. Written by SQL: the doors are what is measured later. */
export async function setStage(): Promise<Stage> {
  const name = `ferrule_bench_${process.pid}`;
  const admin = postgres(server, { max: 1, onnotice: () => undefined });
  await admin.unsafe(`CREATE DATABASE ${name}`);
  const address = Object.assign(new URL(server), { pathname: `/${name}` }).href;
  const db = openServer(address, fewestConnections);
  await db.migrate();
  await db.close();
  const sql = postgres(address, { max: 2, onnotice: () => undefined });
  const now = new Date();
  const yesterday = new Date(now.getTime() - 86_400_000).toISOString();
  const state = { ...newMachineState(1000, yesterday), firstUseDue: null, lastInspectionAt: yesterday };
  const modelId = randomUUID();
  await sql`INSERT INTO firm (id, name, policy, record_count) VALUES (${randomUUID()}, 'Bench', ${sql.json({ ...defaultPolicy })}, 0)`;
  await sql`INSERT INTO machine_model VALUES (${modelId}, 'Bench model', 110, ${sql.json(chainMachine as never)}, ${sql.json(testHandbook as never)}, 1, ${now})`;
  for (let n = 0; n < depots; n += 1) {
    await sql`INSERT INTO depot VALUES (${depotId(n)}, ${`Depot ${n}`}, 'Europe/London', 'gb', 8, ${now})`;
  }
  await sql`
    INSERT INTO machine (id, registration_mark, model_id, depot_id, in_service_from, added_at, record_count, state)
    SELECT ('00000000-0000-7000-8000-' || lpad(to_hex(n), 12, '0'))::uuid, 'B' || lpad(n::text, 6, '0'), ${modelId}::uuid,
      ('00000000-0000-7000-8001-' || lpad(to_hex(n % ${depots}), 12, '0'))::uuid, ${now}::date, ${now}, 0, ${sql.json(state as never)}::jsonb
    FROM generate_series(1, ${fleetSize}::int) n`;
  await sql`INSERT INTO machine_state_history SELECT id, 0, depot_id, ${yesterday}::timestamptz, state FROM machine`;
  for (const [person, role] of [
    [rider, "rider"],
    [manager, "manager"],
  ] as const) {
    await sql`INSERT INTO staff (id, staff_number, name, role, all_depots, competences, secret_hash, added_at)
      VALUES (${randomUUID()}, ${person.staffNumber}, 'Bench', ${role}, true, '{}', ${await hashSecret(person.secret)}, ${now})`;
  }
  // Only what holds rows: statements planned on a table that is known to be empty would read it whole for as long as they are cached.
  await sql`VACUUM ANALYZE machine`;
  return {
    address,
    sql,
    clear: async () => {
      await sql.end();
      await admin.unsafe(`DROP DATABASE ${name} WITH (FORCE)`);
      await admin.end();
    },
  };
}
