// The SQL that several reports share. It joins tables of other rooms and changes nothing.
import { z } from "zod";
import { categorySchema, competenceSchema } from "../../shared/contracts/common.ts";
import { featuresSchema, handbookSchema, ruleSetSchema } from "../../shared/contracts/machine-model.ts";
import { endingReasonSchema, paperKindSchema } from "../../shared/contracts/papers.ts";
import { quantitySchema } from "../../shared/contracts/quantities.ts";
import { itemVerdictSchema } from "../../shared/records/index.ts";
import { amendedSince, defectThen, fieldThen, listIn, type Moment, numberIn, ofTheFleet, saysNumber, stateThen } from "../acts/index.ts";
import { type Database, idsIn, type Period, type RowOf, statement } from "../platform/index.ts";

const inList = (column: string, parameter: string): string => `${column} IN ${idsIn(parameter)}`;
const listed = (ids: readonly string[]): string => JSON.stringify(ids);
const momentParameter = (at: Moment): string | null => at?.toISOString() ?? null;
/** SQL condition: had arrived by the moment in the statement's first parameter; always true if that is null. */
const arrived = (column: string): string => `($1::text IS NULL OR ${column} <= $1::text::timestamptz)`;

const firmNameRows = statement({ name: z.string() }, "SELECT name FROM firm");

export const readFirmName = async (db: Database): Promise<string> => (await db.rows(firmNameRows))[0]?.name ?? "";

const depotRows = statement(
  { id: z.guid(), name: z.string(), timeZone: z.string() },
  `SELECT id, name, time_zone AS "timeZone" FROM depot WHERE $1::text IS NULL OR ${inList("id", "$1")} ORDER BY name`,
);
export type DepotRow = RowOf<typeof depotRows>;

/** Depots by name: those of `ids`, or all. */
export const readDepots = (db: Database, ids: readonly string[] | null): Promise<DepotRow[]> => db.rows(depotRows, [ids && listed(ids)]);

const identityRows = statement(
  {
    id: z.guid(),
    registrationMark: z.string(),
    vin: z.string().nullable(),
    inServiceFrom: z.iso.date(),
    modelId: z.guid(),
    modelName: z.string(),
    depotId: z.guid(),
    odometerKm: z.int(),
  },
  `SELECT m.id, ${fieldThen.registrationMark} AS "registrationMark", ${fieldThen.vin} AS vin,
       (${fieldThen.inServiceFrom})::text AS "inServiceFrom", ${fieldThen.modelId} AS "modelId", o.name AS "modelName",
       s.depot_id AS "depotId", coalesce(${numberIn("s.state", "odometerKm")}, 0) AS "odometerKm"
     FROM machine m CROSS JOIN LATERAL ${stateThen("m.id", "$1")} s CROSS JOIN LATERAL ${amendedSince("$1")} a
     JOIN machine_model o ON o.id = ${fieldThen.modelId} WHERE ${inList("m.id", "$2")}`,
);
export type IdentityRow = RowOf<typeof identityRows>;

/** Machines as they were called, and where they stood, at the moment. */
export const readIdentities = (db: Database, machineIds: readonly string[], at: Moment): Promise<IdentityRow[]> =>
  db.rows(identityRows, [momentParameter(at), listed(machineIds)]);

const labelRows = statement(
  { registrationMark: z.string(), modelName: z.string(), depotId: z.guid(), depotName: z.string() },
  `SELECT m.registration_mark AS "registrationMark", o.name AS "modelName", d.id AS "depotId", d.name AS "depotName"
     FROM machine m JOIN machine_model o ON o.id = m.model_id JOIN depot d ON d.id = m.depot_id
     WHERE CASE WHEN $2::text IS NULL THEN ${inList("d.id", "$1")} AND m.state->>'withdrawn' IS NULL AND ${ofTheFleet("m.state")} ELSE m.id = $2::text::uuid END
     ORDER BY d.name, m.registration_mark`,
);
export type LabelRow = RowOf<typeof labelRows>;

/** What is printed on labels: of the machines in service at these depots, by depot and mark, or of one machine. */
export const readLabels = (db: Database, depotIds: readonly string[] | null, machineId?: string): Promise<LabelRow[]> =>
  db.rows(labelRows, [depotIds && listed(depotIds), machineId ?? null]);

const modelFigures = { engineCc: z.int().nullable(), features: featuresSchema, handbook: handbookSchema };
const modelRows = statement(
  {
    id: z.guid(),
    ...modelFigures,
    /** what it said before each of its revisions, oldest first */
    before: z.array(z.strictObject({ name: z.string(), ...modelFigures, until: z.iso.datetime({ offset: true }) })).nullable(),
  },
  `SELECT m.id, m.engine_cc AS "engineCc", m.features, m.handbook, CASE WHEN m.revision > 1 THEN (
       SELECT jsonb_agg(l.before || jsonb_build_object('until', l.recorded_at) ORDER BY l.position) FROM entry_model l
       WHERE l.chain_id = (SELECT id FROM firm) AND l.model_id = m.id) END AS before
     FROM machine_model m WHERE ${inList("m.id", "$1")}`,
);
export type ModelRow = RowOf<typeof modelRows>;

export const readModels = (db: Database, ids: readonly string[]): Promise<ModelRow[]> => db.rows(modelRows, [listed(ids)]);

// Defects

const instantInJson = z.iso.datetime({ offset: true });

/** What the check, inspection or report that found it says about the item. */
const finding = z.strictObject({
  odometerKm: z.int().nullable(),
  flags: z.array(z.string()).nullable(),
  /** the sheet it was made on; null where it was made on none */
  sheetVersion: z.string().nullable(),
  observationIds: z.array(z.string()).nullable(),
  verdict: itemVerdictSchema.nullable(),
});
export type FindingRow = Readonly<z.infer<typeof finding>>;

/** The entry as `read` takes it. */
const keptRecord = z.strictObject({ id: z.guid(), kind: z.string(), version: z.int(), data: z.unknown() });

const event = z.strictObject({
  id: z.guid(),
  kind: z.enum(["sighting", "re-grade", "deferral", "waiting", "note", "repair", "sign-off", "not-found"]),
  ...{ staffId: z.guid(), performedAt: instantInJson, recordedAt: instantInJson, entry: keptRecord, finding: finding.nullable() },
});
export type EventRow = Readonly<z.infer<typeof event>>;

const courseColumns = {
  ...{ id: z.guid(), machineId: z.guid(), depotId: z.guid(), timeZone: z.string(), ruleSet: ruleSetSchema },
  ...{ itemId: z.string().nullable(), note: z.string().nullable(), category: categorySchema },
  /** the name of the campaign whose job it is */
  campaign: z.string().nullable(),
  status: z.enum(["open", "deferred", "repaired", "signed-off", "not-found"]),
  ...{ origin: z.string(), reportedBy: z.guid(), seenAt: z.date(), recordedAt: z.date(), competence: competenceSchema },
  ...{ secondPerson: z.boolean(), quantity: quantitySchema.nullable(), dueDay: z.iso.date().nullable() },
  /** when the part is expected for which it waits; null if it waits for none */
  expectedDay: z.iso.date().nullable(),
  ...{ recurringOf: z.guid().nullable(), signedOffBetween: z.guid().nullable() },
  ...{ raised: keptRecord, finding, events: z.array(event).nullable() },
};

/**
 * From a whole sheet or report, only what is about this defect: the observations that the entry `told` counts as part of it, and the verdict on
 * its item or its quantity. The daily and the weekly item for one part are two items but one defect.
 */
const findingOf = (origin: string, told: string): string => `jsonb_build_object(
    'odometerKm', ${origin}.odometer_km, 'flags', ${origin}.flags,
    'observationIds', (SELECT jsonb_agg(o.id ORDER BY o.place) FROM jsonb_array_elements(${origin}.observation_ids) WITH ORDINALITY o (id, place)
      WHERE (SELECT f.observation_ids FROM entry_finding f WHERE f.id = ${told}.id) @> o.id),
    'sheetVersion', ${origin}.sheet_version,
    'verdict', coalesce((SELECT v.verdict FROM entry_verdict v WHERE v.id = ${origin}.id AND (v.item_id = d.item_id OR v.quantity = d.quantity)
        ORDER BY v.item_id = d.item_id DESC, v.place LIMIT 1),
      (SELECT r.verdict FROM entry_put_right r WHERE r.id = ${origin}.id AND r.item_id = d.item_id AND NOT r.is_right LIMIT 1),
      (SELECT p.verdict FROM entry_proof p WHERE p.id = ${origin}.id AND p.item_id = d.item_id)))`;

const entryOf = (entry: string): string =>
  `jsonb_build_object('id', ${entry}.id, 'kind', ${entry}.kind, 'version', ${entry}.version, 'data', ${entry}.data)`;

// A row of `defect` is its present state. What it was at a past moment when it was open is in its machine's state at that moment.
const courseSql = `
SELECT d.id, d.machine_id AS "machineId", d.depot_id AS "depotId", p.time_zone AS "timeZone", p.rule_set AS "ruleSet",
  d.item_id AS "itemId", d.note, (SELECT c.name FROM campaign c WHERE c.id = d.origin_id AND d.origin = 'campaign') AS campaign, coalesce(x.then->>'category', d.category) AS category, coalesce(x.then->>'status', d.status) AS status,
  d.origin, d.reported_by AS "reportedBy", d.seen_at AS "seenAt", d.recorded_at AS "recordedAt",
  coalesce(x.then->>'competence', d.competence) AS competence, coalesce((x.then->>'secondPerson')::bool, d.second_person) AS "secondPerson",
  d.quantity, CASE WHEN x.then IS NULL THEN d.due_day::text ELSE x.then->>'dueDay' END AS "dueDay",
  CASE WHEN x.then->'waiting'->'over' IS NULL THEN x.then->'waiting'->>'expectedDay' END AS "expectedDay", d.recurring_of AS "recurringOf", d.signed_off_between AS "signedOffBetween", ${entryOf("l")} AS raised, ${findingOf("o", "l")} AS finding,
  (SELECT jsonb_agg(jsonb_build_object('id', e.id, 'kind', e.kind, 'staffId', e.staff_id, 'performedAt', e.performed_at,
      'recordedAt', e.recorded_at, 'entry', ${entryOf("le")},
      'finding', CASE WHEN e.kind = 'sighting' THEN (SELECT ${findingOf("c", "le")} FROM entry_finding f JOIN entry_origin c ON c.id = f.origin_id WHERE f.id = le.id) END
    ) ORDER BY le.position) FROM defect_event e JOIN ledger le ON le.id = e.id WHERE e.defect_id = d.id AND ${arrived("e.recorded_at")}) AS events
FROM defect d JOIN depot p ON p.id = d.depot_id JOIN ledger l ON l.id = d.id LEFT JOIN entry_origin o ON o.id = d.origin_id
  LEFT JOIN LATERAL ${defectThen("d.machine_id", "d.id", "$1")} x ON true
WHERE ${arrived("d.recorded_at")}`;

// The instants limit what the index has to search; the exact days are those of the depot.
const within = (instant: string, from: string, to: string): string =>
  `${instant} >= ${from}::text::date - 2 AND ${instant} < ${to}::text::date + 3
   AND (${instant} AT TIME ZONE p.time_zone)::date BETWEEN ${from}::text::date AND ${to}::text::date`;
const seenIn = (from: string, to: string): string => within("d.seen_at", from, to);

const courseRows = statement(courseColumns, `${courseSql} AND ${inList("d.id", "$2")}`);
const courseOfMachineRows = statement(
  courseColumns,
  `${courseSql} AND d.machine_id = $2::text::uuid AND (x.then IS NOT NULL OR ${seenIn("$3", "$4")}
       OR EXISTS (SELECT 1 FROM defect_event e WHERE e.defect_id = d.id AND ${arrived("e.recorded_at")} AND ${within("e.performed_at", "$3", "$4")}))
     ORDER BY d.seen_at, d.id`,
);
export type CourseRow = RowOf<typeof courseRows>;

/** Defects by id, as they were at the moment; those that had not been recorded by then are left out. */
export const readCourses = (db: Database, defectIds: readonly string[], at: Moment): Promise<CourseRow[]> =>
  db.rows(courseRows, [momentParameter(at), listed(defectIds)]);

/** Defects of a machine that were open at the moment, were found in the period, or to which anything was done in it. */
export const readCoursesOfMachine = (db: Database, machineId: string, { from, to }: Period, at: Moment): Promise<CourseRow[]> =>
  db.rows(courseOfMachineRows, [momentParameter(at), machineId, from, to]);

// One machine

const stateRows = statement(
  { position: z.int(), firstUseDue: z.string().nullable(), openDefects: z.int(), odometerKm: z.int(), recordedAt: z.date() },
  `SELECT h.position, h.state->>'firstUseDue' AS "firstUseDue",
       jsonb_array_length(${listIn("h.state", "defects")}) AS "openDefects", ${numberIn("h.state", "odometerKm")} AS "odometerKm",
       h.recorded_at AS "recordedAt"
     FROM machine_state_history h
     WHERE h.machine_id = $2::text::uuid AND ${arrived("h.recorded_at")} AND ${saysNumber("h.state", "odometerKm")} ORDER BY h.position`,
);
export type HistoryStateRow = RowOf<typeof stateRows>;

/** What is asked of a machine's state after each act; oldest first. */
export const readStates = (db: Database, machineId: string, at: Moment): Promise<HistoryStateRow[]> =>
  db.rows(stateRows, [momentParameter(at), machineId]);

const inspectionRows = statement(
  {
    id: z.guid(),
    day: z.iso.date(),
    performedAt: z.date(),
    recordedAt: z.date(),
    position: z.int(),
    staffId: z.guid(),
    /** others than the one who signed */
    measuredBy: z.array(z.string()).readonly(),
    odometerKm: z.int(),
    defectCount: z.int(),
    verdicts: z.array(itemVerdictSchema).readonly(),
  },
  `SELECT w.id, w.local_day::text AS day, w.performed_at AS "performedAt", w.recorded_at AS "recordedAt", l.position, w.staff_id AS "staffId", w.odometer_km AS "odometerKm",
       w.defect_count AS "defectCount", coalesce(l.verdicts, '[]') AS verdicts, coalesce(l.measured_by, '[]') AS "measuredBy"
     FROM weekly_inspection w JOIN entry_inspection l ON l.id = w.id
     WHERE w.machine_id = $2::text::uuid AND w.local_day BETWEEN $3::text::date AND $4::text::date AND ${arrived("w.recorded_at")}
     ORDER BY w.performed_at, w.id`,
);
export type InspectionRow = RowOf<typeof inspectionRows>;

export const readInspections = (db: Database, machineId: string, { from, to }: Period, at: Moment): Promise<InspectionRow[]> =>
  db.rows(inspectionRows, [momentParameter(at), machineId, from, to]);

const paperColumns = {
  ...{ machineId: z.guid(), kind: paperKindSchema, number: z.string(), validFrom: z.iso.date(), validTo: z.iso.date() },
  ending: z
    .strictObject({
      ...{ day: z.iso.date(), reason: endingReasonSchema, grounds: z.boolean(), note: z.string().nullable() },
      ...{ staffId: z.guid(), recordedAt: instantInJson },
    })
    .nullable(),
};

const paperSql = `SELECT p.machine_id AS "machineId", p.kind, p.number, p.valid_from::text AS "validFrom", p.valid_to::text AS "validTo",
    CASE WHEN e.id IS NOT NULL THEN jsonb_build_object('day', e.day, 'reason', e.reason, 'grounds', e.grounds,
      'note', l.note, 'staffId', e.staff_id, 'recordedAt', e.recorded_at) END AS ending
  FROM paper p LEFT JOIN paper_ending e ON e.paper_id = p.id AND ${arrived("e.recorded_at")} LEFT JOIN entry_paper_ended l ON l.id = e.id`;

const paperRows = statement(
  paperColumns,
  `${paperSql} WHERE p.machine_id = $2::text::uuid AND ${arrived("p.recorded_at")} ORDER BY p.kind, p.valid_to DESC, p.id`,
);
const endedPaperRows = statement(
  paperColumns,
  `${paperSql} WHERE e.recorded_at >= $3::text::date AND ${inList("p.machine_id", "$2")} ORDER BY e.recorded_at, e.id`,
);
export type PaperOfMachine = RowOf<typeof paperRows>;

/** The machine's papers as they were known at the moment, each with the ending that had arrived by then. */
export const readPapers = (db: Database, machineId: string, at: Moment): Promise<PaperOfMachine[]> =>
  db.rows(paperRows, [momentParameter(at), machineId]);

/** Papers of the machines whose ending had arrived by the moment, and not before that day. */
export const readPaperEndings = (db: Database, machineIds: readonly string[], sinceDay: string, at: Date): Promise<PaperOfMachine[]> =>
  db.rows(endedPaperRows, [at.toISOString(), listed(machineIds), sinceDay]);

// The fleet

const dayCheckRows = statement(
  { machineId: z.guid(), performedAt: z.date(), staffId: z.guid(), foundDefects: z.boolean() },
  `SELECT DISTINCT ON (machine_id) machine_id AS "machineId", performed_at AS "performedAt", staff_id AS "staffId",
       defect_count > 0 AS "foundDefects"
     FROM daily_check
     WHERE local_day = $2::text::date AND recorded_at <= $3::text::timestamptz AND decision <> 'do-not-ride' AND ${inList("machine_id", "$1")}
     ORDER BY machine_id, performed_at DESC`,
);
export type DayCheckRow = RowOf<typeof dayCheckRows>;

/** The last check of each machine on a day that let it ride, among what had arrived by then. */
export const readDayChecks = (db: Database, machineIds: readonly string[], day: string, at: Date): Promise<DayCheckRow[]> =>
  db.rows(dayCheckRows, [listed(machineIds), day, at.toISOString()]);
