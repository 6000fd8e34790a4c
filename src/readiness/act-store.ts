// The SQL of readiness that writes: acts with their records and the states that follow. One statement takes the acts of several
// machines, each through its own gate; the statement is the transaction.
import type { MachineState } from "../../shared/rules/machine-state.ts";
import { type Entry, entryRow } from "../ledger/index.ts";
import { type Database, gather } from "../platform/index.ts";
import type { ActRows, MachineParticulars } from "./act-rows.ts";

export interface ActToWrite {
  readonly machineId: string;
  /** the length of the machine's chain that the decision was made on */
  readonly expectedCount: number;
  readonly depotId: string;
  /** the machine comes to this depot with this act */
  readonly moved: boolean;
  readonly recordedAt: Date;
  readonly state: MachineState;
  readonly openGrounding: number;
  readonly entries: readonly Entry[];
  readonly particulars: MachineParticulars;
  readonly rows: ActRows;
}

const writers = new WeakMap<Database, (act: ActToWrite) => Promise<boolean>>();

/**
 * Writes an act: through the gate (the machine's row, only if nobody wrote since the facts were read) its record, the state
 * history, and the rows of the rooms. False: somebody was first, and nothing was written; read the facts again.
 */
export function writeAct(db: Database, act: ActToWrite): Promise<boolean> {
  let write = writers.get(db);
  if (!write) {
    write = gather((acts: readonly ActToWrite[]) => writeActs(db, acts), { width: 1, most: 32 });
    writers.set(db, write);
  }
  return write(act);
}

async function writeActs(db: Database, asked: readonly ActToWrite[]): Promise<boolean[]> {
  // Two acts on one machine: the second was decided on facts that the first has just changed.
  const acts = asked.filter((act, index) => asked.findIndex((other) => other.machineId === act.machineId) === index);
  const parameters = [jsonRows(acts.map(gateRow)), jsonRows(acts.flatMap((act) => act.entries.map(entryRow)))];
  const parts = [gateSql, historySql, entrySql];
  if (acts.some((act) => act.moved)) parts.push(movedSql);
  for (const { key, sql } of actTables) {
    const rows = acts.flatMap((act): readonly object[] => act.rows[key] ?? []);
    if (rows.length === 0) continue;
    parameters.push(jsonRows(rows));
    parts.push(sql(`$${parameters.length}::text::jsonb`));
  }
  const passed = await db.rows<{ id: string }>(`WITH ${parts.join(",\n")}\nSELECT id FROM gate`, parameters);
  const through = new Set(passed.map((row) => row.id));
  return asked.map((act) => acts.includes(act) && through.has(act.machineId));
}

const gateRow = (act: ActToWrite): object => ({
  machineId: act.machineId,
  expected: act.expectedCount,
  position: act.expectedCount + act.entries.length,
  depotId: act.depotId,
  openGrounding: act.openGrounding,
  recordedAt: act.recordedAt,
  state: act.state,
  particulars: act.particulars,
});

const gateSql = `asked AS (
    SELECT * FROM jsonb_to_recordset($1::text::jsonb) AS a (machine_id uuid, expected int, position int, depot_id uuid,
      open_grounding int, recorded_at timestamptz, state jsonb, particulars jsonb)),
  gate AS (
    UPDATE machine m SET record_count = a.position, depot_id = a.depot_id, open_grounding = a.open_grounding, state = a.state,
      registration_mark = coalesce(a.particulars->>'registrationMark', m.registration_mark),
      vin = CASE WHEN a.particulars ? 'vin' THEN a.particulars->>'vin' ELSE m.vin END,
      model_id = coalesce((a.particulars->>'modelId')::uuid, m.model_id),
      in_service_from = coalesce((a.particulars->>'inServiceFrom')::date, m.in_service_from)
    FROM asked a WHERE m.id = a.machine_id AND m.record_count = a.expected
    RETURNING m.id, a.position, a.depot_id, a.recorded_at, a.state)`;
const historySql = `told AS (
    INSERT INTO machine_state_history (machine_id, position, depot_id, recorded_at, state)
    SELECT id, position, depot_id, recorded_at, state FROM gate)`;
// An open defect goes with its machine: those who have the machine see it and put it right.
const movedSql = `moved AS (
    UPDATE defect d SET depot_id = gate.depot_id FROM gate
    WHERE d.machine_id = gate.id AND d.closed_at IS NULL AND d.depot_id <> gate.depot_id)`;
const rowsThroughTheGate = (table: string, rows: string): string =>
  `SELECT r.* FROM jsonb_populate_recordset(NULL::${table}, ${rows}) r JOIN gate ON gate.id = r.machine_id`;
const entrySql = `entry AS (INSERT INTO ledger ${rowsThroughTheGate("ledger", "$2::text::jsonb")})`;

const insertInto = (table: string) => (rows: string) => `${table}_rows AS (INSERT INTO ${table} ${rowsThroughTheGate(table, rows)})`;

/** Table by table, how its rows are written; `rows` is the SQL of the JSON parameter. */
const actTables: readonly { readonly key: keyof ActRows; readonly sql: (rows: string) => string }[] = [
  { key: "dailyChecks", sql: insertInto("daily_check") },
  { key: "weeklyInspections", sql: insertInto("weekly_inspection") },
  {
    key: "draftsDone",
    sql: (rows) => `drafts_done AS (
      DELETE FROM inspection_draft d USING jsonb_to_recordset(${rows}) AS r (id uuid, machine_id uuid), gate
      WHERE d.id = r.id AND gate.id = r.machine_id)`,
  },
  { key: "papers", sql: insertInto("paper") },
  { key: "paperEndings", sql: insertInto("paper_ending") },
  { key: "photoUses", sql: insertInto("photo_use") },
  { key: "defects", sql: insertInto("defect") },
  {
    key: "defectChanges",
    sql: (rows) => `defect_changes AS (
      UPDATE defect d SET category = r.category, status = r.status, observation_ids = r.observation_ids, due_day = r.due_day,
        second_person = r.second_person, quantity = r.quantity, sightings = r.sightings, repaired_by = r.repaired_by, closed_by = r.closed_by,
        closed_at = r.closed_at, closing_reading = r.closing_reading
      FROM jsonb_populate_recordset(NULL::defect, ${rows}) r, gate WHERE d.id = r.id AND d.machine_id = gate.id)`,
  },
  {
    key: "defectEvents",
    // The defect may begin with this very statement, which does not see it yet: the row names its machine.
    sql: (rows) => `defect_event_rows AS (
      INSERT INTO defect_event SELECT r.* FROM jsonb_array_elements(${rows}) e
      CROSS JOIN LATERAL jsonb_populate_record(NULL::defect_event, e) r JOIN gate ON gate.id = (e->>'machine_id')::uuid)`,
  },
];

const snake = (field: string): string => field.replace(/[A-Z]/g, (letter) => `_${letter.toLowerCase()}`);

/** Rows as JSON with the database's column names; nested values are left alone. */
const jsonRows = (rows: readonly object[]): string =>
  JSON.stringify(rows.map((row) => Object.fromEntries(Object.entries(row).map(([field, value]) => [snake(field), value]))));
