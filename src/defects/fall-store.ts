// The SQL of falls. They have no table of their own: there are few, each is its entry, and what asks about one knows its id or its machine.
import { z } from "zod";
import type { Moment } from "../acts/index.ts";
import { type Database, type RowOf, statement } from "../platform/index.ts";

const fallColumns = {
  ...{ id: z.guid(), kind: z.enum(["machine-fell"]), version: z.int(), data: z.unknown() },
  ...{ machineId: z.guid(), registrationMark: z.string(), depotId: z.guid(), staffId: z.guid() },
  ...{ performedAt: z.date(), recordedAt: z.date() },
  /** where the machine is now */
  depotIdNow: z.guid(),
  /** the first inspection that was recorded after the fall and not made before it, by whole seconds */
  inspection: z.strictObject({ id: z.guid(), staffId: z.guid(), performedAt: z.string() }).nullable(),
};
/** `arrived`: a condition for what counts of the records after the fall. */
const fallSql = (
  arrived: string,
): string => `SELECT l.id, l.kind, l.version, l.data, l.machine_id AS "machineId", m.registration_mark AS "registrationMark", l.depot_id AS "depotId",
     l.staff_id AS "staffId", l.performed_at AS "performedAt", l.recorded_at AS "recordedAt", m.depot_id AS "depotIdNow",
     (SELECT jsonb_build_object('id', w.id, 'staffId', w.staff_id, 'performedAt', w.performed_at)
        FROM weekly_inspection w JOIN ledger i ON i.id = w.id
        WHERE w.machine_id = l.machine_id AND i.position > l.position
          AND date_trunc('second', w.performed_at) >= date_trunc('second', l.performed_at) AND ${arrived}
        ORDER BY i.position LIMIT 1) AS inspection
   FROM ledger l JOIN machine m ON m.id = l.machine_id`;

const fallRows = statement(fallColumns, `${fallSql("true")} WHERE l.id = $1::text::uuid AND l.kind = 'machine-fell'`);
const fallsOfMachineRows = statement(
  fallColumns,
  `${fallSql("($2::text IS NULL OR i.recorded_at <= $2::text::timestamptz)")}
   WHERE l.chain_id = $1::text::uuid AND l.kind = 'machine-fell' AND ($2::text IS NULL OR l.recorded_at <= $2::text::timestamptz)
   ORDER BY l.performed_at, l.position`,
);
export type FallRow = RowOf<typeof fallRows>;

/** A fall by the id of its record; null for an unknown one. */
export const findFall = async (db: Database, id: string): Promise<FallRow | null> => (await db.rows(fallRows, [id]))[0] ?? null;

/** The falls of a machine that had arrived by the moment, in the order of time. */
export const readFallsOf = (db: Database, machineId: string, at: Moment): Promise<FallRow[]> =>
  db.rows(fallsOfMachineRows, [machineId, at?.toISOString() ?? null]);
