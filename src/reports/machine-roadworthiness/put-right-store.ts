// What riders put right on the spot at the daily checks of a machine.
import { z } from "zod";
import { itemVerdictSchema } from "../../../shared/records/index.ts";
import type { Moment } from "../../acts/index.ts";
import { type Database, type Period, type RowOf, statement } from "../../platform/index.ts";

const putRightRows = statement(
  {
    ...{ at: z.date(), staffId: z.guid(), itemId: z.string(), observationIds: z.array(z.string()).readonly(), note: z.string().nullable() },
    verdict: itemVerdictSchema.nullable(),
  },
  `SELECT c.performed_at AS at, c.staff_id AS "staffId", p.item_id AS "itemId", p.observation_ids AS "observationIds", p.note, p.verdict
     FROM daily_check c JOIN entry_put_right p ON p.id = c.id
     WHERE c.machine_id = $2::text::uuid AND c.local_day BETWEEN $3::text::date AND $4::text::date AND p.is_right
       AND ($1::text IS NULL OR c.recorded_at <= $1::text::timestamptz)
     ORDER BY c.performed_at, c.id, p.place`,
);
export type PutRightRow = RowOf<typeof putRightRows>;

/** Those of the period that had arrived by the moment, in the order of time. */
export const readPutRight = (db: Database, machineId: string, { from, to }: Period, at: Moment): Promise<PutRightRow[]> =>
  db.rows(putRightRows, [at?.toISOString() ?? null, machineId, from, to]);
