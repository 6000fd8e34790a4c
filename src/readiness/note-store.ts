// What was written of defects for which nobody named an item, and the parts for which defects wait.
import { z } from "zod";
import { type Database, idsIn, statement } from "../platform/index.ts";

const noteRows = statement(
  { id: z.guid(), note: z.string() },
  `SELECT id, note FROM defect
   WHERE id IN ${idsIn("$1")} AND item_id IS NULL AND note IS NOT NULL`,
);

/** The notes of these defects, by defect; those without one, or whose words were forgotten, are left out. */
export async function readNotes(db: Pick<Database, "rows">, defectIds: readonly string[]): Promise<Map<string, string>> {
  if (defectIds.length === 0) return new Map();
  const rows = await db.rows(noteRows, [JSON.stringify(defectIds)]);
  return new Map(rows.map(({ id, note }) => [id, note]));
}

const partRows = statement(
  { defectId: z.guid(), part: z.string() },
  `SELECT e.defect_id AS "defectId", w.part FROM defect_event e JOIN entry_wait w ON w.id = e.id
   WHERE e.defect_id IN ${idsIn("$1")} AND e.kind = 'waiting' AND w.part IS NOT NULL`,
);

/** The parts for which these defects wait or waited, by defect; those that wait for none, or whose words were forgotten, are left out. */
export async function partsAwaited(db: Pick<Database, "rows">, defectIds: readonly string[]): Promise<Map<string, string>> {
  if (defectIds.length === 0) return new Map();
  const rows = await db.rows(partRows, [JSON.stringify(defectIds)]);
  return new Map(rows.map(({ defectId, part }) => [defectId, part]));
}
