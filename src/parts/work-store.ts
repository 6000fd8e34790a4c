// The SQL of repairs and returns from other workshops, with what was corrected in them.
import { z } from "zod";
import { among, type Database, type RowOf, statement } from "../platform/index.ts";

const correction = z.strictObject({
  ...{ id: z.guid(), corrects: z.guid(), pointer: z.string().optional(), reason: z.string() },
  right: z.union([z.string(), z.number(), z.boolean()]),
});
const columns = {
  ...{ id: z.guid(), kind: z.enum(["defect-repaired", "machine-taken-back"]), version: z.int(), data: z.unknown() },
  ...{ machineId: z.guid(), performedAt: z.date(), timeZone: z.string(), corrections: z.array(correction) },
};
const workSql = `
SELECT l.id, l.kind, l.version, l.data, l.machine_id AS "machineId", l.performed_at AS "performedAt", d.time_zone AS "timeZone",
  (SELECT coalesce(jsonb_agg(c.submitted ORDER BY c.position), '[]') FROM entry_correction c
    WHERE c.corrects = l.id::text AND c.submitted IS NOT NULL) AS corrections
FROM ledger l JOIN depot d ON d.id = l.depot_id
WHERE l.kind IN ('defect-repaired', 'machine-taken-back')`;
const workAtDepotsRows = statement(
  columns,
  `${workSql} AND ${among("l.depot_id", "$1")} AND l.performed_at >= $2::text::timestamptz AND l.performed_at < $3::text::timestamptz`,
);
const workOnMachineRows = statement(columns, `${workSql} AND l.chain_id = $1::text::uuid`);
export type WorkRow = RowOf<typeof workAtDepotsRows>;

/** What was done to machines while they were at these depots, from an instant until another. */
export const workAtDepots = (db: Database, depotIds: readonly string[] | null, from: Date, to: Date): Promise<WorkRow[]> =>
  db.rows(workAtDepotsRows, [depotIds && JSON.stringify(depotIds), from.toISOString(), to.toISOString()]);

/** What was ever done to a machine, wherever it was. */
export const workOnMachine = (db: Database, machineId: string): Promise<WorkRow[]> => db.rows(workOnMachineRows, [machineId]);
