// The only file of this room that speaks to the database. It reads tables of other rooms side by side; it writes its own alone.
import type { PhotoType } from "../../shared/contracts/photos.ts";
import type { Moment } from "../acts/index.ts";
import type { Database } from "../platform/index.ts";
import type { HangsOn } from "./rules.ts";

/** A photo as it is known; hashes in hex. */
export interface PhotoRow {
  readonly id: string;
  readonly sha256: string;
  readonly sentSha256: string;
  readonly type: PhotoType;
  readonly widthPx: number;
  readonly heightPx: number;
  readonly bytes: number;
  readonly addedBy: string;
  readonly addedAt: Date;
}

const columns = `p.id, encode(p.sha256, 'hex') AS sha256, encode(p.sent_sha256, 'hex') AS "sentSha256", p.type, p.width_px AS "widthPx",
  p.height_px AS "heightPx", p.bytes, p.added_by AS "addedBy", p.added_at AS "addedAt"`;

/** A photo by its id; null for none. */
export async function findPhoto(db: Database, id: string): Promise<PhotoRow | null> {
  const [row] = await db.rows<PhotoRow>(`SELECT ${columns} FROM photo p WHERE p.id = $1::text::uuid`, [id]);
  return row ?? null;
}

/** Whether any photo is known. */
export async function knowsPhotos(db: Database): Promise<boolean> {
  const [row] = await db.rows<{ there: boolean }>("SELECT EXISTS (SELECT 1 FROM photo) AS there");
  return row?.there ?? false;
}

/** The ids of the data folders that are known, newest first. */
export const readFolders = async (db: Database): Promise<string[]> =>
  (await db.rows<{ id: string }>("SELECT id FROM data_folder ORDER BY added_at DESC, id")).map((row) => row.id);

/** There already is fine. */
export const insertFolder = (db: Database, id: string, addedAt: Date): Promise<unknown> =>
  db.rows("INSERT INTO data_folder (id, added_at) VALUES ($1::text::uuid, $2::text::timestamptz) ON CONFLICT DO NOTHING", [
    id,
    addedAt.toISOString(),
  ]);

/** Those of the ids that this person has sent. */
export const findPhotosOf = (db: Database, staffId: string, ids: readonly string[]): Promise<PhotoRow[]> =>
  db.rows<PhotoRow>(
    `SELECT ${columns} FROM photo p WHERE p.added_by = $1::text::uuid
       AND p.id IN (SELECT value::uuid FROM jsonb_array_elements_text($2::text::jsonb))`,
    [staffId, JSON.stringify(ids)],
  );

/** Whether the id stands for an entry of the ledger. */
export async function isEntry(db: Database, id: string): Promise<boolean> {
  return (await db.rows("SELECT id FROM ledger WHERE id = $1::text::uuid", [id])).length > 0;
}

/** Writes what is known of a photo. False: its id is taken, and nothing was written. */
export async function insertPhoto(db: Database, photo: PhotoRow): Promise<boolean> {
  const { id, sha256, sentSha256, type, widthPx, heightPx, bytes, addedBy, addedAt } = photo;
  const written = await db.rows(
    `INSERT INTO photo (id, sha256, sent_sha256, type, width_px, height_px, bytes, added_by, added_at)
     VALUES ($1::text::uuid, decode($2::text, 'hex'), decode($3::text, 'hex'), $4::text, $5::int, $6::int, $7::int, $8::text::uuid, $9::text::timestamptz)
     ON CONFLICT (id) DO NOTHING RETURNING id`,
    [id, sha256, sentSha256, type, widthPx, heightPx, bytes, addedBy, addedAt.toISOString()],
  );
  return written.length > 0;
}

// A photo hangs on a record only if the same person sent both: nobody gets to see, or puts into another's record, by naming an id.
const useOfIts = "u.photo_id = p.id AND u.staff_id = p.added_by";

// An entry that names the photo and does not carry its hash.
const lacksIt = `p JOIN photo_use u ON ${useOfIts} JOIN entry_photos l ON l.id = u.entry_id
  WHERE NOT coalesce(l.photos @> jsonb_build_array(jsonb_build_object('id', p.id)), l.forgotten)`;

/** Machines with an entry that names the photo and does not carry its hash. */
export async function machinesLackingPhoto(db: Database, id: string): Promise<string[]> {
  const rows = await db.rows<{ machineId: string }>(
    `SELECT DISTINCT u.machine_id AS "machineId" FROM photo ${lacksIt} AND p.id = $1::text::uuid`,
    [id],
  );
  return rows.map(({ machineId }) => machineId);
}

/** Photos that a record names whose entry does not carry them, each with the machine, and no later entry of that machine does. */
export const photosNotHung = (db: Database): Promise<(PhotoRow & { readonly machineId: string })[]> =>
  db.rows(
    `SELECT DISTINCT ON (p.id, u.machine_id) ${columns}, u.machine_id AS "machineId" FROM photo ${lacksIt}
       AND NOT EXISTS (SELECT FROM entry_photo_added h WHERE h.chain_id = u.machine_id AND h.photo_id = p.id)
     ORDER BY p.id, u.machine_id`,
  );

/** The records that a photo hangs on. */
export const recordsWithPhoto = (db: Database, id: string): Promise<HangsOn[]> =>
  db.rows<HangsOn>(
    `SELECT 'defect' AS kind, d.depot_id AS "depotId", u.staff_id AS "staffId"
       FROM photo p JOIN photo_use u ON ${useOfIts} JOIN defect d ON d.id = u.defect_id WHERE p.id = $1::text::uuid
     UNION SELECT 'daily-check', c.depot_id, c.staff_id
       FROM photo p JOIN photo_use u ON ${useOfIts} JOIN daily_check c ON c.id = u.entry_id WHERE p.id = $1::text::uuid
     UNION SELECT 'weekly-inspection', w.depot_id, w.staff_id
       FROM photo p JOIN photo_use u ON ${useOfIts} JOIN weekly_inspection w ON w.id = u.entry_id WHERE p.id = $1::text::uuid`,
    [id],
  );

const namedByThen = `u.defect_id = $1::text::uuid
  AND ($2::text IS NULL OR EXISTS (SELECT FROM ledger l WHERE l.id = u.entry_id AND l.recorded_at <= $2::text::timestamptz))`;
const thereByThen = "($2::text IS NULL OR p.added_at <= $2::text::timestamptz)";

/** The photos of a defect that had arrived by the moment, in the order in which they did. */
export const findPhotosOfDefect = (db: Database, defectId: string, at: Moment): Promise<PhotoRow[]> =>
  db.rows<PhotoRow>(
    `SELECT ${columns} FROM photo p
     WHERE ${thereByThen} AND EXISTS (SELECT FROM photo_use u WHERE ${useOfIts} AND ${namedByThen}) ORDER BY p.added_at, p.id`,
    [defectId, at?.toISOString() ?? null],
  );

/** Ids that records of a defect named by the moment and that had not arrived. */
export async function awaitedOfDefect(db: Database, defectId: string, at: Moment): Promise<string[]> {
  const rows = await db.rows<{ photoId: string }>(
    `SELECT DISTINCT u.photo_id AS "photoId" FROM photo_use u
     WHERE ${namedByThen} AND NOT EXISTS (SELECT FROM photo p WHERE ${useOfIts} AND ${thereByThen}) ORDER BY 1`,
    [defectId, at?.toISOString() ?? null],
  );
  return rows.map(({ photoId }) => photoId);
}

/**
 * Hashes (hex) of photos that hung on records of which nothing is said any more. The same bytes may be another photo's: they are left
 * while one of them is named by a record that speaks, or by none yet.
 */
export async function findForgottenHashes(db: Database, sha256?: string): Promise<string[]> {
  const rows = await db.rows<{ sha256: string }>(
    `SELECT encode(p.sha256, 'hex') AS sha256 FROM photo p
       LEFT JOIN photo_use u ON ${useOfIts} LEFT JOIN ledger l ON l.id = u.entry_id
     WHERE $1::text IS NULL OR p.sha256 = decode($1::text, 'hex')
     GROUP BY p.sha256 HAVING bool_and(l.id IS NOT NULL AND l.data IS NULL) ORDER BY 1`,
    [sha256 ?? null],
  );
  return rows.map((row) => row.sha256);
}
