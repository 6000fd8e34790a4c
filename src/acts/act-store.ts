// The SQL that writes acts with their records and the states that follow. One statement takes the acts of several
// machines, each through its own gate; the statement is the transaction.
import { z } from "zod";
import { groupBy } from "../../shared/group-by.ts";
import type { MachineState } from "../../shared/rules/machine-state.ts";
import { type Entry, entryRow } from "../ledger/index.ts";
import { againWhereLost, type Database, type RowOf, statement, surelyFailed } from "../platform/index.ts";
import { type ActRows, type MachineParticulars, type RowWriting, rowsThroughTheGate } from "./act-rows.ts";

export interface ActToWrite {
  readonly machineId: string;
  /** the length of the machine's chain that the decision was made on */
  readonly expectedCount: number;
  readonly depotId: string;
  readonly recordedAt: Date;
  readonly state: MachineState;
  /** null: the number that is stored, plus `groundingChange` */
  readonly openGrounding: number | null;
  readonly groundingChange: number;
  readonly entries: readonly Entry[];
  readonly particulars: MachineParticulars;
  readonly rows: readonly ActRows[];
}

/**
 * What became of an act. `late`: somebody was first and nothing was written; read the facts again. `unknown`: the connection was lost while
 * it was written, and whether it is stored, or will be in a moment, cannot be said.
 */
export type Outcome = "stored" | "late" | "unknown";

const throughTheGate = { id: z.guid() };

/** Writes the acts of one moment in one statement, which is the transaction; what became of each. */
export async function writeActs(db: Database, asked: readonly ActToWrite[]): Promise<Outcome[]> {
  // Two acts on one machine: the second was decided on facts that the first has just changed.
  const acts = asked.filter((act, index) => asked.findIndex((other) => other.machineId === act.machineId) === index);
  const parameters = [jsonRows(acts.map(gateRow)), jsonRows(acts.flatMap((act) => act.entries.map(entryRow)))];
  const parts = [askedSql, heldSql, gateSql, historySql, entrySql];
  for (const [{ sql }, rows] of byWriting(acts)) {
    parameters.push(jsonRows(rows));
    parts.push(sql(`$${parameters.length}::text::jsonb`));
  }
  const written = statement(throughTheGate, `WITH ${parts.join(",\n")}\nSELECT id FROM gate`);
  const outcomes = await againWhereLost(() => db.rows(written, parameters)).then(
    (passed) => {
      const through = new Set(passed.map((row) => row.id));
      return acts.map(({ machineId }): Outcome => (through.has(machineId) ? "stored" : "late"));
    },
    (error: unknown) => {
      if (surelyFailed(error)) throw error;
      return lookWhatBecame(db, acts);
    },
  );
  return asked.map((act) => outcomes[acts.indexOf(act)] ?? "late");
}

/** The rows of all acts by how they are written, always in one order, so that a prepared statement serves again. */
function byWriting(acts: readonly ActToWrite[]): [RowWriting, object[]][] {
  const asked = acts.flatMap((act) => act.rows).filter(({ rows }) => rows.length > 0);
  return [...groupBy(asked, ({ written }) => written)]
    .map(([written, parts]): [RowWriting, object[]] => [written, parts.flatMap(({ rows }) => rows)])
    .sort(([one], [other]) => (one.name < other.name ? -1 : 1));
}

const lookRows = statement(
  { gateOpen: z.boolean(), stored: z.boolean() },
  `
SELECT m.record_count = a.expected AS "gateOpen", EXISTS (SELECT FROM ledger l WHERE l.id = a.entry_id AND l.sha256 = decode(a.sha256, 'hex')) AS stored
FROM jsonb_to_recordset($1::text::jsonb) AS a (place int, machine_id uuid, expected int, entry_id uuid, sha256 text)
JOIN machine m ON m.id = a.machine_id ORDER BY a.place`,
);

/**
 * What became of acts whose answer was lost. Each entry's hash is its own, by its salt. One statement stores them all or none, and where a
 * machine's chain has grown past what an act was decided on, the gate will never let that act through.
 */
async function lookWhatBecame(db: Database, acts: readonly ActToWrite[]): Promise<Outcome[]> {
  const asked = acts.map(({ machineId, expectedCount, entries: [first] }, place) => ({
    ...{ place, machine_id: machineId, expected: expectedCount, entry_id: first?.id, sha256: first?.sha256 },
  }));
  const found = await db.rows(lookRows, [JSON.stringify(asked)]).catch((): RowOf<typeof lookRows>[] => []);
  const committed = found.some(({ stored }) => stored);
  return acts.map((_, place): Outcome => {
    const act = found[place];
    if (act?.stored) return "stored";
    return act && (committed || !act.gateOpen) ? "late" : "unknown";
  });
}

const gateRow = (act: ActToWrite): object => ({
  machineId: act.machineId,
  expected: act.expectedCount,
  position: act.expectedCount + act.entries.length,
  depotId: act.depotId,
  openGrounding: act.openGrounding,
  groundingChange: act.groundingChange,
  recordedAt: act.recordedAt,
  state: act.state,
  particulars: act.particulars,
});

const askedSql = `asked AS (
    SELECT * FROM jsonb_to_recordset($1::text::jsonb) AS a (machine_id uuid, expected int, position int, depot_id uuid,
      open_grounding int, grounding_change int, recorded_at timestamptz, state jsonb, particulars jsonb))`;
// In one order, so that statements of two processes for the same machines wait one for the other and never deadlock.
const heldSql = `held AS (
    SELECT m.id FROM machine m JOIN asked a ON a.machine_id = m.id AND a.expected = m.record_count ORDER BY m.id FOR NO KEY UPDATE OF m)`;
const gateSql = `gate AS (
    UPDATE machine m SET record_count = a.position, depot_id = a.depot_id, open_grounding = coalesce(a.open_grounding, m.open_grounding + a.grounding_change),
      state = a.state,
      registration_mark = coalesce(a.particulars->>'registrationMark', m.registration_mark),
      vin = CASE WHEN a.particulars ? 'vin' THEN a.particulars->>'vin' ELSE m.vin END,
      model_id = coalesce((a.particulars->>'modelId')::uuid, m.model_id),
      in_service_from = coalesce((a.particulars->>'inServiceFrom')::date, m.in_service_from)
    FROM held, asked a WHERE m.id = held.id AND m.id = a.machine_id AND m.record_count = a.expected
    RETURNING m.id, a.position, a.depot_id, a.recorded_at, a.state)`;
const historySql = `told AS (
    INSERT INTO machine_state_history (machine_id, position, depot_id, recorded_at, state)
    SELECT id, position, depot_id, recorded_at, state FROM gate)`;
const entrySql = `entry AS (INSERT INTO ledger ${rowsThroughTheGate("ledger", "$2::text::jsonb")})`;

const snake = (field: string): string => field.replace(/[A-Z]/g, (letter) => `_${letter.toLowerCase()}`);

/** Rows as JSON with the database's column names; nested values are left alone. */
const jsonRows = (rows: readonly object[]): string =>
  JSON.stringify(rows.map((row) => Object.fromEntries(Object.entries(row).map(([field, value]) => [snake(field), value]))));
