// The SQL of what corrects a record.
import { z } from "zod";
import { recordCorrectedSchema } from "../../shared/records/index.ts";
import { type Database, type RowOf, statement } from "../platform/index.ts";

const correctionRows = statement(
  { id: z.guid(), staffId: z.guid(), recordedAt: z.date(), submitted: recordCorrectedSchema.shape.submitted, was: z.unknown() },
  `SELECT id, staff_id AS "staffId", recorded_at AS "recordedAt", submitted, was
     FROM entry_correction WHERE corrects = $1::text ORDER BY recorded_at, position`,
);
export type CorrectionRow = RowOf<typeof correctionRows>;

/** What corrects a record, oldest first. */
export const correctionsOf = (db: Database, id: string): Promise<CorrectionRow[]> => db.rows(correctionRows, [id]);
