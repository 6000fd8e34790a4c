// The only SQL of the reports. It reads tables of other rooms side by side; nothing is changed here.
import type { Features, Handbook, RuleSet } from "../../shared/contracts/machine-model.ts";
import type { KeptRecord } from "../../shared/records/index.ts";
import type { KnownPaper, PaperEnding } from "../../shared/rules/papers.ts";
import type { ItemVerdict } from "../../shared/rules/weekly-inspection.ts";
import { amendedSince, defectThen, fieldThen, listIn, type Moment, numberIn, saysNumber, stateThen } from "../acts/index.ts";
import type { Database, Period } from "../platform/index.ts";

const inList = (column: string, parameter: string): string =>
  `${column} IN (SELECT value::uuid FROM jsonb_array_elements_text(${parameter}::text::jsonb))`;
const listed = (ids: readonly string[]): string => JSON.stringify(ids);
const momentParameter = (at: Moment): string | null => at?.toISOString() ?? null;
/** What had arrived by the moment that is the statement's first parameter; all of it where that is null. */
const arrived = (column: string): string => `($1::text IS NULL OR ${column} <= $1::text::timestamptz)`;

export async function readFirmName(db: Database): Promise<string> {
  const [firm] = await db.rows<{ name: string }>("SELECT name FROM firm");
  return firm?.name ?? "";
}

export interface DepotRow {
  readonly id: string;
  readonly name: string;
  readonly timeZone: string;
}

/** Depots by name: those of `ids`, or all. */
export const readDepots = (db: Database, ids: readonly string[] | null): Promise<DepotRow[]> =>
  db.rows<DepotRow>(`SELECT id, name, time_zone AS "timeZone" FROM depot WHERE $1::text IS NULL OR ${inList("id", "$1")} ORDER BY name`, [
    ids && listed(ids),
  ]);

/** What the ids in entries are called: depots and models by name, machines by mark, people by staff number; any other text stays as it is. */
export async function calledIn(db: Database): Promise<(id: string) => string> {
  const rows = await db.rows<{ id: string; name: string }>(
    "SELECT id, name FROM depot UNION ALL SELECT id, name FROM machine_model UNION ALL SELECT id, registration_mark FROM machine UNION ALL SELECT id, staff_number FROM staff",
  );
  const names = new Map(rows.map(({ id, name }) => [id, name]));
  return (id) => names.get(id) ?? id;
}

export interface IdentityRow {
  readonly id: string;
  readonly registrationMark: string;
  readonly vin: string | null;
  readonly inServiceFrom: string;
  readonly modelId: string;
  readonly modelName: string;
  readonly depotId: string;
  readonly odometerKm: number;
}

/** Machines as they were called, and where they stood, at the moment. */
export const readIdentities = (db: Database, machineIds: readonly string[], at: Moment): Promise<IdentityRow[]> =>
  db.rows<IdentityRow>(
    `SELECT m.id, ${fieldThen.registrationMark} AS "registrationMark", ${fieldThen.vin} AS vin,
       (${fieldThen.inServiceFrom})::text AS "inServiceFrom", ${fieldThen.modelId} AS "modelId", o.name AS "modelName",
       s.depot_id AS "depotId", coalesce(${numberIn("s.state", "odometerKm")}, 0) AS "odometerKm"
     FROM machine m CROSS JOIN LATERAL ${stateThen("m.id", "$1")} s CROSS JOIN LATERAL ${amendedSince("$1")} a
     JOIN machine_model o ON o.id = ${fieldThen.modelId} WHERE ${inList("m.id", "$2")}`,
    [momentParameter(at), listed(machineIds)],
  );

export interface LabelRow {
  readonly registrationMark: string;
  readonly modelName: string;
  readonly depotId: string;
  readonly depotName: string;
}

/** What stands on the labels of the machines of these depots that are in service, by depot and mark; or on that of one machine. */
export const readLabels = (db: Database, depotIds: readonly string[] | null, machineId?: string): Promise<LabelRow[]> =>
  db.rows<LabelRow>(
    `SELECT m.registration_mark AS "registrationMark", o.name AS "modelName", d.id AS "depotId", d.name AS "depotName"
     FROM machine m JOIN machine_model o ON o.id = m.model_id JOIN depot d ON d.id = m.depot_id
     WHERE CASE WHEN $2::text IS NULL THEN ${inList("d.id", "$1")} AND m.state->>'withdrawn' IS NULL ELSE m.id = $2::text::uuid END
     ORDER BY d.name, m.registration_mark`,
    [depotIds && listed(depotIds), machineId ?? null],
  );

export interface ModelFigures {
  readonly engineCc: number | null;
  readonly features: Features;
  readonly handbook: Handbook;
}
export interface ModelRow extends ModelFigures {
  readonly id: string;
  /** what it said before each of its revisions, oldest first */
  readonly before: readonly (ModelFigures & { readonly until: string })[] | null;
}

export const readModels = (db: Database, ids: readonly string[]): Promise<ModelRow[]> =>
  db.rows<ModelRow>(
    `SELECT m.id, m.engine_cc AS "engineCc", m.features, m.handbook, CASE WHEN m.revision > 1 THEN (
       SELECT jsonb_agg(l.before || jsonb_build_object('until', l.recorded_at) ORDER BY l.position) FROM entry_model l
       WHERE l.chain_id = (SELECT id FROM firm) AND l.model_id = m.id) END AS before
     FROM machine_model m WHERE ${inList("m.id", "$1")}`,
    [listed(ids)],
  );

// Defects

/** What the check, inspection or report that found it says about the item. */
export interface FindingRow {
  readonly odometerKm: number | null;
  readonly flags: readonly string[] | null;
  /** the sheet it was made on; null where it was made on none */
  readonly sheetVersion: string | null;
  readonly observationIds: readonly string[] | null;
  readonly verdict: ItemVerdict | null;
}

export interface EventRow {
  readonly id: string;
  readonly kind: "sighting" | "re-grade" | "deferral" | "repair" | "sign-off" | "not-found";
  readonly staffId: string;
  readonly performedAt: string;
  readonly recordedAt: string;
  readonly entry: KeptRecord;
  readonly finding: FindingRow | null;
}

export interface CourseRow {
  readonly id: string;
  readonly machineId: string;
  readonly depotId: string;
  readonly timeZone: string;
  readonly ruleSet: RuleSet;
  readonly itemId: string | null;
  readonly note: string | null;
  readonly category: string;
  readonly status: string;
  readonly origin: string;
  readonly reportedBy: string;
  readonly seenAt: Date;
  readonly recordedAt: Date;
  readonly competence: string;
  readonly secondPerson: boolean;
  readonly quantity: string | null;
  readonly dueDay: string | null;
  readonly recurringOf: string | null;
  readonly signedOffBetween: string | null;
  readonly raised: KeptRecord;
  readonly finding: FindingRow;
  readonly events: readonly EventRow[] | null;
}

/**
 * Out of the whole sheet or report only what is about this defect: of all that was seen, what the entry `told` counts to it, and the verdict
 * on its item or its quantity. The daily and the weekly item that look at one part are two items and one defect.
 */
const findingOf = (origin: string, told: string): string => `jsonb_build_object(
    'odometerKm', ${origin}.odometer_km, 'flags', ${origin}.flags,
    'observationIds', (SELECT jsonb_agg(o.id ORDER BY o.place) FROM jsonb_array_elements(${origin}.observation_ids) WITH ORDINALITY o (id, place)
      WHERE (SELECT f.observation_ids FROM entry_finding f WHERE f.id = ${told}.id) @> o.id),
    'sheetVersion', ${origin}.sheet_version,
    'verdict', coalesce((SELECT v.verdict FROM entry_verdict v WHERE v.id = ${origin}.id AND (v.item_id = d.item_id OR v.quantity = d.quantity)
        ORDER BY v.item_id = d.item_id DESC, v.place LIMIT 1),
      (SELECT p.verdict FROM entry_proof p WHERE p.id = ${origin}.id AND p.item_id = d.item_id)))`;

/** The entry as `read` takes it. */
const entryOf = (entry: string): string =>
  `jsonb_build_object('id', ${entry}.id, 'kind', ${entry}.kind, 'version', ${entry}.version, 'data', ${entry}.data)`;

// A row of `defect` is what became of it. What it was at a moment at which it was open stands in its machine's state of that moment.
const courseSql = `
SELECT d.id, d.machine_id AS "machineId", d.depot_id AS "depotId", p.time_zone AS "timeZone", p.rule_set AS "ruleSet",
  d.item_id AS "itemId", d.note, coalesce(x.then->>'category', d.category) AS category, coalesce(x.then->>'status', d.status) AS status,
  d.origin, d.reported_by AS "reportedBy", d.seen_at AS "seenAt", d.recorded_at AS "recordedAt",
  coalesce(x.then->>'competence', d.competence) AS competence, coalesce((x.then->>'secondPerson')::bool, d.second_person) AS "secondPerson",
  d.quantity, CASE WHEN x.then IS NULL THEN d.due_day::text ELSE x.then->>'dueDay' END AS "dueDay", d.recurring_of AS "recurringOf", d.signed_off_between AS "signedOffBetween", ${entryOf("l")} AS raised, ${findingOf("o", "l")} AS finding,
  (SELECT jsonb_agg(jsonb_build_object('id', e.id, 'kind', e.kind, 'staffId', e.staff_id, 'performedAt', e.performed_at,
      'recordedAt', e.recorded_at, 'entry', ${entryOf("le")},
      'finding', CASE WHEN e.kind = 'sighting' THEN (SELECT ${findingOf("c", "le")} FROM entry_finding f JOIN entry_origin c ON c.id = f.origin_id WHERE f.id = le.id) END
    ) ORDER BY le.position) FROM defect_event e JOIN ledger le ON le.id = e.id WHERE e.defect_id = d.id AND ${arrived("e.recorded_at")}) AS events
FROM defect d JOIN depot p ON p.id = d.depot_id JOIN ledger l ON l.id = d.id LEFT JOIN entry_origin o ON o.id = d.origin_id
  LEFT JOIN LATERAL ${defectThen("d.machine_id", "d.id", "$1")} x ON true
WHERE ${arrived("d.recorded_at")}`;

// The instants bound what the index has to look at; the days are the depot's own.
const within = (instant: string, from: string, to: string): string =>
  `${instant} >= ${from}::text::date - 2 AND ${instant} < ${to}::text::date + 3
   AND (${instant} AT TIME ZONE p.time_zone)::date BETWEEN ${from}::text::date AND ${to}::text::date`;
const seenIn = (from: string, to: string): string => within("d.seen_at", from, to);

/** Defects by id, as they were at the moment; those that were not known yet are left out. */
export const readCourses = (db: Database, defectIds: readonly string[], at: Moment): Promise<CourseRow[]> =>
  db.rows<CourseRow>(`${courseSql} AND ${inList("d.id", "$2")}`, [momentParameter(at), listed(defectIds)]);

/** Defects of a machine that were open at the moment, were found in the period, or to which anything was done in it. */
export const readCoursesOfMachine = (db: Database, machineId: string, { from, to }: Period, at: Moment): Promise<CourseRow[]> =>
  db.rows<CourseRow>(
    `${courseSql} AND d.machine_id = $2::text::uuid AND (x.then IS NOT NULL OR ${seenIn("$3", "$4")}
       OR EXISTS (SELECT 1 FROM defect_event e WHERE e.defect_id = d.id AND ${arrived("e.recorded_at")} AND ${within("e.performed_at", "$3", "$4")}))
     ORDER BY d.seen_at, d.id`,
    [momentParameter(at), machineId, from, to],
  );

// One machine

export interface HistoryStateRow {
  readonly position: number;
  readonly firstUseDue: string | null;
  readonly openDefects: number;
  readonly odometerKm: number;
  readonly recordedAt: Date;
}

/** What is asked of a machine's state after each act; oldest first. */
export const readStates = (db: Database, machineId: string, at: Moment): Promise<HistoryStateRow[]> =>
  db.rows<HistoryStateRow>(
    `SELECT h.position, h.state->>'firstUseDue' AS "firstUseDue",
       jsonb_array_length(${listIn("h.state", "defects")}) AS "openDefects", ${numberIn("h.state", "odometerKm")} AS "odometerKm",
       h.recorded_at AS "recordedAt"
     FROM machine_state_history h
     WHERE h.machine_id = $2::text::uuid AND ${arrived("h.recorded_at")} AND ${saysNumber("h.state", "odometerKm")} ORDER BY h.position`,
    [momentParameter(at), machineId],
  );

export interface InspectionRow {
  readonly id: string;
  readonly day: string;
  readonly performedAt: Date;
  readonly recordedAt: Date;
  readonly position: number;
  readonly staffId: string;
  /** others than the one who signed */
  readonly measuredBy: readonly string[];
  readonly odometerKm: number;
  readonly defectCount: number;
  readonly verdicts: readonly ItemVerdict[];
}

export const readInspections = (db: Database, machineId: string, { from, to }: Period, at: Moment): Promise<InspectionRow[]> =>
  db.rows<InspectionRow>(
    `SELECT w.id, w.local_day::text AS day, w.performed_at AS "performedAt", w.recorded_at AS "recordedAt", l.position, w.staff_id AS "staffId", w.odometer_km AS "odometerKm",
       w.defect_count AS "defectCount", coalesce(l.verdicts, '[]') AS verdicts, coalesce(l.measured_by, '[]') AS "measuredBy"
     FROM weekly_inspection w JOIN entry_inspection l ON l.id = w.id
     WHERE w.machine_id = $2::text::uuid AND w.local_day BETWEEN $3::text::date AND $4::text::date AND ${arrived("w.recorded_at")}
     ORDER BY w.performed_at, w.id`,
    [momentParameter(at), machineId, from, to],
  );

export interface PaperOfMachine extends KnownPaper {
  readonly machineId: string;
  readonly number: string;
  readonly ending: (PaperEnding & { readonly note: string | null; readonly staffId: string; readonly recordedAt: string }) | null;
}

const paperSql = `SELECT p.machine_id AS "machineId", p.kind, p.number, p.valid_from::text AS "validFrom", p.valid_to::text AS "validTo",
    CASE WHEN e.id IS NOT NULL THEN jsonb_build_object('day', e.day, 'reason', e.reason, 'grounds', e.grounds,
      'note', l.note, 'staffId', e.staff_id, 'recordedAt', e.recorded_at) END AS ending
  FROM paper p LEFT JOIN paper_ending e ON e.paper_id = p.id AND ${arrived("e.recorded_at")} LEFT JOIN entry_paper_ended l ON l.id = e.id`;

/** The machine's papers as they were known at the moment, each with the ending that had arrived by then. */
export const readPapers = (db: Database, machineId: string, at: Moment): Promise<PaperOfMachine[]> =>
  db.rows<PaperOfMachine>(
    `${paperSql} WHERE p.machine_id = $2::text::uuid AND ${arrived("p.recorded_at")} ORDER BY p.kind, p.valid_to DESC, p.id`,
    [momentParameter(at), machineId],
  );

/** Papers of the machines whose ending had arrived by the moment, and not before that day. */
export const readPaperEndings = (db: Database, machineIds: readonly string[], sinceDay: string, at: Date): Promise<PaperOfMachine[]> =>
  db.rows<PaperOfMachine>(
    `${paperSql} WHERE e.recorded_at >= $3::text::date AND ${inList("p.machine_id", "$2")} ORDER BY e.recorded_at, e.id`,
    [at.toISOString(), listed(machineIds), sinceDay],
  );

// The fleet

export interface DayCheckRow {
  readonly machineId: string;
  readonly performedAt: Date;
  readonly staffId: string;
  readonly foundDefects: boolean;
}

/** The last check of each machine on a day that let it ride, among what had arrived by then. */
export const readDayChecks = (db: Database, machineIds: readonly string[], day: string, at: Date): Promise<DayCheckRow[]> =>
  db.rows<DayCheckRow>(
    `SELECT DISTINCT ON (machine_id) machine_id AS "machineId", performed_at AS "performedAt", staff_id AS "staffId",
       defect_count > 0 AS "foundDefects"
     FROM daily_check
     WHERE local_day = $2::text::date AND recorded_at <= $3::text::timestamptz AND decision <> 'do-not-ride' AND ${inList("machine_id", "$1")}
     ORDER BY machine_id, performed_at DESC`,
    [listed(machineIds), day, at.toISOString()],
  );
