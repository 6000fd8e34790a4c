// The SQL of a machine's comings and goings: what its own entries say of the odometer, and when it was in the fleet.
import { z } from "zod";
import type { Moment } from "../acts/index.ts";
import { type Database, idsIn, type RowOf, statement } from "../platform/index.ts";

const machineEntryRows = statement(
  {
    machineId: z.guid(),
    kind: z.enum([
      ...(["machine-added", "machine-amended", "machine-withdrawn", "machine-returned", "machine-disposed", "machine-reinstated"] as const),
    ]),
    /** when it was recorded */
    at: z.date(),
    /** as it entered the fleet */
    odometerKm: z.int().nullable(),
    /** before and after an amendment of the odometer */
    ...{ fromKm: z.int().nullable(), toKm: z.int().nullable() },
  },
  `SELECT chain_id AS "machineId", kind, recorded_at AS at, odometer_km AS "odometerKm", from_km AS "fromKm", to_km AS "toKm"
     FROM entry_machine
     WHERE chain_id IN ${idsIn("$1")}
       AND ($2::text IS NULL OR recorded_at <= $2::text::timestamptz)
     ORDER BY chain_id, position`,
);
/** An entry about a machine itself: that it entered the fleet, was amended, withdrawn, sold or scrapped, or came back. */
export type MachineEntry = RowOf<typeof machineEntryRows>;

/** All such entries of these machines up to a moment (now without one), machine by machine, in the order of their chains. */
export const readMachineEntries = (db: Database, machineIds: readonly string[], at: Moment): Promise<MachineEntry[]> =>
  db.rows(machineEntryRows, [JSON.stringify(machineIds), at?.toISOString() ?? null]);
