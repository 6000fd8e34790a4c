// What was written of defects for which nobody named an item.
import { z } from "zod";
import { type Database, statement } from "../platform/index.ts";

const noteRows = statement(
  { id: z.guid(), note: z.string() },
  `SELECT id, note FROM defect
   WHERE id IN (SELECT value::uuid FROM jsonb_array_elements_text($1::text::jsonb)) AND item_id IS NULL AND note IS NOT NULL`,
);

/** The notes of these defects, by defect; those without one, or whose words were forgotten, are left out. */
export async function readNotes(db: Pick<Database, "rows">, defectIds: readonly string[]): Promise<Map<string, string>> {
  const rows = await db.rows(noteRows, [JSON.stringify(defectIds)]);
  return new Map(rows.map(({ id, note }) => [id, note]));
}
