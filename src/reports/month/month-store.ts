// The SQL of days and months. Everything comes by pages of machines or through one cursor at a time: nothing holds a whole month.
import { listIn, type Moment } from "../../acts/index.ts";
import { secretSetJoin } from "../../people/index.ts";
import type { Database } from "../../platform/index.ts";
import type { Span } from "./month-scope.ts";

const listed = (ids: readonly string[]): string => JSON.stringify(ids);
const idsIn = (parameter: string): string => `(SELECT value::uuid FROM jsonb_array_elements_text(${parameter}::text::jsonb))`;
const instant = (parameter: string): string => `${parameter}::text::timestamptz`;

export interface PolicyRow {
  readonly plausibleKmPerDay: number;
}

export async function readPlausibleKm(db: Database): Promise<number> {
  const [firm] = await db.rows<PolicyRow>(`SELECT (policy->>'plausibleKmPerDay')::int AS "plausibleKmPerDay" FROM firm`);
  return firm?.plausibleKmPerDay ?? 0;
}

/** A machine that changed its depot. */
export interface MoveRow {
  readonly machineId: string;
  readonly at: Date;
  readonly fromDepotId: string;
  readonly toDepotId: string;
}

/** All moves since an instant, in order. */
export const readMoves = (db: Database, since: Date): Promise<MoveRow[]> =>
  db.rows<MoveRow>(
    `SELECT chain_id AS "machineId", recorded_at AS at, from_depot_id AS "fromDepotId", to_depot_id AS "toDepotId"
     FROM entry_machine WHERE recorded_at >= ${instant("$1")} AND kind = 'machine-amended' AND to_depot_id IS NOT NULL ORDER BY chain_id, position`,
    [since.toISOString()],
  );

export interface MonthMachineRow {
  readonly id: string;
  readonly registrationMark: string;
  readonly modelName: string;
  readonly inServiceFrom: string;
  readonly enteredAt: Date;
}

/** The next machines of a depot by mark: those that are there, and of `moved` those that may have been. */
export const readMachinesAfter = (
  db: Database,
  {
    depotId,
    moved,
    after,
    limit,
  }: { readonly depotId: string; readonly moved: readonly string[]; readonly after: string; readonly limit: number },
): Promise<MonthMachineRow[]> =>
  db.rows<MonthMachineRow>(
    `SELECT m.id, m.registration_mark AS "registrationMark", o.name AS "modelName", m.in_service_from::text AS "inServiceFrom", m.added_at AS "enteredAt"
     FROM machine m JOIN machine_model o ON o.id = m.model_id
     WHERE (m.depot_id = $1::text::uuid OR m.id IN ${idsIn("$2")}) AND m.registration_mark > $3::text
     ORDER BY m.registration_mark LIMIT $4::int`,
    [depotId, listed(moved), after, limit],
  );

/** A check or inspection. `doubted`: its odometer went back or jumped, so it is no look at it. */
export interface LookRow {
  readonly machineId: string;
  readonly at: Date;
  readonly odometerKm: number;
  readonly doubted: boolean;
  readonly isCheck: boolean;
  readonly foundDefects: boolean;
  /** a defect stood open after it, whoever had found it */
  readonly stillOpen: boolean;
}

/** How many defects stood open after an act, whoever had found them. */
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

/** What these machines' checks and inspections of a span show, with the last look before it and the first after; in the order of time. */
export const readLooks = (db: Database, machineIds: readonly string[], { starts, ends }: Span, at: Moment): Promise<LookRow[]> =>
  db.rows<LookRow>(
    `SELECT l.machine_id AS "machineId", l.performed_at AS at, l.odometer_km AS "odometerKm", l.doubted, l.is_check AS "isCheck", l.found AS "foundDefects",
       l.still_open AS "stillOpen"
     FROM ${idsIn("$1")} AS a (id), LATERAL (${looksOf("daily_check")} UNION ALL ${looksOf("weekly_inspection")}) l
     ORDER BY l.machine_id, l.performed_at`,
    [listed(machineIds), starts.toISOString(), ends.toISOString(), at?.toISOString() ?? null],
  );

export interface ActRow {
  readonly machineId: string;
  readonly kind: "machine-added" | "machine-amended" | "machine-withdrawn" | "machine-returned";
  readonly at: Date;
  readonly odometerKm: number | null;
  readonly fromKm: number | null;
  readonly toKm: number | null;
}

/** Entering, leaving, coming back and setting the odometer, whenever that was. */
export const readActs = (db: Database, machineIds: readonly string[], at: Moment): Promise<ActRow[]> =>
  db.rows<ActRow>(
    `SELECT chain_id AS "machineId", kind, recorded_at AS at, odometer_km AS "odometerKm", from_km AS "fromKm", to_km AS "toKm"
     FROM entry_machine WHERE chain_id IN ${idsIn("$1")} AND ${arrived("recorded_at", "$2")} ORDER BY chain_id, position`,
    [listed(machineIds), at?.toISOString() ?? null],
  );

// What was recorded in the month: by the moment of arrival, as the files beside the report have it.

// So many rows are held at once; more take memory and save no time.
const batchSize = 100;
const recordedIn = `l.depot_id = $1::text::uuid AND l.recorded_at >= ${instant("$2")} AND l.recorded_at < ${instant("$3")}`;
const spanOf = (depotId: string, { starts, ends }: Span): string[] => [depotId, starts.toISOString(), ends.toISOString()];

/** How many entries of each kind a depot has in its month; null: what belongs to none. */
export const countKinds = (db: Database, depotId: string | null, { starts, ends }: Span): Promise<{ kind: string; count: number }[]> =>
  db.rows(
    `SELECT l.kind, count(*)::int AS count FROM ledger l
     WHERE l.depot_id IS NOT DISTINCT FROM $1::text::uuid AND l.recorded_at >= ${instant("$2")} AND l.recorded_at < ${instant("$3")} GROUP BY l.kind`,
    [depotId, starts.toISOString(), ends.toISOString()],
  );

export interface PersonColumns {
  readonly staffName: string;
  readonly staffNumber: string;
}
const person = `coalesce(s.name, '\u2013') AS "staffName", coalesce(s.staff_number, '\u2013') AS "staffNumber"`;

/** Where the secret of the one who signed had been set by somebody else within the day before: when and by whom, and when one was chosen. */
export interface SecretColumns {
  readonly secretSetAt: Date | null;
  readonly secretSetByName: string | null;
  readonly secretSetByNumber: string | null;
  readonly secretChosenAt: Date | null;
}
const secretColumns = `secret.set_at AS "secretSetAt", setter.name AS "secretSetByName", setter.staff_number AS "secretSetByNumber",
       secret.chosen_at AS "secretChosenAt"`;
const secretJoin = (act: string): string =>
  `${secretSetJoin({ staffId: `${act}.staff_id`, performedAt: `${act}.performed_at`, recordedAt: "l.recorded_at" })}
     LEFT JOIN staff setter ON setter.id = secret.set_by`;

export interface CheckRow extends PersonColumns {
  readonly registrationMark: string;
  readonly performedAt: Date;
  readonly recordedAt: Date;
  readonly odometerKm: number;
  readonly durationSeconds: number;
  readonly defectCount: number;
  /** open after it, whoever had found them */
  readonly stillOpen: number;
  readonly decision: string;
  readonly flags: readonly string[];
}

/** The checks that a depot recorded in its month, machine by machine. */
export const streamChecks = (db: Database, depotId: string, span: Span): AsyncIterable<CheckRow[]> =>
  db.stream<CheckRow>(
    `SELECT m.registration_mark AS "registrationMark", c.performed_at AS "performedAt", c.recorded_at AS "recordedAt", c.odometer_km AS "odometerKm",
       c.duration_seconds AS "durationSeconds", c.defect_count AS "defectCount", ${openAfter("c")} AS "stillOpen", c.decision, c.flags, ${person}
     FROM ledger l JOIN daily_check c ON c.id = l.id JOIN machine m ON m.id = c.machine_id LEFT JOIN staff s ON s.id = c.staff_id
     WHERE ${recordedIn} AND l.kind = 'daily-check' ORDER BY m.registration_mark, c.performed_at, c.id`,
    spanOf(depotId, span),
    batchSize,
  );

export interface MonthInspectionRow extends PersonColumns, SecretColumns {
  readonly registrationMark: string;
  readonly performedAt: Date;
  readonly odometerKm: number;
  readonly defectCount: number;
  /** open after it, whoever had found them */
  readonly stillOpen: number;
  /** how many readings were outside and put right on the spot */
  readonly corrected: number;
  readonly readings: number;
  /** others than the one who signed, by name and number; null for none */
  readonly measuredBy: string | null;
}

export const streamInspections = (db: Database, depotId: string, span: Span): AsyncIterable<MonthInspectionRow[]> =>
  db.stream<MonthInspectionRow>(
    `SELECT m.registration_mark AS "registrationMark", w.performed_at AS "performedAt", w.odometer_km AS "odometerKm", w.defect_count AS "defectCount", ${openAfter("w")} AS "stillOpen",
       (SELECT count(*)::int FROM entry_verdict v WHERE v.id = w.id AND v.result = 'corrected') AS corrected,
       jsonb_array_length(coalesce(l.verdicts, '[]')) AS readings,
       (SELECT string_agg(o.name || ' (' || o.staff_number || ')', ', ' ORDER BY o.staff_number) FROM staff o
         WHERE l.measured_by ? o.id::text) AS "measuredBy", ${person}, ${secretColumns}
     FROM entry_inspection l JOIN weekly_inspection w ON w.id = l.id JOIN machine m ON m.id = w.machine_id LEFT JOIN staff s ON s.id = w.staff_id
       ${secretJoin("w")}
     WHERE ${recordedIn} ORDER BY w.performed_at, w.id`,
    spanOf(depotId, span),
    batchSize,
  );

export interface ClosingRow extends PersonColumns, SecretColumns {
  readonly kind: "sign-off" | "not-found";
  readonly registrationMark: string;
  readonly performedAt: Date;
  readonly itemId: string | null;
  /** what the one who found it wrote */
  readonly note: string | null;
  readonly category: string;
  readonly said: string | null;
  /** who repaired it last; null where nobody did */
  readonly repairedByName: string | null;
  readonly repairedByNumber: string | null;
}

/** Sign-offs and findings that there is no fault, in order. */
export const streamClosings = (db: Database, depotId: string, span: Span): AsyncIterable<ClosingRow[]> =>
  db.stream<ClosingRow>(
    `SELECT e.kind, m.registration_mark AS "registrationMark", e.performed_at AS "performedAt", d.item_id AS "itemId", d.note, d.category,
       coalesce(l.statement, l.reason) AS said,
       r.name AS "repairedByName", r.staff_number AS "repairedByNumber", ${person}, ${secretColumns}
     FROM entry_closing l JOIN defect_event e ON e.id = l.id JOIN defect d ON d.id = e.defect_id JOIN machine m ON m.id = d.machine_id
       LEFT JOIN staff s ON s.id = e.staff_id LEFT JOIN staff r ON r.id = d.repaired_by
       ${secretJoin("e")}
     WHERE ${recordedIn} AND l.first_look IS NULL ORDER BY e.performed_at, e.id`,
    spanOf(depotId, span),
    batchSize,
  );

/** A defect that something was recorded of in the month. */
export interface DefectPlace {
  readonly id: string;
  readonly registrationMark: string;
}

/** The next of them by machine, and on a machine by their ids, which are as old as they are. */
export const readDefectsAfter = (
  db: Database,
  depotId: string,
  span: Span,
  after: DefectPlace | null,
  limit: number,
): Promise<DefectPlace[]> =>
  db.rows<DefectPlace>(
    `SELECT DISTINCT d.id, m.registration_mark AS "registrationMark"
     FROM ledger l LEFT JOIN defect_event e ON e.id = l.id JOIN defect d ON d.id = coalesce(e.defect_id, l.id) JOIN machine m ON m.id = d.machine_id
     WHERE ${recordedIn} AND l.kind LIKE 'defect-%'
       AND ($4::text IS NULL OR (m.registration_mark, d.id) > ($4::text, $5::text::uuid))
     ORDER BY m.registration_mark, d.id LIMIT $6::int`,
    [...spanOf(depotId, span), after?.registrationMark ?? null, after?.id ?? null, limit],
  );
