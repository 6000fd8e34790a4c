// The SQL of stays at other workshops. They have no table of their own: there are few, each is its entries. A machine is away once at a time, so
// the return is the first one that follows in its chain.
import { z } from "zod";
import type { Moment } from "../acts/index.ts";
import { type Database, type RowOf, statement } from "../platform/index.ts";

const instantInJson = z.iso.datetime({ offset: true });
const workRows = statement(
  {
    ...{ id: z.guid(), kind: z.enum(["machine-sent-out"]), version: z.int(), data: z.unknown() },
    ...{ machineId: z.guid(), registrationMark: z.string(), depotId: z.guid(), staffId: z.guid() },
    ...{ performedAt: z.date(), recordedAt: z.date(), timeZone: z.string() },
    /** where the machine is now */
    depotIdNow: z.guid(),
    back: z
      .strictObject({
        ...{ id: z.guid(), kind: z.enum(["machine-taken-back"]), version: z.int(), data: z.unknown(), staffId: z.guid() },
        ...{ performedAt: instantInJson, recordedAt: instantInJson },
      })
      .nullable(),
  },
  `SELECT l.id, l.kind, l.version, l.data, l.machine_id AS "machineId", m.registration_mark AS "registrationMark", l.depot_id AS "depotId",
     l.staff_id AS "staffId", l.performed_at AS "performedAt", l.recorded_at AS "recordedAt", d.time_zone AS "timeZone", m.depot_id AS "depotIdNow",
     (SELECT jsonb_build_object('id', b.id, 'kind', b.kind, 'version', b.version, 'data', b.data, 'staffId', b.staff_id,
          'performedAt', b.performed_at, 'recordedAt', b.recorded_at)
        FROM ledger b WHERE b.chain_id = l.chain_id AND b.position > l.position AND b.kind = 'machine-taken-back'
        ORDER BY b.position LIMIT 1) AS back
   FROM ledger l JOIN machine m ON m.id = l.machine_id JOIN depot d ON d.id = m.depot_id
   WHERE l.id = $1::text::uuid AND l.kind = 'machine-sent-out'`,
);
export type OutsideWorkRow = RowOf<typeof workRows>;

const stayRows = statement(
  {
    ...{ id: z.guid(), kind: z.enum(["machine-sent-out", "machine-taken-back"]), version: z.int(), data: z.unknown() },
    ...{ performedAt: z.date(), staffId: z.guid() },
  },
  `SELECT l.id, l.kind, l.version, l.data, l.performed_at AS "performedAt", l.staff_id AS "staffId"
   FROM ledger l WHERE l.chain_id = $1::text::uuid AND l.kind IN ('machine-sent-out', 'machine-taken-back')
     AND ($2::text IS NULL OR l.recorded_at <= $2::text::timestamptz) ORDER BY l.position`,
);

/** The departures of a machine to other workshops and its returns, as had arrived by the moment, in order. */
export const readStays = (db: Database, machineId: string, at: Moment): Promise<RowOf<typeof stayRows>[]> =>
  db.rows(stayRows, [machineId, at?.toISOString() ?? null]);

/** A stay at another workshop by the id of its record; null for an unknown one. */
export const findOutsideWork = async (db: Database, id: string): Promise<OutsideWorkRow | null> =>
  (await db.rows(workRows, [id]))[0] ?? null;
