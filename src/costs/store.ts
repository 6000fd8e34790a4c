// The SQL of costs: which machines, how far they were ridden, and what was renewed without a name. What was done is read by the room of parts.
import { z } from "zod";
import { among, asInstant, type Database, idsIn, instantText, type RowOf, statement } from "../platform/index.ts";

const depotRows = statement(
  { id: z.guid(), timeZone: z.string() },
  `SELECT id, time_zone AS "timeZone" FROM depot WHERE ${among("id", "$1")} ORDER BY name`,
);

export const readDepots = (db: Database, ids: readonly string[] | null): Promise<RowOf<typeof depotRows>[]> =>
  db.rows(depotRows, [ids && JSON.stringify(ids)]);

const machineRows = statement(
  {
    ...{ id: z.guid(), registrationMark: z.string(), modelId: z.guid(), modelName: z.string(), depotId: z.guid() },
    ...{ inServiceFrom: z.iso.date(), timeZone: z.string() },
  },
  `SELECT m.id, m.registration_mark AS "registrationMark", m.model_id AS "modelId", o.name AS "modelName", m.depot_id AS "depotId",
     m.in_service_from::text AS "inServiceFrom", d.time_zone AS "timeZone"
   FROM machine m JOIN machine_model o ON o.id = m.model_id JOIN depot d ON d.id = m.depot_id WHERE m.id IN ${idsIn("$1")}
   ORDER BY m.registration_mark, m.id`,
);
export type MachineRow = RowOf<typeof machineRows>;

/** These machines by mark. */
export const readMachines = (db: Database, ids: readonly string[]): Promise<MachineRow[]> => db.rows(machineRows, [JSON.stringify(ids)]);

const odd = "ARRAY['odometer-backwards', 'odometer-jump', 'odometer-not-read']";
const readingRows = statement(
  { machineId: z.guid(), at: instantText, odometerKm: z.int() },
  `SELECT machine_id AS "machineId", ${asInstant("performed_at")} AS at, odometer_km AS "odometerKm" FROM daily_check
     WHERE machine_id IN ${idsIn("$1")} AND NOT flags && ${odd} AND performed_at >= $2::text::timestamptz AND performed_at < $3::text::timestamptz
   UNION ALL
   SELECT machine_id, ${asInstant("performed_at")}, odometer_km FROM weekly_inspection
     WHERE machine_id IN ${idsIn("$1")} AND NOT flags && ${odd} AND performed_at >= $2::text::timestamptz AND performed_at < $3::text::timestamptz`,
);

/** What the odometers of these machines showed at checks and inspections, slips left out. */
export const readOdometers = (db: Database, machineIds: readonly string[], from: Date, to: Date): Promise<RowOf<typeof readingRows>[]> =>
  db.rows(readingRows, [JSON.stringify(machineIds), from.toISOString(), to.toISOString()]);

const renewedRows = statement(
  { machineId: z.guid(), count: z.int() },
  `SELECT i.machine_id AS "machineId", count(*)::int AS count FROM weekly_inspection i JOIN entry_answer a ON a.id = i.id
   WHERE i.machine_id IN ${idsIn("$1")} AND i.performed_at >= $2::text::timestamptz AND i.performed_at < $3::text::timestamptz
     AND ($4::text IS NULL OR i.depot_id IN ${idsIn("$4")}) AND a.actions @> '["replaced"]' GROUP BY i.machine_id`,
);

/** How often something was renewed at an inspection of these machines, whose record names no part. */
export async function readRenewed(
  db: Database,
  machineIds: readonly string[],
  { from, to, depotIds }: { readonly from: Date; readonly to: Date; readonly depotIds: readonly string[] | null },
): Promise<ReadonlyMap<string, number>> {
  const parameters = [JSON.stringify(machineIds), from.toISOString(), to.toISOString(), depotIds && JSON.stringify(depotIds)];
  return new Map((await db.rows(renewedRows, parameters)).map(({ machineId, count }) => [machineId, count]));
}
