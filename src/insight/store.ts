// The SQL of this room, with part-store.ts. It joins tables of other rooms and counts in the database, so that of a large fleet's checks only
// the counts are sent.
import { z } from "zod";
import { categorySchema } from "../../shared/contracts/common.ts";
import { featuresSchema } from "../../shared/contracts/machine-model.ts";
import { type Quantity, quantitySchema, unitSchema } from "../../shared/contracts/quantities.ts";
import { numberIn, ofTheFleet, saysNumber } from "../acts/index.ts";
import { among, type Database, type DepotIds, type Period, type RowOf, statement } from "../platform/index.ts";

/** Ids of depots as a parameter of `inDepots`. */
export const listed = (ids: DepotIds): string | null => ids && JSON.stringify(ids);
export const inDepots = (column: string): string => among(column, "$1");
export const inPeriod = (column: string): string => `${column} BETWEEN $2::text::date AND $3::text::date`;

const depotRows = statement(
  {
    id: z.guid(),
    name: z.string(),
    timeZone: z.string(),
  },
  `SELECT id, name, time_zone AS "timeZone" FROM depot WHERE ${inDepots("id")} ORDER BY name`,
);
export type DepotRow = RowOf<typeof depotRows>;

export const readDepots = (db: Database, depotIds: DepotIds): Promise<DepotRow[]> => db.rows(depotRows, [listed(depotIds)]);

const modelRows = statement(
  {
    id: z.guid(),
    name: z.string(),
    features: featuresSchema,
  },
  "SELECT id, name, features FROM machine_model ORDER BY name",
);
export type ModelRow = RowOf<typeof modelRows>;

export const readModels = (db: Database): Promise<ModelRow[]> => db.rows(modelRows);

// How honest the checks are

/** What the sheets of a model ask, for counting. */
export interface SheetOfModel {
  readonly modelId: string;
  /** items of the daily sheet */
  readonly items: number;
  /** items, daily and weekly, at which a rider could have seen the defect on the daily check */
  readonly comparable: readonly string[];
}

const checkCountRows = statement(
  {
    staffId: z.guid(),
    depotId: z.guid(),
    modelId: z.guid(),
    checks: z.int(),
    nil: z.int(),
    tooFast: z.int(),
    tooFastPerItem: z.int(),
    underHalfMedian: z.int(),
    proofMissing: z.int(),
    proofImplausible: z.int(),
    /** of all checks of this model in the period, whoever made them */
    medianSeconds: z.number(),
  },
  `WITH checked AS (
       SELECT c.staff_id, c.depot_id, m.model_id, c.defect_count, c.flags,
         -- What nobody could read was neither fast nor slow.
         CASE WHEN NOT 'duration-unreadable' = ANY(c.flags) THEN c.duration_seconds END AS seconds
       FROM daily_check c JOIN machine m ON m.id = c.machine_id WHERE ${inDepots("c.depot_id")} AND ${inPeriod("c.local_day")}
     ), middle AS (
       SELECT model_id, percentile_cont(0.5) WITHIN GROUP (ORDER BY seconds) AS seconds FROM checked GROUP BY model_id
     )
     SELECT c.staff_id AS "staffId", c.depot_id AS "depotId", c.model_id AS "modelId", count(*)::int AS checks,
       count(*) FILTER (WHERE c.defect_count = 0)::int AS nil,
       count(*) FILTER (WHERE c.seconds < $5::text::float8)::int AS "tooFast",
       count(*) FILTER (WHERE c.seconds < $6::text::float8 * s.items)::int AS "tooFastPerItem",
       count(*) FILTER (WHERE c.seconds < middle.seconds / 2)::int AS "underHalfMedian",
       count(*) FILTER (WHERE 'proof-missing' = ANY(c.flags))::int AS "proofMissing",
       count(*) FILTER (WHERE 'proof-implausible' = ANY(c.flags))::int AS "proofImplausible",
       coalesce(min(middle.seconds), 0)::float8 AS "medianSeconds"
     FROM checked c JOIN middle USING (model_id)
       JOIN jsonb_to_recordset($4::text::jsonb) AS s("modelId" uuid, items int) ON s."modelId" = c.model_id
     GROUP BY 1, 2, 3 ORDER BY 1, 2, 3`,
);
/** Daily checks of one person on one model's machines at one depot. */
export type CheckCountRow = RowOf<typeof checkCountRows>;

export const countChecks = (
  db: Database,
  depotIds: DepotIds,
  { from, to }: Period,
  sheets: readonly SheetOfModel[],
  bars: { readonly tooFastSeconds: number; readonly tooFastSecondsPerItem: number },
): Promise<CheckCountRow[]> =>
  db.rows(checkCountRows, [
    listed(depotIds),
    from,
    to,
    JSON.stringify(sheets),
    String(bars.tooFastSeconds),
    String(bars.tooFastSecondsPerItem),
  ]);

const notApplicableRows = statement(
  {
    modelId: z.guid(),
    itemId: z.string(),
    machineIds: z.array(z.guid()),
    checks: z.int(),
  },
  `SELECT m.model_id AS "modelId", a.item_id AS "itemId", jsonb_agg(DISTINCT m.id ORDER BY m.id) AS "machineIds", count(*)::int AS checks
     FROM (SELECT id, machine_id, depot_id, local_day, flags FROM daily_check
       UNION ALL SELECT id, machine_id, depot_id, local_day, flags FROM weekly_inspection) c
       JOIN machine m ON m.id = c.machine_id JOIN entry_answer a ON a.id = c.id
     WHERE ${inDepots("c.depot_id")} AND ${inPeriod("c.local_day")} AND 'not-applicable-claimed' = ANY(c.flags) AND a.result = 'not-applicable'
     GROUP BY 1, 2 ORDER BY 1, 2`,
);
/** How often an item of a model was answered as not applicable. */
export type NotApplicableRow = RowOf<typeof notApplicableRows>;

export const countNotApplicable = (db: Database, depotIds: DepotIds, { from, to }: Period): Promise<NotApplicableRow[]> =>
  db.rows(notApplicableRows, [listed(depotIds), from, to]);

const followedRows = statement(
  {
    staffId: z.guid(),
    depotId: z.guid(),
    followed: z.int(),
    /** after how many of these the mechanic found something that the check could have shown */
    found: z.int(),
    defectIds: z.array(z.guid()).nullable(),
  },
  `WITH comparable AS (
       SELECT s."modelId" AS model_id, i.value AS item_id FROM jsonb_to_recordset($4::text::jsonb) AS s("modelId" uuid, comparable jsonb)
       CROSS JOIN jsonb_array_elements_text(s.comparable) i
     ), inspected AS (
       SELECT c.id, NULL::uuid AS defect_id FROM weekly_inspection w JOIN daily_check c ON c.machine_id = w.machine_id
         AND c.performed_at < w.performed_at AND c.performed_at >= w.performed_at - interval '24 hours' AND c.staff_id <> w.staff_id
       WHERE w.local_day BETWEEN $2::text::date AND $3::text::date + 2
         AND c.defect_count = 0 AND ${inDepots("c.depot_id")} AND ${inPeriod("c.local_day")}
     ), found AS (
       SELECT c.id, d.id AS defect_id FROM defect d JOIN machine m ON m.id = d.machine_id
         JOIN comparable k ON k.model_id = m.model_id AND k.item_id = d.item_id JOIN staff s ON s.id = d.reported_by
         JOIN daily_check c ON c.machine_id = d.machine_id
         AND c.performed_at < d.seen_at AND c.performed_at >= d.seen_at - interval '24 hours' AND c.staff_id <> d.reported_by
       WHERE d.seen_at >= $2::text::date - 2 AND d.seen_at < $3::text::date + 4
         AND (d.origin = 'weekly-inspection' OR s.role = 'mechanic' OR 'mechanic' = ANY (s.roles)) AND (d.status <> 'not-found'
           OR EXISTS (SELECT FROM weekly_inspection w WHERE w.machine_id = d.machine_id AND w.recorded_at = d.closed_at))
         AND c.defect_count = 0 AND ${inDepots("c.depot_id")} AND ${inPeriod("c.local_day")}
     ), looked AS (SELECT * FROM inspected UNION ALL SELECT * FROM found)
     SELECT c.staff_id AS "staffId", c.depot_id AS "depotId", count(DISTINCT c.id)::int AS followed,
       count(DISTINCT c.id) FILTER (WHERE looked.defect_id IS NOT NULL)::int AS found,
       jsonb_agg(DISTINCT looked.defect_id) FILTER (WHERE looked.defect_id IS NOT NULL) AS "defectIds"
     FROM looked JOIN daily_check c ON c.id = looked.id GROUP BY 1, 2 ORDER BY 1, 2`,
);
/** Nil-defect checks after which a mechanic looked at the machine within a day. */
export type FollowedRow = RowOf<typeof followedRows>;

/**
 * Counts the nil-defect checks after which a mechanic looked at the machine: an inspection by somebody else, or a defect found by a mechanic,
 * within 24 hours after the check. Only defects raised then count, not those known before, and only at items that were on the rider's sheet
 * too. A defect that was closed as no fault is not counted; a later inspection that finds the part in order changes nothing.
 */
export const countFollowed = (
  db: Database,
  depotIds: DepotIds,
  { from, to }: Period,
  sheets: readonly SheetOfModel[],
): Promise<FollowedRow[]> => db.rows(followedRows, [listed(depotIds), from, to, JSON.stringify(sheets)]);

const readingCountRows = statement(
  {
    staffId: z.guid(),
    quantity: quantitySchema,
    unit: unitSchema,
    value: z.number(),
    readings: z.int(),
  },
  `SELECT w.staff_id AS "staffId", v.quantity, v.unit, v.as_found AS value, count(*)::int AS readings
     FROM weekly_inspection w JOIN entry_verdict v ON v.id = w.id
     WHERE ${inDepots("w.depot_id")} AND ${inPeriod("w.local_day")}
       AND v.quantity IN (SELECT value FROM jsonb_array_elements_text($4::text::jsonb))
     GROUP BY 1, 2, 3, 4 ORDER BY 1, 2, 3, 4`,
);
/** How often a person read each value of a quantity. */
export type ReadingCountRow = RowOf<typeof readingCountRows>;

/** Readings as found only: a reading as left was adjusted by somebody, and was meant to be round. */
export const countReadings = (
  db: Database,
  depotIds: DepotIds,
  { from, to }: Period,
  quantities: readonly Quantity[],
): Promise<ReadingCountRow[]> => db.rows(readingCountRows, [listed(depotIds), from, to, JSON.stringify(quantities)]);

// Charts (rates: the room of the figures)

const dayOfChecksRows = statement(
  {
    day: z.iso.date(),
    checks: z.int(),
    withDefect: z.int(),
  },
  `SELECT local_day::text AS day, count(*)::int AS checks, count(*) FILTER (WHERE defect_count > 0)::int AS "withDefect"
     FROM daily_check WHERE ${inDepots("depot_id")} AND ${inPeriod("local_day")} GROUP BY 1 ORDER BY 1`,
);
export type DayOfChecksRow = RowOf<typeof dayOfChecksRows>;

export const countDays = (db: Database, depotIds: DepotIds, { from, to }: Period): Promise<DayOfChecksRow[]> =>
  db.rows(dayOfChecksRows, [listed(depotIds), from, to]);

// Life of parts (what was done to them: part-store.ts), and risk
const odometerRows = statement(
  {
    machineId: z.guid(),
    modelId: z.guid(),
    /** null: it was in the fleet before the period */
    enteredKm: z.int().nullable(),
    lastKm: z.int(),
    /** the record that says so */
    lastPosition: z.int(),
    sets: z.array(z.strictObject({ position: z.int(), fromKm: z.int(), toKm: z.int() })).nullable(),
  },
  `WITH turned AS (
       SELECT machine_id, jsonb_agg(jsonb_build_object('position', position, 'fromKm', from_km, 'toKm', to_km) ORDER BY position) AS sets
       FROM entry_machine WHERE kind = 'machine-amended' AND to_km IS NOT NULL GROUP BY 1
     )
     SELECT m.id AS "machineId", m.model_id AS "modelId", turned.sets,
       CASE WHEN (m.added_at AT TIME ZONE p.time_zone)::date >= $2::text::date THEN (
         SELECT ${numberIn("state", "odometerKm")} FROM machine_state_history WHERE machine_id = m.id ORDER BY position LIMIT 1) END AS "enteredKm",
       ${numberIn("last.state", "odometerKm")} AS "lastKm", last.position AS "lastPosition"
     FROM machine m JOIN depot p ON p.id = m.depot_id LEFT JOIN turned ON turned.machine_id = m.id
       CROSS JOIN LATERAL (SELECT state, position FROM machine_state_history
         WHERE machine_id = m.id AND recorded_at < ($3::text::date + 1)::timestamp AT TIME ZONE p.time_zone AND ${saysNumber("state", "odometerKm")}
         ORDER BY recorded_at DESC, position DESC LIMIT 1) last
     WHERE ${inDepots("m.depot_id")} ORDER BY m.id`,
);
/** A machine's odometer over time: at its first record in the period, where it was set by hand (oldest first), and at its end. */
export type OdometerRow = RowOf<typeof odometerRows>;

export const readOdometers = (db: Database, depotIds: DepotIds, { from, to }: Period): Promise<OdometerRow[]> =>
  db.rows(odometerRows, [listed(depotIds), from, to]);

const riskRows = statement(
  {
    machineId: z.guid(),
    registrationMark: z.string(),
    modelName: z.string(),
    depotId: z.guid(),
    depotName: z.string(),
    findings: z
      .array(z.strictObject({ n: z.int(), category: categorySchema, defects: z.int() }))
      .readonly()
      .nullable(),
    inspections: z
      .array(z.strictObject({ n: z.int(), inspections: z.int() }))
      .readonly()
      .nullable(),
  },
  `WITH year AS (SELECT * FROM jsonb_to_recordset($2::text::jsonb) AS y(n int, "from" date, "to" date)),
     found AS (
       SELECT machine_id, jsonb_agg(jsonb_build_object('n', n, 'category', category, 'defects', defects) ORDER BY n, category) AS findings
       FROM (SELECT d.machine_id, year.n, d.category, count(*)::int AS defects FROM defect d JOIN depot p ON p.id = d.depot_id
         JOIN year ON (d.seen_at AT TIME ZONE p.time_zone)::date BETWEEN year."from" AND year."to"
         -- A campaign's job was found by nobody here.
         WHERE d.origin <> 'campaign' GROUP BY 1, 2, 3) t GROUP BY 1
     ), inspected AS (
       SELECT machine_id, jsonb_agg(jsonb_build_object('n', n, 'inspections', inspections) ORDER BY n) AS inspections
       FROM (SELECT w.machine_id, year.n, count(*)::int AS inspections FROM weekly_inspection w
         JOIN year ON w.local_day BETWEEN year."from" AND year."to" GROUP BY 1, 2) t GROUP BY 1
     )
     SELECT m.id AS "machineId", m.registration_mark AS "registrationMark", o.name AS "modelName", m.depot_id AS "depotId",
       p.name AS "depotName", found.findings, inspected.inspections
     FROM machine m JOIN machine_model o ON o.id = m.model_id JOIN depot p ON p.id = m.depot_id
       LEFT JOIN found ON found.machine_id = m.id LEFT JOIN inspected ON inspected.machine_id = m.id
     WHERE ${inDepots("m.depot_id")} AND ${ofTheFleet("m.state")} ORDER BY m.registration_mark`,
);
/** What was found on a machine, and how often it was inspected, in each year that counts. */
export type RiskRow = RowOf<typeof riskRows>;

export const readFindings = (db: Database, depotIds: DepotIds, years: readonly Period[]): Promise<RiskRow[]> =>
  db.rows(riskRows, [listed(depotIds), JSON.stringify(years.map((year, n) => ({ n, ...year })))]);
