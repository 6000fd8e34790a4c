// The SQL that reads a month of entries through a cursor.
import { z } from "zod";
import { kindSchema } from "../../../shared/records/index.ts";
import { type Kind, storedRecordColumns } from "../../ledger/index.ts";
import { secretSetJoin, signedOnly } from "../../people/index.ts";
import { type Database, type RowOf, statement } from "../../platform/index.ts";
import type { MonthScope, Span } from "./month-scope.ts";

const recordColumns = {
  ...{ ...storedRecordColumns, kind: kindSchema },
  ...{ machineMark: z.string().nullable(), staffNumber: z.string().nullable(), staffName: z.string().nullable() },
  ...{ depotName: z.string().nullable() },
  /** of its depot; null for what belongs to none */
  timeZone: z.string().nullable(),
  /** Where it is signed by somebody whose secret another person had set within the day before: when, and by whom. */
  ...{ secretSetAt: z.date().nullable(), secretSetByNumber: z.string().nullable() },
};

/** Stands for 'no depot' where depots are compared: no depot has this id. */
const noDepotId = "00000000-0000-0000-0000-000000000000";

const spanRow = (depotId: string, { starts, ends }: Span): object => ({ depot_id: depotId, starts, ends });

const columns = `l.id, l.chain_id AS "chainId", l.position, l.kind, l.version, l.machine_id AS "machineId", l.depot_id AS "depotId",
  l.staff_id AS "staffId", l.performed_at AS "performedAt", l.recorded_at AS "recordedAt", encode(l.data_sha256, 'hex') AS "dataSha256",
  encode(p.sha256, 'hex') AS "previousSha256", encode(l.sha256, 'hex') AS sha256, encode(l.salt, 'hex') AS salt, l.data,
  m.registration_mark AS "machineMark", s.staff_number AS "staffNumber", s.name AS "staffName", d.name AS "depotName", d.time_zone AS "timeZone", secret.set_at AS "secretSetAt", setter.staff_number AS "secretSetByNumber"`;
const from = (entries: string): string => `
FROM ${entries}
JOIN jsonb_to_recordset($1::text::jsonb) AS a (depot_id uuid, starts timestamptz, ends timestamptz)
  ON a.depot_id = coalesce(l.depot_id, '${noDepotId}'::uuid) AND l.recorded_at >= a.starts AND l.recorded_at < a.ends
LEFT JOIN ledger p ON p.chain_id = l.chain_id AND p.position = l.position - 1
LEFT JOIN machine m ON m.id = l.machine_id
LEFT JOIN staff s ON s.id = l.staff_id
LEFT JOIN depot d ON d.id = l.depot_id
${secretSetJoin({ staffId: "l.staff_id", performedAt: "l.performed_at", recordedAt: "l.recorded_at" }, signedOnly("l.kind"))}
LEFT JOIN staff setter ON setter.id = secret.set_by
WHERE l.recorded_at >= $2::text::timestamptz AND l.recorded_at < $3::text::timestamptz`;

// The order follows an index but for ties, so the first rows come at once, however many there are.
const recordRows = statement(
  recordColumns,
  `SELECT ${columns} ${from("ledger l")}
  AND ($4::text IS NULL OR l.kind IN (SELECT jsonb_array_elements_text($4::text::jsonb)))
  AND ($5::text IS NULL OR l.machine_id = $5::text::uuid)
ORDER BY l.recorded_at, l.chain_id, l.position`,
);
/** An entry with the names of what it refers to, as they are now, since names are no part of an entry. */
export type RecordRow = RowOf<typeof recordRows>;

// Rows fetched at once: a check takes some kilobytes.
const batchSize = 100;

type Spans = Pick<MonthScope, "spans">;

function parametersOf({ spans: { ofDepots, firm } }: Spans): string[] {
  const all = [firm, ...ofDepots.values()];
  const first = new Date(Math.min(...all.map(({ starts }) => starts.getTime())));
  const last = new Date(Math.max(...all.map(({ ends }) => ends.getTime())));
  const rows = [spanRow(noDepotId, firm), ...[...ofDepots].map(([id, span]) => spanRow(id, span))];
  return [JSON.stringify(rows), first.toISOString(), last.toISOString()];
}

/** The entries of a month in the order in which they arrived, of these kinds or all, of one machine or all, streamed in batches. */
export const recordsOfMonth = (
  db: Database,
  scope: Spans,
  of: readonly Kind[] | null = null,
  machineId: string | null = null,
): AsyncIterable<RecordRow[]> => db.stream(recordRows, [...parametersOf(scope), of && JSON.stringify(of), machineId], batchSize);

const inTree = `
  AND e.leaf_index < $4::float8::bigint`;
const sealed = from("ledger l JOIN sealed_entry e ON e.entry_id = l.id");
const sealedRows = statement(
  { ...recordColumns, leafIndex: z.int() },
  `SELECT ${columns}, e.leaf_index::float8 AS "leafIndex" ${sealed} ${inTree} ORDER BY e.leaf_index`,
);
const sealedCountRows = statement({ n: z.int() }, `SELECT count(*)::int AS n ${sealed} ${inTree}`);

/** An entry with its place among the leaves of the tree. */
export type SealedRow = RowOf<typeof sealedRows>;

/** The entries of a month that are in a tree of `treeSize` leaves, in the order of the leaves, streamed in batches. */
export const sealedOfMonth = (db: Database, scope: Spans, treeSize: number): AsyncIterable<SealedRow[]> =>
  db.stream(sealedRows, [...parametersOf(scope), treeSize], batchSize);

/** How many entries `sealedOfMonth` gives. */
export async function countSealed(db: Database, scope: Spans, treeSize: number): Promise<number> {
  const [row] = await db.rows(sealedCountRows, [...parametersOf(scope), treeSize]);
  return row?.n ?? 0;
}
