// The SQL of days and months. Everything comes by pages of machines or through one cursor at a time: nothing holds a whole month.
import { z } from "zod";
import { categorySchema } from "../../../shared/contracts/common.ts";
import { kindSchema } from "../../../shared/records/index.ts";
import { listIn, type Moment, ofTheFleet } from "../../acts/index.ts";
import { secretSetJoin } from "../../people/index.ts";
import { type Database, idsIn, type RowOf, statement } from "../../platform/index.ts";
import type { Span } from "./month-scope.ts";

const listed = (ids: readonly string[]): string => JSON.stringify(ids);
const instant = (parameter: string): string => `${parameter}::text::timestamptz`;

const plausibleKmRows = statement(
  { plausibleKmPerDay: z.int() },
  `SELECT (policy->>'plausibleKmPerDay')::int AS "plausibleKmPerDay" FROM firm`,
);

export const readPlausibleKm = async (db: Database): Promise<number> => (await db.rows(plausibleKmRows))[0]?.plausibleKmPerDay ?? 0;

const moveRows = statement(
  { machineId: z.guid(), at: z.date(), fromDepotId: z.guid(), toDepotId: z.guid() },
  `SELECT chain_id AS "machineId", recorded_at AS at, from_depot_id AS "fromDepotId", to_depot_id AS "toDepotId"
     FROM entry_machine WHERE recorded_at >= ${instant("$1")} AND kind = 'machine-amended' AND to_depot_id IS NOT NULL ORDER BY chain_id, position`,
);
/** A machine's move to another depot. */
export type MoveRow = RowOf<typeof moveRows>;

/** All moves since an instant, in order. */
export const readMoves = (db: Database, since: Date): Promise<MoveRow[]> => db.rows(moveRows, [since.toISOString()]);

const machineRows = statement(
  { id: z.guid(), registrationMark: z.string(), modelName: z.string(), inServiceFrom: z.iso.date(), enteredAt: z.date() },
  `SELECT m.id, m.registration_mark AS "registrationMark", o.name AS "modelName", m.in_service_from::text AS "inServiceFrom", m.added_at AS "enteredAt"
     FROM machine m JOIN machine_model o ON o.id = m.model_id
     WHERE (m.depot_id = $1::text::uuid OR m.id IN ${idsIn("$2")})
       AND (m.registration_mark, m.id::text) > (split_part($3::text, ' ', 1), split_part($3::text, ' ', 2))
       AND (${ofTheFleet("m.state")} OR EXISTS (SELECT FROM entry_machine e
         WHERE e.chain_id = m.id AND e.kind = 'machine-disposed' AND e.recorded_at >= ${instant("$5")}))
     ORDER BY m.registration_mark, m.id::text LIMIT $4::int`,
);
export type MonthMachineRow = RowOf<typeof machineRows>;

/** The next machines of a depot: those that are there now, and those of `moved` that may have been there; none that left the fleet before. */
export const readMachinesAfter = (
  db: Database,
  {
    depotId,
    moved,
    after,
    limit,
    since,
  }: {
    readonly depotId: string;
    readonly moved: readonly string[];
    /** mark and id of the last one read, as `placeOf` writes them; empty at the beginning */
    readonly after: string;
    readonly limit: number;
    readonly since: Date;
  },
): Promise<MonthMachineRow[]> => db.rows(machineRows, [depotId, listed(moved), after, limit, since.toISOString()]);

/** Where a machine stands in the order by mark; two have one mark where the earlier left the fleet. */
export const placeOf = ({ registrationMark, id }: Pick<MonthMachineRow, "registrationMark" | "id">): string => `${registrationMark} ${id}`;

/** SQL: how many defects were open after an act, whoever had found them. */
const openAfter = (
  table: string,
): string => `coalesce((SELECT jsonb_array_length(${listIn("h.state", "defects")}) FROM machine_state_history h
  WHERE h.machine_id = ${table}.machine_id AND h.recorded_at <= ${table}.recorded_at ORDER BY h.recorded_at DESC, h.position DESC LIMIT 1), 0)`;
const lookColumns = (table: string): string => `machine_id, performed_at, odometer_km,
  flags && ARRAY['odometer-backwards', 'odometer-jump'] AS doubted, ${table === "daily_check"} AS is_check, defect_count > 0 AS found,
  ${table === "daily_check" ? openAfter(table) : "0"} > 0 AS still_open`;
const arrived = (column: string, parameter: string): string => `(${parameter}::text IS NULL OR ${column} <= ${instant(parameter)})`;
const looksOf = (table: string): string => `
  SELECT ${lookColumns(table)} FROM ${table} WHERE machine_id = a.id AND ${arrived("recorded_at", "$4")}
    AND performed_at >= ${instant("$2")} AND performed_at < ${instant("$3")}
  UNION ALL (SELECT ${lookColumns(table)} FROM ${table} WHERE machine_id = a.id AND ${arrived("recorded_at", "$4")} AND performed_at < ${instant("$2")}
    AND NOT flags && ARRAY['odometer-backwards', 'odometer-jump'] ORDER BY performed_at DESC LIMIT 1)
  UNION ALL (SELECT ${lookColumns(table)} FROM ${table} WHERE machine_id = a.id AND ${arrived("recorded_at", "$4")} AND performed_at >= ${instant("$3")}
    AND NOT flags && ARRAY['odometer-backwards', 'odometer-jump'] ORDER BY performed_at LIMIT 1)`;

const lookRows = statement(
  {
    ...{ machineId: z.guid(), at: z.date(), odometerKm: z.int() },
    /** its odometer figure went back or jumped, so it does not count as a reading */
    doubted: z.boolean(),
    ...{ isCheck: z.boolean(), foundDefects: z.boolean() },
    /** a defect stood open after it, whoever had found it */
    stillOpen: z.boolean(),
  },
  `SELECT l.machine_id AS "machineId", l.performed_at AS at, l.odometer_km AS "odometerKm", l.doubted, l.is_check AS "isCheck", l.found AS "foundDefects",
       l.still_open AS "stillOpen"
     FROM ${idsIn("$1")} AS a (id), LATERAL (${looksOf("daily_check")} UNION ALL ${looksOf("weekly_inspection")}) l
     ORDER BY l.machine_id, l.performed_at`,
);
/** A check or inspection. */
export type LookRow = RowOf<typeof lookRows>;

/** The checks and inspections of these machines in a span, with the last before it and the first after it; in the order of time. */
export const readLooks = (db: Database, machineIds: readonly string[], { starts, ends }: Span, at: Moment): Promise<LookRow[]> =>
  db.rows(lookRows, [listed(machineIds), starts.toISOString(), ends.toISOString(), at?.toISOString() ?? null]);

// What was recorded in the month, by the moment of arrival, like the files beside the report.

// Rows fetched at once: more would take memory and save no time.
const batchSize = 100;
const recordedIn = `l.depot_id = $1::text::uuid AND l.recorded_at >= ${instant("$2")} AND l.recorded_at < ${instant("$3")}`;
const spanOf = (depotId: string, { starts, ends }: Span): string[] => [depotId, starts.toISOString(), ends.toISOString()];

const kindCountRows = statement(
  { kind: kindSchema, count: z.int() },
  `SELECT l.kind, count(*)::int AS count FROM ledger l
     WHERE l.depot_id IS NOT DISTINCT FROM $1::text::uuid AND l.recorded_at >= ${instant("$2")} AND l.recorded_at < ${instant("$3")} GROUP BY l.kind`,
);

/** How many entries of each kind a depot has in its month; null: what belongs to none. */
export const countKinds = (db: Database, depotId: string | null, { starts, ends }: Span): Promise<RowOf<typeof kindCountRows>[]> =>
  db.rows(kindCountRows, [depotId, starts.toISOString(), ends.toISOString()]);

const personColumns = { staffName: z.string(), staffNumber: z.string() };
const personSql = `coalesce(s.name, '\u2013') AS "staffName", coalesce(s.staff_number, '\u2013') AS "staffNumber"`;

/** If somebody else had set the signer's secret within the day before: when and by whom, and when the signer chose their own. */
const secretColumns = {
  ...{ secretSetAt: z.date().nullable(), secretSetByName: z.string().nullable(), secretSetByNumber: z.string().nullable() },
  secretChosenAt: z.date().nullable(),
};
export type PersonColumns = Readonly<z.infer<z.ZodObject<typeof personColumns>>>;
export type SecretColumns = Readonly<z.infer<z.ZodObject<typeof secretColumns>>>;
const secretSql = `secret.set_at AS "secretSetAt", setter.name AS "secretSetByName", setter.staff_number AS "secretSetByNumber",
       secret.chosen_at AS "secretChosenAt"`;
const secretJoin = (act: string): string =>
  `${secretSetJoin({ staffId: `${act}.staff_id`, performedAt: `${act}.performed_at`, recordedAt: "l.recorded_at" })}
     LEFT JOIN staff setter ON setter.id = secret.set_by`;

const checkRows = statement(
  {
    ...{ registrationMark: z.string(), performedAt: z.date(), recordedAt: z.date(), odometerKm: z.int(), durationSeconds: z.int() },
    defectCount: z.int(),
    /** open after it, whoever had found them */
    stillOpen: z.int(),
    decision: z.string(),
    flags: z.array(z.string()).readonly(),
    ...personColumns,
  },
  `SELECT m.registration_mark AS "registrationMark", c.performed_at AS "performedAt", c.recorded_at AS "recordedAt", c.odometer_km AS "odometerKm",
       c.duration_seconds AS "durationSeconds", c.defect_count AS "defectCount", ${openAfter("c")} AS "stillOpen", c.decision, c.flags, ${personSql}
     FROM ledger l JOIN daily_check c ON c.id = l.id JOIN machine m ON m.id = c.machine_id LEFT JOIN staff s ON s.id = c.staff_id
     WHERE ${recordedIn} AND l.kind = 'daily-check' ORDER BY m.registration_mark, c.performed_at, c.id`,
);
export type CheckRow = RowOf<typeof checkRows>;

/** The checks that a depot recorded in its month, machine by machine. */
export const streamChecks = (db: Database, depotId: string, span: Span): AsyncIterable<CheckRow[]> =>
  db.stream(checkRows, spanOf(depotId, span), batchSize);

const inspectionRows = statement(
  {
    ...{ registrationMark: z.string(), performedAt: z.date(), odometerKm: z.int(), defectCount: z.int() },
    /** open after it, whoever had found them */
    stillOpen: z.int(),
    /** how many readings were outside and put right on the spot */
    corrected: z.int(),
    readings: z.int(),
    /** others than the one who signed, by name and number; null for none */
    measuredBy: z.string().nullable(),
    ...personColumns,
    ...secretColumns,
  },
  `SELECT m.registration_mark AS "registrationMark", w.performed_at AS "performedAt", w.odometer_km AS "odometerKm", w.defect_count AS "defectCount", ${openAfter("w")} AS "stillOpen",
       (SELECT count(*)::int FROM entry_verdict v WHERE v.id = w.id AND v.result = 'corrected') AS corrected,
       jsonb_array_length(coalesce(l.verdicts, '[]')) AS readings,
       (SELECT string_agg(o.name || ' (' || o.staff_number || ')', ', ' ORDER BY o.staff_number) FROM staff o
         WHERE l.measured_by ? o.id::text) AS "measuredBy", ${personSql}, ${secretSql}
     FROM entry_inspection l JOIN weekly_inspection w ON w.id = l.id JOIN machine m ON m.id = w.machine_id LEFT JOIN staff s ON s.id = w.staff_id
       ${secretJoin("w")}
     WHERE ${recordedIn} ORDER BY w.performed_at, w.id`,
);
export type MonthInspectionRow = RowOf<typeof inspectionRows>;

export const streamInspections = (db: Database, depotId: string, span: Span): AsyncIterable<MonthInspectionRow[]> =>
  db.stream(inspectionRows, spanOf(depotId, span), batchSize);

const closingRows = statement(
  {
    ...{ kind: z.enum(["sign-off", "not-found"]), registrationMark: z.string(), performedAt: z.date(), itemId: z.string().nullable() },
    /** the name of the campaign whose job it is */
    campaign: z.string().nullable(),
    /** what the one who found it wrote */
    note: z.string().nullable(),
    category: categorySchema,
    said: z.string().nullable(),
    /** the other workshop that repaired it last; null for none */
    repairedAt: z.string().nullable(),
    /** who repaired it last; null where nobody of the firm did */
    repairedByName: z.string().nullable(),
    repairedByNumber: z.string().nullable(),
    ...personColumns,
    ...secretColumns,
  },
  `SELECT e.kind, m.registration_mark AS "registrationMark", e.performed_at AS "performedAt", d.item_id AS "itemId", d.note, d.category,
       (SELECT c.name FROM campaign c WHERE c.id = d.origin_id AND d.origin = 'campaign') AS campaign,
       coalesce(l.statement, l.reason) AS said,
       x.workshop AS "repairedAt", r.name AS "repairedByName", r.staff_number AS "repairedByNumber", ${personSql}, ${secretSql}
     FROM entry_closing l JOIN defect_event e ON e.id = l.id JOIN defect d ON d.id = e.defect_id JOIN machine m ON m.id = d.machine_id
       LEFT JOIN staff s ON s.id = e.staff_id LEFT JOIN staff r ON r.id = d.repaired_by
       LEFT JOIN entry_repair x ON x.id = d.repaired_by
       ${secretJoin("e")}
     WHERE ${recordedIn} AND l.first_look IS NULL ORDER BY e.performed_at, e.id`,
);
export type ClosingRow = RowOf<typeof closingRows>;

/** Sign-offs and findings that there is no fault, in order. */
export const streamClosings = (db: Database, depotId: string, span: Span): AsyncIterable<ClosingRow[]> =>
  db.stream(closingRows, spanOf(depotId, span), batchSize);

const defectPlaceRows = statement(
  { id: z.guid(), registrationMark: z.string() },
  `SELECT DISTINCT d.id, m.registration_mark AS "registrationMark"
     FROM ledger l LEFT JOIN defect_event e ON e.id = l.id JOIN defect d ON d.id = coalesce(e.defect_id, l.id) JOIN machine m ON m.id = d.machine_id
     WHERE ${recordedIn} AND l.kind LIKE 'defect-%'
       AND ($4::text IS NULL OR (m.registration_mark, d.id) > ($4::text, $5::text::uuid))
     ORDER BY m.registration_mark, d.id LIMIT $6::int`,
);
/** A defect that something was recorded of in the month. */
export type DefectPlace = RowOf<typeof defectPlaceRows>;

/** The next defects, by machine and then by id; ids grow with time, so that is the order of age. */
export const readDefectsAfter = (
  db: Database,
  depotId: string,
  span: Span,
  after: DefectPlace | null,
  limit: number,
): Promise<DefectPlace[]> =>
  db.rows(defectPlaceRows, [...spanOf(depotId, span), after?.registrationMark ?? null, after?.id ?? null, limit]);
