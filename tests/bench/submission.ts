// Nil-defect checks over HTTP, 16 in flight, beside pgbench running the same writes as one transaction of plain statements,
// turn by turn in one run. What counts is the ratio: both share the machine with the server.
import { execFileSync } from "node:child_process";
import { randomUUID } from "node:crypto";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import autocannon from "autocannon";
import { proofFor, SHEET_VERSION } from "../../shared/catalogue/sheet.ts";
import type { Reading } from "../../shared/contracts/quantities.ts";
import { nilAnswers, readingAsNew } from "../../shared/rules/as-new.ts";
import { localDay } from "../../shared/rules/calendar.ts";
import { dataHash, type Envelope, entryHash } from "../../src/ledger/hash.ts";
import { chainMachine, testHandbook, testMachine } from "../support/machines.ts";
import { type RunningService, startService } from "./service.ts";
import { fleetSize, machineId, rider, type Stage, setStage } from "./stage.ts";

const inFlight = 16;
const seconds = 6;
const turns = 3;

export async function benchSubmission(): Promise<void> {
  const stage = await setStage();
  const service = await startService(stage.address);
  try {
    const token = await service.tokenOf(rider);
    await submit(service, token, 2);
    const script = await pgbenchScript(stage);
    const rates: { ours: number; plain: number }[] = [];
    for (let turn = 1; turn <= turns; turn += 1) {
      const plain = pgbench(stage.address, script.file);
      const ours = await submit(service, token, seconds);
      rates.push({ ours, plain });
      console.log(
        `turn ${turn}: service ${ours.toFixed(0)} checks/s, pgbench ${plain.toFixed(0)} transactions/s, ratio ${(ours / plain).toFixed(2)}`,
      );
    }
    const median = (values: number[]): number => values.sort((a, b) => a - b)[Math.floor(values.length / 2)] ?? Number.NaN;
    const ours = median(rates.map((rate) => rate.ours));
    const plain = median(rates.map((rate) => rate.plain));
    console.log(`median: service ${ours.toFixed(0)}/s, pgbench ${plain.toFixed(0)}/s, ratio of the medians ${(ours / plain).toFixed(2)}`);
    await costOfTheLedger(stage, script.file);
    script.remove();
  } finally {
    await service.stop();
    await stage.clear();
  }
}

/**
 * What the record itself costs: the same transaction of plain statements with its entry in the ledger and without it, turn by turn, and what
 * the two hashes of an entry take in the service. Without entries a check has nothing to point at, so the stage gives up that foreign key.
 */
async function costOfTheLedger(stage: Stage, file: string): Promise<void> {
  const { sql } = stage;
  const bare = `${file}.bare`;
  writeFileSync(bare, readFileSync(file, "utf8").replace(/INSERT INTO ledger[\s\S]*?;\n/, ""));
  const keys = await sql<{ name: string }[]>`
    SELECT conname AS name FROM pg_constraint WHERE conrelid = 'daily_check'::regclass AND confrelid = 'ledger'::regclass`;
  for (const { name } of keys) await sql.unsafe(`ALTER TABLE daily_check DROP CONSTRAINT "${name}"`);
  const [entry] = await sql<(Envelope & { data: unknown; salt: string; previous: string | null })[]>`
    SELECT id, chain_id AS "chainId", position, kind, version, machine_id AS "machineId", depot_id AS "depotId", staff_id AS "staffId",
      performed_at AS "performedAt", recorded_at AS "recordedAt", encode(data_sha256, 'hex') AS "dataSha256", data, encode(salt, 'hex') AS salt,
      encode(sha256, 'hex') AS previous FROM ledger WHERE kind = 'daily-check' LIMIT 1`;
  if (!entry) throw new Error("no check was stored");
  const rates: { withEntry: number; without: number }[] = [];
  for (let turn = 1; turn <= turns; turn += 1)
    rates.push({ withEntry: pgbench(stage.address, file), without: pgbench(stage.address, bare) });
  const middle = (values: number[]): number => values.sort((a, b) => a - b)[Math.floor(values.length / 2)] ?? Number.NaN;
  const [withEntry, without] = [middle(rates.map((rate) => rate.withEntry)), middle(rates.map((rate) => rate.without))];
  console.log(
    `append cost: ${withEntry.toFixed(0)} transactions/s with the ledger's entry, ${without.toFixed(0)} without, ratio ${(withEntry / without).toFixed(2)}`,
  );
  const times = 5000;
  const begun = performance.now();
  for (let count = 0; count < times; count += 1) entryHash({ ...entry, dataSha256: dataHash(entry.data, entry.salt) }, entry.previous);
  console.log(`hashing an entry: ${((1000 * (performance.now() - begun)) / times).toFixed(0)} microseconds`);
}

let turn = 0;

/** What is asked of this machine today, read as it is when all is well. */
function proofOf(id: string): Reading {
  const day = localDay(new Date(), "Europe/London");
  const { quantity } = proofFor({ machineId: id, day, features: chainMachine, handbook: testHandbook });
  return quantity === "odometer" ? { value: 1000, unit: "km" } : readingAsNew(quantity, testMachine);
}

/** Checks a second that were answered with 201; anything else fails the benchmark. */
export async function submit(service: RunningService, token: string, duration: number): Promise<number> {
  const answers = nilAnswers(chainMachine);
  const result = await autocannon({
    url: `${service.url}/v1/daily-checks`,
    connections: inFlight,
    duration,
    method: "POST",
    headers: { authorization: `Bearer ${token}`, "content-type": "application/json" },
    requests: [
      {
        setupRequest: (request) => {
          turn += 1;
          const body = {
            id: randomUUID(),
            machineId: machineId((turn % fleetSize) + 1),
            sheetVersion: SHEET_VERSION,
            performedAt: new Date().toISOString(),
            durationSeconds: 59,
            odometerKm: 1000,
            answers,
            proof: proofOf(machineId((turn % fleetSize) + 1)),
          };
          return { ...request, body: JSON.stringify(body) };
        },
      },
    ],
  });
  if (result.non2xx > 0 || result.errors > 0) throw new Error(`${result.non2xx} checks were refused and ${result.errors} calls failed`);
  return result["2xx"] / result.duration;
}

/** The writes of one check as plain statements, with values as long as the real ones, taken from the last check that was stored. */
async function pgbenchScript({ sql }: Stage): Promise<{ file: string; remove: () => void }> {
  const [last] = await sql<{ data: string; hash: string; salt: string; state: string; depot: string; staff: string }[]>`
    SELECT l.data::text AS data, encode(l.sha256, 'hex') AS hash, encode(l.salt, 'hex') AS salt, h.state::text AS state, l.depot_id AS depot, l.staff_id AS staff
    FROM ledger l JOIN machine_state_history h ON h.machine_id = l.machine_id AND h.position = l.position
    WHERE l.kind = 'daily-check' ORDER BY l.recorded_at DESC LIMIT 1`;
  if (!last) throw new Error("no check was stored");
  const text = (value: string): string => `'${value.replaceAll("'", "''")}'`;
  const machine = "('00000000-0000-7000-8000-' || lpad(to_hex(:m::int), 12, '0'))::uuid";
  const id = "(lpad(to_hex(:a::bigint), 16, '0') || lpad(to_hex(:b::bigint), 16, '0'))::uuid";
  const script = `\\set m random(1, ${fleetSize})
\\set a random(0, 9007199254740991)
\\set b random(0, 9007199254740991)
BEGIN;
UPDATE machine SET record_count = record_count + 1, open_grounding = 0, state = ${text(last.state)} WHERE id = ${machine} RETURNING record_count AS position \\gset
INSERT INTO machine_state_history VALUES (${machine}, :position, '${last.depot}', now(), ${text(last.state)});
INSERT INTO ledger (id, chain_id, position, kind, version, machine_id, depot_id, staff_id, performed_at, recorded_at, data, salt, data_sha256, sha256)
  VALUES (${id}, ${machine}, :position, 'daily-check', 1, ${machine}, '${last.depot}', '${last.staff}', now(), now(), ${text(last.data)}, '\\x${last.salt}', '\\x${last.hash}', '\\x${last.hash}');
INSERT INTO daily_check VALUES (${id}, ${machine}, '${last.depot}', '${last.staff}', current_date, now(), now(), 59, 1000, 0, 'ride', now(), '{}');
COMMIT;
`;
  const folder = mkdtempSync(join(tmpdir(), "ferrule-pgbench-"));
  const file = join(folder, "check.sql");
  writeFileSync(file, script);
  return { file, remove: () => rmSync(folder, { recursive: true, force: true }) };
}

function pgbench(address: string, file: string): number {
  const options = ["-n", "-M", "prepared", "-c", String(inFlight), "-j", "2", "-T", String(seconds), "-f", file, address];
  const output = execFileSync("pgbench", options, { encoding: "utf8", stdio: ["ignore", "pipe", "pipe"] });
  const rate = /tps = ([\d.]+)/.exec(output)?.[1];
  if (!rate) throw new Error(`pgbench said: ${output}`);
  return Number(rate);
}
