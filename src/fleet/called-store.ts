// What the ids in records are called.
import { z } from "zod";
import type { Called } from "../ledger/index.ts";
import { among, type Database, statement } from "../platform/index.ts";

const wanted = among("id", "$1");
const calledRows = statement(
  { id: z.guid(), name: z.string() },
  `SELECT id, name FROM depot WHERE ${wanted} UNION ALL SELECT id, name FROM machine_model WHERE ${wanted}
   UNION ALL SELECT id, registration_mark FROM machine WHERE ${wanted} UNION ALL SELECT id, staff_number FROM staff WHERE ${wanted}`,
);

/**
 * Returns the function that names the ids in records: depots and models by name, machines by mark, people by staff number; any other text
 * stays as it is. `ids`: those that are met; null for all there are.
 */
export async function calledIn(db: Database, ids: readonly string[] | null): Promise<Called> {
  const rows = ids?.length === 0 ? [] : await db.rows(calledRows, [ids && JSON.stringify(ids)]);
  const names = new Map(rows.map(({ id, name }) => [id, name]));
  return (id) => names.get(id) ?? id;
}
