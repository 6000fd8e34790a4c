// The checkpoints that are printed on reports, and looked up again by whoever compares a printed hash.
import { z } from "zod";
import type { Checkpoint } from "../../shared/contracts/records.ts";
import { type Database, statement } from "../platform/index.ts";
import { readCheckpoint } from "./store.ts";

/** The checkpoint of this number; null where there is none. */
export const checkpointNumbered = (db: Database, number: number): Promise<Checkpoint | null> => readCheckpoint(db.rows, number);

const lastByRows = statement(
  { number: z.int().nullable() },
  "SELECT max(number) AS number FROM checkpoint WHERE taken_at <= $1::text::timestamptz",
);

/** The newest checkpoint that had been taken by a moment; null where there was none. */
export async function lastCheckpointBy(db: Database, moment: Date): Promise<Checkpoint | null> {
  const [row] = await db.rows(lastByRows, [moment.toISOString()]);
  return row?.number == null ? null : checkpointNumbered(db, row.number);
}
