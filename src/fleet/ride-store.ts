// What a rider was given to ride, as the manager kept it.
import { z } from "zod";
import { ofTheFleet } from "../acts/index.ts";
import { among, asInstant, type Database, type DepotIds, instantText, type RowOf, statement } from "../platform/index.ts";

const rideRows = statement(
  {
    ...{ depotId: z.guid(), timeZone: z.string(), day: z.iso.date(), machineId: z.guid(), registrationMark: z.string() },
    keptAt: instantText,
  },
  `SELECT l.depot_id AS "depotId", d.time_zone AS "timeZone", l.day::text AS day, l.machine_id AS "machineId", m.registration_mark AS "registrationMark",
     ${asInstant("a.kept_at")} AS "keptAt"
   FROM allocation_line l JOIN allocation a ON a.depot_id = l.depot_id AND a.day = l.day
     JOIN depot d ON d.id = l.depot_id JOIN machine m ON m.id = l.machine_id
   WHERE ${ofTheFleet("m.state")} AND l.staff_id = $1::text::uuid AND l.day >= ($2::text::timestamptz AT TIME ZONE d.time_zone)::date
     AND ${among("l.depot_id", "$3")}
   ORDER BY l.day, m.registration_mark`,
);

/** What this person was given at these depots (null: at all), from each depot's today on, by day. */
export const ridesFrom = (db: Database, staffId: string, now: Date, depotIds: DepotIds): Promise<RowOf<typeof rideRows>[]> =>
  db.rows(rideRows, [staffId, now.toISOString(), depotIds === null ? null : JSON.stringify(depotIds)]);
