// The paper of a month: pages per second beside bare pdfkit drawing as many table rows, and the memory that ten times the checks take.
import { spawn } from "node:child_process";
import { fileURLToPath } from "node:url";
import { SHEET_VERSION } from "../../shared/catalogue/sheet.ts";
import { nilAnswers } from "../../shared/rules/as-new.ts";
import { newMachineState } from "../../shared/rules/machine-state.ts";
import { chainMachine } from "../support/machines.ts";
import { depotId, depots, fleetSize, type Stage, setStage } from "./stage.ts";

const month = "2026-10";
const firstDay = Date.UTC(2026, 9, 1, 5);
const dayMs = 86_400_000;
const perDepot = fleetSize / depots;

export interface Drawn {
  readonly pages: number;
  readonly seconds: number;
  readonly peakMb: number;
  readonly fileMb: number;
}

/** Draws in a process of its own, so that its peak memory is nobody else's. */
function drawApart(...args: readonly string[]): Promise<Drawn> {
  const file = fileURLToPath(new URL("./draw-records.ts", import.meta.url));
  const child = spawn(process.execPath, ["--import", "tsx", file, ...args], { stdio: ["ignore", "pipe", "inherit"] });
  let out = "";
  child.stdout.on("data", (chunk: Buffer) => {
    out += chunk.toString("utf8");
  });
  return new Promise((resolve, reject) => {
    child.on("error", reject);
    child.on("close", (code) => (code === 0 ? resolve(JSON.parse(out) as Drawn) : reject(new Error(`drawing ended with ${code}`))));
  });
}

/** Daily checks of whole depots, with their entries and states: written by SQL, for the doors are measured elsewhere. */
async function tellChecks({ sql }: Stage, depot: number, days: number): Promise<void> {
  const staffId = (await sql<{ id: string }[]>`SELECT id FROM staff WHERE role = 'rider'`)[0]?.id ?? "";
  const submitted = { sheetVersion: SHEET_VERSION, durationSeconds: 61, answers: nilAnswers(chainMachine) };
  const data = { submitted, photos: [], outcome: { flags: [], clearance: { decision: "ride" }, defects: [] } };
  const state = { ...newMachineState(1000, new Date(firstDay).toISOString()), firstUseDue: null };
  for (let day = 0; day < days; day += 1) {
    const at = new Date(firstDay + day * dayMs);
    await sql`
      WITH m AS (SELECT id, row_number() OVER (ORDER BY registration_mark) AS n, gen_random_uuid() AS entry FROM machine
          WHERE depot_id = ${depotId(depot)}::uuid),
        l AS (INSERT INTO ledger (id, chain_id, position, kind, version, machine_id, depot_id, staff_id, performed_at, recorded_at, data, salt, data_sha256, sha256)
          SELECT entry, id, ${day + 1}::int, 'daily-check', 1, id, ${depotId(depot)}::uuid, ${staffId}::uuid, ${at} + n * interval '10 seconds',
            ${at} + n * interval '10 seconds', ${sql.json(data as never)}::jsonb, decode(md5(entry::text), 'hex'), sha256(entry::text::bytea), sha256(entry::text::bytea) FROM m),
        h AS (INSERT INTO machine_state_history SELECT id, ${day + 1}::int, ${depotId(depot)}::uuid, ${at} + n * interval '10 seconds',
            ${sql.json(state as never)}::jsonb FROM m)
      INSERT INTO daily_check (id, machine_id, depot_id, staff_id, local_day, performed_at, recorded_at, duration_seconds, odometer_km, defect_count, decision, valid_until, flags)
      SELECT entry, id, ${depotId(depot)}::uuid, ${staffId}::uuid, ${at}::date, ${at} + n * interval '10 seconds', ${at} + n * interval '10 seconds', 61,
        1000 + ${day * 60}::int, 0, 'ride', ${at} + interval '10 hours', '{}' FROM m`;
  }
}

export async function benchRecords(): Promise<void> {
  const stage = await setStage();
  try {
    // Two depots of 500 machines with 30 days each, and one with six.
    for (const depot of [0, 1]) await tellChecks(stage, depot, 30);
    await tellChecks(stage, 2, 6);
    await stage.sql`UPDATE machine SET added_at = '2026-01-01', in_service_from = '2026-01-01'`;
    await stage.sql`ANALYZE`;
    const show = (what: string, { pages, seconds, peakMb, fileMb }: Drawn) =>
      console.log(
        `${what}: ${pages} pages in ${seconds.toFixed(1)} s, ${(pages / seconds).toFixed(0)} pages/s, peak ${peakMb} MB, file ${fileMb} MB`,
      );
    const many = await drawApart("month", stage.address, month, depotId(0), depotId(1));
    show(`month of ${2 * perDepot * 30} checks`, many);
    const bare = await drawApart("bare", String(2 * perDepot * 30));
    show("bare pdfkit, as many table rows", bare);
    const few = await drawApart("month", stage.address, month, depotId(2));
    show(`month of ${perDepot * 6} checks`, few);
    const rate = ({ pages, seconds }: Drawn): number => pages / seconds;
    console.log(`pages per second / bare pdfkit: ${(rate(many) / rate(bare)).toFixed(2)}`);
    console.log(`peak memory of ten times the checks: ${(many.peakMb / few.peakMb).toFixed(2)} times`);
  } finally {
    await stage.clear();
  }
}
