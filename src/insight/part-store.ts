// The half of the figures' SQL that is about parts: what was done to them, and what was measured before and after.
import { z } from "zod";
import { type Component, componentSchema } from "../../shared/contracts/insight.ts";
import { handbookSchema } from "../../shared/contracts/machine-model.ts";
import { numberIn, saysNumber } from "../acts/index.ts";
import type { WearingQuantity } from "../planning/index.ts";
import { type Database, type DepotIds, type Period, type RowOf, statement } from "../platform/index.ts";
import { inDepots, inPeriod, listed } from "./store.ts";

/** An item at which a part of this kind may be renewed. */
export interface WatchedItem {
  readonly component: Component;
  readonly itemId: string;
  /** what the part wears by */
  readonly quantity: WearingQuantity | null;
  /** this part's own item: what is renewed there is this part, unless the readings say otherwise */
  readonly own: boolean;
}

/** A part renewed. */
export interface RenewalRow {
  readonly machineId: string;
  readonly component: Component;
  /** in the machine's chain of records */
  readonly position: number;
  readonly odometerKm: number;
}

/** SQL: the readings of a quantity in inspections that `entry` selects; `value` says which column of the verdict is read. */
const readingIn = (entry: string, value: string): string => `
  SELECT i.performed_at AS at, ${value} AS value FROM weekly_inspection i JOIN entry_verdict v ON v.id = i.id
  WHERE i.machine_id = d.machine_id AND v.quantity = w.quantity AND i.performed_at ${entry}`;

const workRows = statement(
  {
    machineId: z.guid(),
    component: componentSchema,
    position: z.int(),
    odometerKm: z.int(),
    handbook: handbookSchema,
    /** the inspection says that it was replaced */
    told: z.boolean(),
    own: z.boolean(),
    parts: z.int(),
    observationIds: z.array(z.string()).nullable(),
    /** the last reading of what the part wears by before the repair, and the first after it */
    before: z.number().nullable(),
    after: z.number().nullable(),
  },
  `WITH watched AS (SELECT * FROM jsonb_to_recordset($4::text::jsonb) AS w("itemId" text, component text, quantity text, own boolean)),
     work AS (
       SELECT l.machine_id, l.position, w.component, true AS told, true AS own, 0 AS parts, NULL::text[] AS seen,
         NULL::float8 AS before, NULL::float8 AS after
       FROM weekly_inspection i JOIN entry_answer l ON l.id = i.id JOIN watched w ON w.own AND w."itemId" = l.item_id
       WHERE ${inPeriod("i.local_day")} AND l.actions @> '["replaced"]'
       UNION ALL
       SELECT l.machine_id, l.position, w.component, false, w.own, done.parts, d.observation_ids, earlier.value,
         coalesce(CASE WHEN d.quantity = w.quantity THEN coalesce(l.reading, closing.value) END, later.value)
       FROM defect d JOIN watched w ON w."itemId" = d.item_id JOIN defect_event e ON e.defect_id = d.id AND e.kind = 'repair'
         JOIN entry_repair l ON l.id = e.id JOIN depot p ON p.id = d.depot_id
         CROSS JOIN LATERAL (SELECT jsonb_array_length(coalesce(l.parts, '[]')) AS parts) done
         LEFT JOIN LATERAL (
           SELECT value FROM (${readingIn("<= e.performed_at", "coalesce(v.as_left, v.as_found)")}
             UNION ALL
             SELECT b.closed_at, (b.closing_reading->>'value')::float8 FROM defect b
             WHERE b.machine_id = d.machine_id AND b.quantity = w.quantity AND b.closed_at < e.performed_at AND b.closing_reading IS NOT NULL
           ) r ORDER BY at DESC LIMIT 1) earlier ON true
         LEFT JOIN LATERAL (
           SELECT (d.closing_reading->>'value')::float8 AS value WHERE NOT EXISTS (SELECT 1 FROM defect_event n
             WHERE n.defect_id = d.id AND n.kind = 'repair' AND n.performed_at > e.performed_at)) closing ON true
         LEFT JOIN LATERAL (
           SELECT value FROM (${readingIn("> e.performed_at", "v.as_found")}) r ORDER BY at LIMIT 1) later ON true
       WHERE (done.parts > 0 OR d.quantity = w.quantity)
         AND (l.performed_at AT TIME ZONE p.time_zone)::date BETWEEN $2::text::date AND $3::text::date
     )
     SELECT r.machine_id AS "machineId", r.component, r.position, ${numberIn("h.state", "odometerKm")} AS "odometerKm", o.handbook,
       r.told, r.own, r.parts, to_jsonb(r.seen) AS "observationIds", r.before, r.after
     FROM work r JOIN machine m ON m.id = r.machine_id AND ${inDepots("m.depot_id")} JOIN machine_model o ON o.id = m.model_id
       CROSS JOIN LATERAL (SELECT state FROM machine_state_history WHERE machine_id = r.machine_id AND position >= r.position AND ${saysNumber("state", "odometerKm")}
         ORDER BY position LIMIT 1) h
     ORDER BY r.machine_id, r.position, r.component`,
);
/** Work that may have renewed a part: an inspection that says so, or a repair at one of its items. */
export type WorkRow = RowOf<typeof workRows>;

/**
 * Work at these items in the period. The odometer is the one in the machine's state at that time, from which slips are already removed. The
 * first reading after a repair is its own; or that of the sign-off, if it was the last repair of its defect; or that of the next inspection.
 */
export const readWork = (db: Database, depotIds: DepotIds, { from, to }: Period, items: readonly WatchedItem[]): Promise<WorkRow[]> =>
  db.rows(workRows, [listed(depotIds), from, to, JSON.stringify(items)]);
