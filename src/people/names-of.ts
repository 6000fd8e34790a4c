import type { Database } from "../platform/index.ts";
import { readNames } from "./store.ts";

export interface NamedPerson {
  readonly name: string;
  readonly staffNumber: string;
}

/** Names and staff numbers by id, for papers and lists; people who left included. An id that nobody has is left out. */
export async function namesOf(db: Database, staffIds: Iterable<string>): Promise<Map<string, NamedPerson>> {
  const ids = [...new Set(staffIds)];
  const rows = ids.length === 0 ? [] : await readNames(db, ids);
  return new Map(rows.map(({ id, name, staffNumber }) => [id, { name, staffNumber }]));
}
