// The SQL of the records that a report can be compared with.
import { z } from "zod";
import { kindSchema } from "../../shared/records/index.ts";
import type { Language } from "../../shared/words/index.ts";
import type { Moment } from "../acts/index.ts";
import { sentenceOf } from "../ledger/index.ts";
import { type Database, type RowOf, statement } from "../platform/index.ts";
import type { RecordOnReport } from "./facts.ts";

const columns = { id: z.guid(), kind: kindSchema, position: z.int(), recordedAt: z.date(), sha256: z.string() };
const columnsSql = `l.id, l.kind, l.position, l.recorded_at AS "recordedAt", encode(l.sha256, 'hex') AS sha256`;
const ofDefectRows = statement(
  columns,
  `SELECT ${columnsSql} FROM ledger l
     WHERE (l.id = $1::text::uuid OR l.id IN (SELECT e.id FROM defect_event e WHERE e.defect_id = $1::text::uuid))
       AND ($2::text IS NULL OR l.recorded_at <= $2::text::timestamptz) ORDER BY l.position`,
);
const oneRows = statement(columns, `SELECT ${columnsSql} FROM ledger l WHERE l.id = $1::text::uuid`);
const lastRows = statement(
  columns,
  `SELECT ${columnsSql} FROM ledger l WHERE l.chain_id = $1::text::uuid AND ($2::text IS NULL OR l.recorded_at <= $2::text::timestamptz)
     ORDER BY l.position DESC LIMIT 1`,
);

const told = (row: RowOf<typeof lastRows>, language: Language): RecordOnReport => ({
  ...row,
  kind: sentenceOf(row.kind, language),
  recordedAt: new Date(row.recordedAt),
});

/** The records of a defect that had arrived by the moment, in the order of their chain. */
export const readRecordsOfDefect = async (db: Database, defectId: string, at: Moment, language: Language): Promise<RecordOnReport[]> =>
  (await db.rows(ofDefectRows, [defectId, at?.toISOString() ?? null])).map((row) => told(row, language));

/** The record with this id; undefined where there is none. */
export const readRecord = async (db: Database, id: string, language: Language): Promise<RecordOnReport | undefined> =>
  (await db.rows(oneRows, [id])).map((row) => told(row, language))[0];

/** The last record of a machine that had arrived by the moment. */
export async function readLastRecord(db: Database, machineId: string, at: Moment, language: Language): Promise<RecordOnReport> {
  const [row] = await db.rows(lastRows, [machineId, at?.toISOString() ?? null]);
  if (!row) throw new Error(`machine ${machineId} has no record by then`);
  return told(row, language);
}
