// The SQL of what a report can be held against.
import type { Moment } from "../acts/index.ts";
import { type Kind, sentenceOf } from "../ledger/index.ts";
import type { Database } from "../platform/index.ts";
import type { RecordOnReport } from "./facts.ts";

type Row = Omit<RecordOnReport, "kind"> & { readonly kind: Kind };

const columns = `l.id, l.kind, l.position, l.recorded_at AS "recordedAt", encode(l.sha256, 'hex') AS sha256`;
const told = (row: Row): RecordOnReport => ({ ...row, kind: sentenceOf(row.kind), recordedAt: new Date(row.recordedAt) });

/** The records of a defect that had arrived by the moment, in the order of their chain. */
export async function readRecordsOfDefect(db: Database, defectId: string, at: Moment): Promise<RecordOnReport[]> {
  const rows = await db.rows<Row>(
    `SELECT ${columns} FROM ledger l
     WHERE (l.id = $1::text::uuid OR l.id IN (SELECT e.id FROM defect_event e WHERE e.defect_id = $1::text::uuid))
       AND ($2::text IS NULL OR l.recorded_at <= $2::text::timestamptz) ORDER BY l.position`,
    [defectId, at?.toISOString() ?? null],
  );
  return rows.map(told);
}

/** The last record of a machine that had arrived by the moment. */
export async function readLastRecord(db: Database, machineId: string, at: Moment): Promise<RecordOnReport> {
  const [row] = await db.rows<Row>(
    `SELECT ${columns} FROM ledger l WHERE l.chain_id = $1::text::uuid AND ($2::text IS NULL OR l.recorded_at <= $2::text::timestamptz)
     ORDER BY l.position DESC LIMIT 1`,
    [machineId, at?.toISOString() ?? null],
  );
  if (!row) throw new Error(`machine ${machineId} has no record by then`);
  return told(row);
}
