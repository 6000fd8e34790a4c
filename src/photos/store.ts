// The SQL of this room. It joins tables of other rooms and writes only its own.
import { z } from "zod";
import { photoTypeSchema } from "../../shared/contracts/photos.ts";
import type { Moment } from "../acts/index.ts";
import { command, type Database, idsIn, type RowOf, statement } from "../platform/index.ts";
import type { HangsOn } from "./rules.ts";

const photoColumns = {
  ...{ id: z.guid(), sha256: z.string(), sentSha256: z.string(), type: photoTypeSchema, widthPx: z.int(), heightPx: z.int() },
  ...{ bytes: z.int(), addedBy: z.guid(), addedAt: z.date() },
};
const columns = `p.id, encode(p.sha256, 'hex') AS sha256, encode(p.sent_sha256, 'hex') AS "sentSha256", p.type, p.width_px AS "widthPx",
  p.height_px AS "heightPx", p.bytes, p.added_by AS "addedBy", p.added_at AS "addedAt"`;
const photoRows = statement(photoColumns, `SELECT ${columns} FROM photo p WHERE p.id = $1::text::uuid`);
/** A photo as it is known; hashes in hex. */
export type PhotoRow = RowOf<typeof photoRows>;

/** A photo by its id; null for none. */
export const findPhoto = async (db: Database, id: string): Promise<PhotoRow | null> => (await db.rows(photoRows, [id]))[0] ?? null;

const anyPhotoRows = statement({ there: z.boolean() }, "SELECT EXISTS (SELECT 1 FROM photo) AS there");

/** Whether any photo is known. */
export const knowsPhotos = async (db: Database): Promise<boolean> => (await db.rows(anyPhotoRows))[0]?.there ?? false;

const folderRows = statement({ id: z.guid() }, "SELECT id FROM data_folder ORDER BY added_at DESC, id");

/** The ids of the data folders that are known, newest first. */
export const readFolders = async (db: Database): Promise<string[]> => (await db.rows(folderRows)).map((row) => row.id);

const insertsFolder = command(
  "INSERT INTO data_folder (id, added_at) VALUES ($1::text::uuid, $2::text::timestamptz) ON CONFLICT DO NOTHING",
);

/** Stores a folder's id; does nothing if it is there already. */
export const insertFolder = (db: Database, id: string, addedAt: Date): Promise<unknown> =>
  db.rows(insertsFolder, [id, addedAt.toISOString()]);

const photosOfRows = statement(
  photoColumns,
  `SELECT ${columns} FROM photo p WHERE p.added_by = $1::text::uuid
     AND p.id IN ${idsIn("$2")}`,
);

/** Those of the ids that this person has sent. */
export const findPhotosOf = (db: Database, staffId: string, ids: readonly string[]): Promise<PhotoRow[]> =>
  db.rows(photosOfRows, [staffId, JSON.stringify(ids)]);

const entryRows = statement({ id: z.guid() }, "SELECT id FROM ledger WHERE id = $1::text::uuid");

/** Whether the id stands for an entry of the ledger. */
export const isEntry = async (db: Database, id: string): Promise<boolean> => (await db.rows(entryRows, [id])).length > 0;

const insertedRows = statement(
  { id: z.guid() },
  `INSERT INTO photo (id, sha256, sent_sha256, type, width_px, height_px, bytes, added_by, added_at)
     VALUES ($1::text::uuid, decode($2::text, 'hex'), decode($3::text, 'hex'), $4::text, $5::int, $6::int, $7::int, $8::text::uuid, $9::text::timestamptz)
     ON CONFLICT (id) DO NOTHING RETURNING id`,
);

/** Writes the row of a photo. False: its id is taken, and nothing was written. */
export async function insertPhoto(db: Database, photo: PhotoRow): Promise<boolean> {
  const { id, sha256, sentSha256, type, widthPx, heightPx, bytes, addedBy, addedAt } = photo;
  const parameters = [id, sha256, sentSha256, type, widthPx, heightPx, bytes, addedBy, addedAt.toISOString()];
  return (await db.rows(insertedRows, parameters)).length > 0;
}

// A photo belongs to a record only if the same person sent both: so nobody sees a photo, or adds it to somebody's record, just by naming its id.
const useOfIts = "u.photo_id = p.id AND u.staff_id = p.added_by";

// An entry that names the photo and does not carry its hash.
const lacksIt = `p JOIN photo_use u ON ${useOfIts} JOIN entry_photos l ON l.id = u.entry_id
  WHERE NOT coalesce(l.photos @> jsonb_build_array(jsonb_build_object('id', p.id)), l.forgotten)`;

const lackingRows = statement(
  { machineId: z.guid() },
  `SELECT DISTINCT u.machine_id AS "machineId" FROM photo ${lacksIt} AND p.id = $1::text::uuid`,
);

/** Machines with an entry that names the photo and does not carry its hash. */
export const machinesLackingPhoto = async (db: Database, id: string): Promise<string[]> =>
  (await db.rows(lackingRows, [id])).map(({ machineId }) => machineId);

const notHungRows = statement(
  { ...photoColumns, machineId: z.guid() },
  `SELECT DISTINCT ON (p.id, u.machine_id) ${columns}, u.machine_id AS "machineId" FROM photo ${lacksIt}
       AND NOT EXISTS (SELECT FROM entry_photo_added h WHERE h.chain_id = u.machine_id AND h.photo_id = p.id)
     ORDER BY p.id, u.machine_id`,
);

/** Photos that a record names although neither its entry nor a later entry of the machine carries them, each with the machine. */
export const photosNotHung = (db: Database): Promise<RowOf<typeof notHungRows>[]> => db.rows(notHungRows);

const hangsOnRows = statement(
  { kind: z.enum(["defect", "daily-check", "weekly-inspection", "fall", "outside-work", "paper"]), depotId: z.guid(), staffId: z.guid() },
  `SELECT 'defect' AS kind, d.depot_id AS "depotId", u.staff_id AS "staffId"
       FROM photo p JOIN photo_use u ON ${useOfIts} JOIN defect d ON d.id = u.defect_id WHERE p.id = $1::text::uuid
     UNION SELECT 'daily-check', c.depot_id, c.staff_id
       FROM photo p JOIN photo_use u ON ${useOfIts} JOIN daily_check c ON c.id = u.entry_id WHERE p.id = $1::text::uuid
     UNION SELECT 'weekly-inspection', w.depot_id, w.staff_id
       FROM photo p JOIN photo_use u ON ${useOfIts} JOIN weekly_inspection w ON w.id = u.entry_id WHERE p.id = $1::text::uuid
     UNION SELECT CASE l.kind WHEN 'machine-fell' THEN 'fall' WHEN 'paper-added' THEN 'paper' ELSE 'outside-work' END, seen.depot_id, l.staff_id
       FROM photo p JOIN photo_use u ON ${useOfIts}
         JOIN ledger l ON l.id = u.entry_id AND l.kind IN ('machine-fell', 'machine-taken-back', 'paper-added')
         JOIN machine m ON m.id = l.machine_id CROSS JOIN LATERAL (VALUES (l.depot_id), (m.depot_id)) seen (depot_id)
       WHERE p.id = $1::text::uuid`,
);

/** The records that a photo hangs on. */
export const recordsWithPhoto = (db: Database, id: string): Promise<HangsOn[]> => db.rows(hangsOnRows, [id]);

// What it is about is a defect, of which several records may name photos, or the entry of a fall. An id means one thing in the whole service.
const namedByThen = `(u.defect_id = $1::text::uuid OR u.entry_id = $1::text::uuid)
  AND ($2::text IS NULL OR EXISTS (SELECT FROM ledger l WHERE l.id = u.entry_id AND l.recorded_at <= $2::text::timestamptz))`;
const thereByThen = "($2::text IS NULL OR p.added_at <= $2::text::timestamptz)";

const namedRows = statement(
  photoColumns,
  `SELECT ${columns} FROM photo p
     WHERE ${thereByThen} AND EXISTS (SELECT FROM photo_use u WHERE ${useOfIts} AND ${namedByThen}) ORDER BY p.added_at, p.id`,
);

/** The photos of a defect or a fall that had arrived by the moment, in the order in which they did. */
export const findPhotosNamedBy = (db: Database, aboutId: string, at: Moment): Promise<PhotoRow[]> =>
  db.rows(namedRows, [aboutId, at?.toISOString() ?? null]);

const awaitedRows = statement(
  { photoId: z.guid() },
  `SELECT DISTINCT u.photo_id AS "photoId" FROM photo_use u
     WHERE ${namedByThen} AND NOT EXISTS (SELECT FROM photo p WHERE ${useOfIts} AND ${thereByThen}) ORDER BY 1`,
);

/** Ids that records of a defect, or of a fall, named by the moment and that had not arrived. */
export const awaitedBy = async (db: Database, aboutId: string, at: Moment): Promise<string[]> =>
  (await db.rows(awaitedRows, [aboutId, at?.toISOString() ?? null])).map(({ photoId }) => photoId);

const ofEntryRows = statement(
  { ...photoColumns, entryId: z.guid() },
  `SELECT ${columns}, u.entry_id AS "entryId" FROM photo p JOIN photo_use u ON ${useOfIts}
     WHERE u.entry_id IN ${idsIn("$1")} ORDER BY p.added_at, p.id`,
);

/** The photos of these entries that have arrived, in the order in which they did. */
export const photosOfEntries = (db: Database, entryIds: readonly string[]): Promise<RowOf<typeof ofEntryRows>[]> =>
  db.rows(ofEntryRows, [JSON.stringify(entryIds)]);

const awaitedOfEntryRows = statement(
  { photoId: z.guid(), entryId: z.guid() },
  `SELECT u.photo_id AS "photoId", u.entry_id AS "entryId" FROM photo_use u
     WHERE u.entry_id IN ${idsIn("$1")} AND NOT EXISTS (SELECT FROM photo p WHERE ${useOfIts}) ORDER BY 1`,
);

/** The photos that these entries name and that have not arrived. */
export const awaitedByEntries = (db: Database, entryIds: readonly string[]): Promise<RowOf<typeof awaitedOfEntryRows>[]> =>
  db.rows(awaitedOfEntryRows, [JSON.stringify(entryIds)]);

const forgottenHashRows = statement(
  { sha256: z.string() },
  `SELECT encode(p.sha256, 'hex') AS sha256 FROM photo p
       LEFT JOIN photo_use u ON ${useOfIts} LEFT JOIN ledger l ON l.id = u.entry_id
     WHERE $1::text IS NULL OR p.sha256 = decode($1::text, 'hex')
     GROUP BY p.sha256 HAVING bool_and(l.id IS NOT NULL AND l.data IS NULL) ORDER BY 1`,
);

/**
 * Hashes (hex) of photos all of whose records have been forgotten. The same bytes may belong to another photo: they stay as long as one of
 * them is named by a record that is not forgotten, or by no record yet.
 */
export const findForgottenHashes = async (db: Database, sha256?: string): Promise<string[]> =>
  (await db.rows(forgottenHashRows, [sha256 ?? null])).map((row) => row.sha256);
