// The SQL of tyre pressures: what was read and when a tyre was pumped up or put right.
import { z } from "zod";
import { unitSchema } from "../../shared/contracts/quantities.ts";
import { asInstant, type Database, instantText, statement } from "../platform/index.ts";
import { type PressureReading, type TyreEnd, tyreEnds, withRepairs } from "./leak.ts";
import { askedIds, byMachine } from "./store.ts";

const endSchema = z.enum(tyreEnds);

// A tyre that is set for a load has another pressure: a rider's reading of it cannot be compared with the others, so it is left out.
const pressureRows = statement(
  {
    machineId: z.guid(),
    end: endSchema,
    at: instantText,
    by: z.enum(["bench", "rider"]),
    asFound: z.number(),
    asLeft: z.number().nullable(),
    unit: unitSchema,
    celsius: z.number().nullable(),
    renewed: z.boolean(),
    setOnly: z.boolean(),
  },
  `
SELECT * FROM (
  SELECT i.machine_id AS "machineId", split_part(v.quantity, '-', 1) AS end, ${asInstant("i.performed_at")} AS at, 'bench' AS by,
    v.as_found AS "asFound", v.as_left AS "asLeft", v.unit, a.celsius,
    EXISTS (SELECT 1 FROM entry_answer r
      WHERE r.id = i.id AND r.item_id LIKE split_part(v.quantity, '-', 1) || '-tyre-%' AND r.actions @> '["replaced"]') AS renewed, false AS "setOnly"
  FROM weekly_inspection i JOIN entry_verdict v ON v.id = i.id JOIN entry_answer a ON a.id = i.id AND a.item_id = v.item_id
  WHERE i.machine_id IN ${askedIds} AND i.performed_at >= $2::text::timestamptz
    AND v.quantity IN ('front-tyre-pressure', 'rear-tyre-pressure')
  UNION ALL
  SELECT c.machine_id, split_part(p.quantity, '-', 1), ${asInstant("c.performed_at")}, 'rider', p.as_found, NULL, p.unit, NULL, false, false
  FROM daily_check c JOIN entry_proof p ON p.id = c.id
  WHERE c.machine_id IN ${askedIds} AND c.performed_at >= $2::text::timestamptz
    AND p.quantity IN ('front-tyre-pressure', 'rear-tyre-pressure') AND coalesce(p.load, 'solo') = 'solo'
  UNION ALL
  SELECT c.machine_id, split_part(p.quantity, '-', 1), ${asInstant("c.performed_at")}, 'rider', p.as_left, p.as_left, p.unit, NULL, false, true
  FROM daily_check c JOIN entry_put_right p ON p.id = c.id
  WHERE c.machine_id IN ${askedIds} AND c.performed_at >= $2::text::timestamptz
    AND p.quantity IN ('front-tyre-pressure', 'rear-tyre-pressure') AND p.load = 'solo') readings
ORDER BY at`,
);
export type PressureRow = PressureReading & { readonly end: TyreEnd };

const pressureRepairRows = statement(
  { machineId: z.guid(), end: endSchema, at: instantText, parts: z.int(), value: z.number().nullable(), unit: unitSchema.nullable() },
  `
SELECT d.machine_id AS "machineId", split_part(d.quantity, '-', 1) AS end, ${asInstant("e.performed_at")} AS at,
  jsonb_array_length(coalesce(r.parts, '[]')) AS parts, r.reading AS value, r.unit
FROM defect d JOIN defect_event e ON e.defect_id = d.id AND e.kind = 'repair' JOIN entry_repair r ON r.id = e.id
WHERE d.machine_id IN ${askedIds} AND e.performed_at >= $2::text::timestamptz
  AND d.quantity IN ('front-tyre-pressure', 'rear-tyre-pressure')
ORDER BY e.performed_at`,
);

/** An older loss may have been put right since. */
const TREND_DAYS = 84;

/**
 * Tyre pressures of the last twelve weeks by machine, in the order of time: the bench's at each inspection, and the rider's from daily checks
 * that asked for one.
 */
export async function readPressures(db: Database, machineIds: readonly string[], now: Date): Promise<Map<string, PressureRow[]>> {
  const params = [JSON.stringify(machineIds), new Date(now.getTime() - TREND_DAYS * 86_400_000).toISOString()];
  const [readings, repairs] = await Promise.all([db.rows(pressureRows, params), db.rows(pressureRepairRows, params)]);
  const of = { readings: byMachine(readings), repairs: byMachine(repairs) };
  return new Map(
    machineIds.map((id) => [
      id,
      endSchema.options.flatMap((end) =>
        withRepairs(
          (of.readings.get(id) ?? []).filter((reading) => reading.end === end),
          (of.repairs.get(id) ?? []).filter((repair) => repair.end === end),
        ).map((reading) => ({ ...reading, end })),
      ),
    ]),
  );
}
