// The SQL of audit packs: the orders, and the entries of a month in the order in which they were sealed.
import { z } from "zod";
import { type AuditPack, auditPackSchema, type PackFailure } from "../../shared/contracts/audit.ts";
import { word } from "../../shared/words/index.ts";
import { holdFirm } from "../keys/index.ts";
import { type Database, type RowOf, statement } from "../platform/index.ts";

const { month, photos, state, progress, counts, checkpoint, bytes, failureCode } = auditPackSchema.shape;
const packColumns = {
  ...{ id: z.guid(), month, depotId: z.guid().nullable(), photos, state, progress, counts, checkpoint, bytes },
  ...{ sha256: z.string().nullable(), failureCode, requestedBy: z.guid(), requestedAt: z.date(), endedAt: z.date().nullable() },
};
const packSql = `id, month, depot_id AS "depotId", photos, state, progress, counts, checkpoint, bytes::float8 AS bytes, encode(sha256, 'hex') AS sha256,
  failure AS "failureCode", requested_by AS "requestedBy", requested_at AS "requestedAt", ended_at AS "endedAt"`;
const openPackRows = statement(packColumns, `SELECT ${packSql} FROM audit_pack WHERE state IN ('waiting', 'working')`);
const orderedRows = statement(
  packColumns,
  `INSERT INTO audit_pack (id, month, depot_id, photos, requested_by, requested_at, state)
     VALUES ($1::text::uuid, $2::text, $3::text::uuid, $4::bool, $5::text::uuid, $6::text::timestamptz, 'waiting')
     RETURNING ${packSql}`,
);
const packRows = statement(packColumns, `SELECT ${packSql} FROM audit_pack WHERE id = $1::text::uuid`);
const takenRows = statement(
  { ...packColumns, attempts: z.int() },
  `UPDATE audit_pack SET state = 'working', progress = 0, worker = $1::text::uuid, seen_at = $2::text::timestamptz, attempts = attempts + 1
     WHERE id = (SELECT id FROM audit_pack WHERE state = 'waiting' OR (state = 'working' AND seen_at < $3::text::timestamptz)
       ORDER BY requested_at, id LIMIT 1 FOR UPDATE SKIP LOCKED)
     RETURNING ${packSql}, attempts`,
);
const progressRows = statement(
  { id: z.guid() },
  `UPDATE audit_pack SET progress = $3::float8, seen_at = $4::text::timestamptz
     WHERE id = $1::text::uuid AND worker = $2::text::uuid AND state = 'working' RETURNING id`,
);
const endedRows = statement(
  { id: z.guid() },
  `UPDATE audit_pack SET state = $3::text, progress = CASE WHEN $3::text = 'ready' THEN 1 ELSE progress END, ended_at = $4::text::timestamptz,
       failure = $5::text, counts = $6::text::jsonb, checkpoint = $7::int, bytes = $8::float8::bigint, sha256 = decode($9::text, 'hex')
     WHERE id = $1::text::uuid AND worker = $2::text::uuid AND state = 'working' RETURNING id`,
);

const told = ({ requestedAt, endedAt, ...pack }: RowOf<typeof packRows>): AuditPack => ({
  ...pack,
  cannotProve: pack.depotId === null ? [] : [{ code: "left-out", text: word("audit.cannot.left-out") }],
  failure: pack.failureCode === null ? null : word(`audit.failure.${pack.failureCode}`),
  requestedAt: new Date(requestedAt).toISOString(),
  endedAt: endedAt === null ? null : new Date(endedAt).toISOString(),
});

export interface PackOrder {
  readonly id: string;
  readonly month: string;
  readonly depotId: string | null;
  readonly photos: boolean;
  readonly requestedBy: string;
  readonly requestedAt: Date;
}

/**
 * Stores the order, unless the same pack is waiting or being made already; returns the order that counts. Null, with nothing stored, if `most`
 * others are ordered and not yet made.
 */
export async function orderPack(
  db: Pick<Database, "rows">,
  { id, month, depotId, photos, requestedBy, requestedAt }: PackOrder,
  most: number,
): Promise<AuditPack | null> {
  // Orders come one after the other, so that the count is right; the record of the order needs that lock anyway.
  await holdFirm(db.rows);
  const open = await db.rows(openPackRows);
  const same = open.find((pack) => pack.month === month && pack.depotId === depotId && pack.photos === photos);
  if (same) return told(same);
  if (open.length >= most) return null;
  const [row] = await db.rows(orderedRows, [id, month, depotId, photos, requestedBy, requestedAt.toISOString()]);
  if (!row) throw new Error("a row that was put down is answered");
  return told(row);
}

/** A pack; null for an unknown one. */
export async function readPack(db: Database, id: string): Promise<AuditPack | null> {
  const [row] = await db.rows(packRows, [id]);
  return row ? told(row) : null;
}

/**
 * Takes the oldest order that waits, or whose worker has given no sign of life since `lostBefore`. Only one worker gets it. `attempts` includes
 * this one.
 */
export async function takeOrder(
  db: Database,
  worker: string,
  now: Date,
  lostBefore: Date,
): Promise<{ readonly pack: AuditPack; readonly attempts: number } | null> {
  const [row] = await db.rows(takenRows, [worker, now.toISOString(), lostBefore.toISOString()]);
  if (!row) return null;
  const { attempts, ...pack } = row;
  return { pack: told(pack), attempts };
}

/** Stores how far the work has come, which is also the worker's sign of life. False if the order is no longer this worker's. */
export async function noteProgress(db: Database, id: string, worker: string, progress: number, now: Date): Promise<boolean> {
  const rows = await db.rows(progressRows, [id, worker, progress, now.toISOString()]);
  return rows.length > 0;
}

export interface Ended {
  readonly counts: AuditPack["counts"];
  readonly checkpoint: number;
  readonly bytes: number;
  readonly sha256: string;
}

/** Ends the work: ready with its result, or failed with a reason. False if the order is no longer this worker's. */
export async function endWork(
  db: Database,
  id: string,
  worker: string,
  now: Date,
  end: Ended | { readonly failure: PackFailure },
): Promise<boolean> {
  const out = "failure" in end ? null : end;
  const rows = await db.rows(endedRows, [
    ...[id, worker, out ? "ready" : "failed", now.toISOString(), "failure" in end ? end.failure : null],
    ...[out ? JSON.stringify(out.counts) : null, out?.checkpoint ?? null, out?.bytes ?? null, out?.sha256 ?? null],
  ]);
  return rows.length > 0;
}

const nameRows = statement(
  { firmId: z.guid(), firmName: z.string(), depotName: z.string().nullable() },
  `SELECT f.id AS "firmId", f.name AS "firmName", d.name AS "depotName" FROM firm f LEFT JOIN depot d ON d.id = $1::text::uuid`,
);

/** The firm's id and name, and the depot's name. */
export async function namesOfPack(db: Database, depotId: string | null): Promise<RowOf<typeof nameRows>> {
  const [names] = await db.rows(nameRows, [depotId]);
  if (!names) throw new Error("a pack is asked for by somebody of a firm");
  return names;
}

const placeRows = statement(
  { machine: z.string().nullable(), depot: z.string().nullable() },
  `SELECT (SELECT registration_mark FROM machine WHERE id = $1::text::uuid) AS machine, (SELECT name FROM depot WHERE id = $2::text::uuid) AS depot`,
);

/** What a machine and a depot are called now; null for none. */
export const placesCalled = async (db: Database, machineId: string | null, depotId: string | null): Promise<RowOf<typeof placeRows>> =>
  (await db.rows(placeRows, [machineId, depotId]))[0] ?? { machine: null, depot: null };
