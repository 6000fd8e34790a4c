// The SQL that reads what an act is decided on: the facts of a machine, now and at a past moment, and all that is kept of it.

import { z } from "zod";
import { featuresSchema, handbookSchema, ruleSetSchema } from "../../shared/contracts/machine-model.ts";
import { type Policy, secondPersonSchema, storedPolicy } from "../../shared/rules/policy.ts";
import { batch, type Database, databaseMs, idsIn, maybeOnesFault, type RowOf, statement } from "../platform/index.ts";
import type { MachineFacts } from "./facts.ts";
import type { FoldableEntry, FoldedDefect } from "./fold.ts";
import { listIn, readState } from "./stored-state.ts";

type Model = MachineFacts["model"];

const machineColumn = z.strictObject({
  ...{ id: z.guid(), registrationMark: z.string(), vin: z.string().nullable(), inServiceFrom: z.iso.date(), depotId: z.guid() },
  ...{ recordCount: z.int(), headSha256: z.string().nullable() },
});
const depotColumn = z.strictObject({
  ...{ name: z.string(), timeZone: z.string(), ruleSet: ruleSetSchema, secondPerson: secondPersonSchema.nullable() },
  clearanceOverMidnight: z.boolean().nullable(),
});
// JSON has the database's own way to write an instant.
const instantInJson = z.iso.datetime({ offset: true });
const whenKept = { performedAt: instantInJson, recordedAt: instantInJson };
const actColumns = { machine: machineColumn, state: z.unknown(), modelId: z.guid(), modelRevision: z.int(), depot: depotColumn };

const factsRows = statement(
  {
    ...{ place: z.int(), ...actColumns, policy: z.string().nullable(), databaseMs: z.number() },
    known: z
      .strictObject({
        ...{ id: z.guid(), kind: z.string(), version: z.int(), machineId: z.guid().nullable(), staffId: z.guid().nullable() },
        ...{ ...whenKept, data: z.unknown() },
      })
      .nullable(),
  },
  `
SELECT
  a.place,
  jsonb_build_object('id', m.id, 'registrationMark', m.registration_mark, 'vin', m.vin,
    'inServiceFrom', m.in_service_from, 'depotId', m.depot_id, 'recordCount', m.record_count, 'headSha256', encode(h.sha256, 'hex')) AS machine,
  m.state,
  o.id AS "modelId", o.revision AS "modelRevision",
  jsonb_build_object('name', d.name, 'timeZone', d.time_zone, 'ruleSet', d.rule_set, 'secondPerson', d.second_person,
    'clearanceOverMidnight', d.clearance_over_midnight) AS depot,
  (SELECT policy::text FROM firm) AS policy,
  ${databaseMs} AS "databaseMs",
  (SELECT jsonb_build_object('id', l.id, 'kind', l.kind, 'version', l.version, 'machineId', l.machine_id, 'staffId', l.staff_id,
      'performedAt', l.performed_at, 'recordedAt', l.recorded_at, 'data', l.data)
    FROM ledger l WHERE l.id = a.submission_id) AS known
FROM jsonb_to_recordset($1::text::jsonb) AS a (place int, machine_id uuid, submission_id uuid)
JOIN machine m ON m.id = a.machine_id
JOIN machine_model o ON o.id = m.model_id
JOIN depot d ON d.id = m.depot_id
LEFT JOIN ledger h ON h.chain_id = m.id AND h.position = m.record_count`,
);

/** A moment of the past, for which a report or the board may be asked; null: as things are now. */
export type Moment = Date | null;

/** The facts without a submission, as they were at the moment; null for a machine that is unknown, or was not there yet. */
export const readMachineFacts = (
  { acts }: { readonly acts: { readonly facts: FactsReader } },
  machineId: string,
  at: Moment = null,
): Promise<MachineFacts | null> => (at === null ? acts.facts.read({ machineId, submissionId: null }) : acts.facts.readAt(machineId, at));

/**
 * SQL: the last state of the machine `machine` (an expression) that had arrived by the moment `at` (a text parameter, null for now),
 * to be joined LATERAL.
 */
export const stateThen = (machine: string, at: string): string => `(SELECT depot_id, state, position FROM machine_state_history
    WHERE machine_id = ${machine} AND (${at}::text IS NULL OR recorded_at <= ${at}::text::timestamptz) ORDER BY recorded_at DESC, position DESC LIMIT 1)`;

/**
 * SQL: what amendments after the moment `at` took away from the machine `m`, as one object `was`, to be joined LATERAL: of several
 * values of one field the earliest. Null where nothing was amended since, and for now.
 */
export const amendedSince = (at: string): string => `(SELECT jsonb_object_agg(b.key, b.value ORDER BY l.position DESC) AS was
    FROM entry_machine l CROSS JOIN LATERAL jsonb_each(l.before) b
    WHERE l.chain_id = m.id AND l.kind = 'machine-amended' AND l.recorded_at > ${at}::text::timestamptz)`;

/** SQL: fields of the machine `m` as they were, beside `amendedSince` as `a`. */
export const fieldThen = {
  registrationMark: "coalesce(a.was->>'registrationMark', m.registration_mark)",
  vin: "CASE WHEN a.was ? 'vin' THEN a.was->>'vin' ELSE m.vin END",
  inServiceFrom: "coalesce((a.was->>'inServiceFrom')::date, m.in_service_from)",
  modelId: "coalesce((a.was->>'modelId')::uuid, m.model_id)",
};

/** SQL: a defect as the machine's state of that moment has it while it is open, as `then`, to be joined LATERAL; none where that cannot be read. */
export const defectThen = (
  machine: string,
  defect: string,
  at: string,
): string => `(SELECT held.defect AS then FROM ${stateThen(machine, at)} s
    CROSS JOIN LATERAL jsonb_array_elements(${listIn("s.state", "defects")}) held (defect)
    WHERE held.defect->>'id' = ${defect}::text AND held.defect->>'category' IN ('advisory', 'minor', 'major', 'dangerous')
      AND held.defect->>'status' IN ('open', 'deferred', 'repaired') AND jsonb_typeof(held.defect->'secondPerson') = 'boolean'
      AND coalesce(held.defect->>'dueDay', '2000-01-01') ~ '^\\d{4}-\\d\\d-\\d\\d$')`;

/** How facts are read and acts are written in one statement: what arrives while one is on its way goes as the next. */
export const actsAtOnce = { width: 1, most: 32, mostWaiting: 1024, triedAlone: maybeOnesFault };

const pastFactsRows = statement(
  actColumns,
  `SELECT jsonb_build_object('id', m.id, 'registrationMark', ${fieldThen.registrationMark}, 'vin', ${fieldThen.vin},
          'inServiceFrom', ${fieldThen.inServiceFrom}, 'depotId', s.depot_id, 'recordCount', s.position, 'headSha256', encode(h.sha256, 'hex')) AS machine,
        s.state, o.id AS "modelId", o.revision AS "modelRevision",
        jsonb_build_object('name', d.name, 'timeZone', d.time_zone, 'ruleSet', d.rule_set, 'secondPerson', d.second_person,
    'clearanceOverMidnight', d.clearance_over_midnight) AS depot
       FROM machine m CROSS JOIN LATERAL ${stateThen("m.id", "$2")} s CROSS JOIN LATERAL ${amendedSince("$2")} a
       JOIN machine_model o ON o.id = ${fieldThen.modelId}
       JOIN depot d ON d.id = s.depot_id
       LEFT JOIN ledger h ON h.chain_id = m.id AND h.position = s.position
       WHERE m.id = $1::text::uuid`,
);
const modelRows = statement(
  {
    ...{ id: z.guid(), name: z.string(), engineCc: z.int().nullable(), revision: z.int() },
    ...{ features: featuresSchema, handbook: handbookSchema },
  },
  `SELECT id, name, engine_cc AS "engineCc", revision, features, handbook FROM machine_model
       WHERE id IN ${idsIn("$1")}`,
);

export interface FactsAsked {
  readonly machineId: string;
  readonly submissionId: string | null;
}

/**
 * Reads the facts of machines. A firm has a few models and one policy, large beside a check and changed a few times a year: they are fetched
 * and read once a revision instead of with every act.
 */
export class FactsReader {
  readonly #db: Database;
  readonly #models = new Map<string, Model>();
  #policy: { readonly text: string; readonly policy: Policy } | null = null;

  constructor(db: Database) {
    this.#db = db;
  }

  /** The facts about a machine as they are now, and whether the submission's id is known already; null for an unknown machine. */
  readonly read: (asked: FactsAsked) => Promise<MachineFacts | null> = batch(
    (asked: readonly FactsAsked[]) => this.#readMany(asked),
    actsAtOnce,
  );

  async #readMany(asked: readonly FactsAsked[]): Promise<(MachineFacts | null)[]> {
    const rows = await this.#db.rows(factsRows, [
      JSON.stringify(asked.map(({ machineId, submissionId }, place) => ({ place, machine_id: machineId, submission_id: submissionId }))),
    ]);
    await this.#fetchModels(rows);
    const answers: (MachineFacts | null)[] = asked.map(() => null);
    for (const { place, machine, state, depot, known, policy, modelId, databaseMs: ms } of rows) {
      const model = this.#models.get(modelId);
      if (!model) continue;
      const entry = known && { ...known, performedAt: new Date(known.performedAt), recordedAt: new Date(known.recordedAt) };
      const read = { policy: this.#policyOf(policy ?? "{}"), databaseMs: ms, known: entry };
      answers[place] = { machine, state: readState(state), model, depot, ...read };
    }
    return answers;
  }

  /** The facts as they were at the moment; null for a machine that there was not yet. */
  async readAt(machineId: string, at: Date): Promise<MachineFacts | null> {
    const [row] = await this.#db.rows(pastFactsRows, [machineId, at.toISOString()]);
    if (!row) return null;
    const [policy] = await Promise.all([readPolicyAt(this.#db, at), this.#fetchModels([row])]);
    const { machine, state, depot, modelId } = row;
    const model = this.#models.get(modelId);
    return model ? { machine, state: readState(state), depot, model, policy, known: null } : null;
  }

  /** Fetches the models that the rows name, each at the revision named or a later one. */
  async #fetchModels(rows: readonly Pick<RowOf<typeof factsRows>, "modelId" | "modelRevision">[]): Promise<void> {
    const pending = new Set<string>();
    for (const { modelId, modelRevision } of rows) if ((this.#models.get(modelId)?.revision ?? -1) < modelRevision) pending.add(modelId);
    if (pending.size === 0) return;
    const fetched = await this.#db.rows(modelRows, [JSON.stringify([...pending])]);
    for (const model of fetched) this.#models.set(model.id, model);
  }

  #policyOf(text: string): Policy {
    if (this.#policy?.text !== text) this.#policy = { text, policy: storedPolicy(JSON.parse(text)) };
    return this.#policy.policy;
  }
}

const policyRows = statement({ policy: z.unknown() }, "SELECT policy FROM firm");
const pastPolicyRows = statement(
  { policy: z.unknown() },
  `SELECT coalesce((SELECT l.before FROM entry_policy l WHERE l.chain_id = firm.id
     AND l.recorded_at > $1::text::timestamptz ORDER BY l.position LIMIT 1), policy) AS policy FROM firm`,
);

/** The firm's policy. */
export async function readPolicy(db: Pick<Database, "rows">): Promise<Policy> {
  const [firm] = await db.rows(policyRows);
  return storedPolicy(firm?.policy);
}

/** The firm's policy as it was at that moment: what the first change after it replaced, else what it is now. */
export async function readPolicyAt(db: Database, at: Date): Promise<Policy> {
  const [firm] = await db.rows(pastPolicyRows, [at.toISOString()]);
  return storedPolicy(firm?.policy);
}

/** All that is kept of one machine, to be compared with its records. */
export interface KeptOfMachine {
  readonly recordCount: number;
  /** as it is stored, whether or not it can be read */
  readonly state: unknown;
  readonly history: readonly { readonly position: number; readonly state: unknown }[];
  readonly entries: readonly FoldableEntry[];
  readonly defects: readonly FoldedDefect[];
}

const keptRows = statement(
  {
    recordCount: z.int(),
    state: z.unknown(),
    history: z.array(z.strictObject({ position: z.int(), state: z.unknown() })).nullable(),
    entries: z
      .array(
        z.strictObject({
          ...{ id: z.guid(), position: z.int(), kind: z.string(), version: z.int(), staffId: z.guid().nullable(), data: z.unknown() },
          ...whenKept,
        }),
      )
      .nullable(),
    defects: z
      .array(
        z.strictObject({
          ...{ id: z.guid(), itemId: z.string().nullable(), observationIds: z.array(z.string()), category: z.string(), status: z.string() },
          ...{ dueDay: z.iso.date().nullable(), sightings: z.int(), repairedBy: z.guid().nullable(), closedBy: z.guid().nullable() },
          closedAt: instantInJson.nullable(),
        }),
      )
      .nullable(),
  },
  `
SELECT m.record_count AS "recordCount", m.state,
  (SELECT jsonb_agg(jsonb_build_object('position', h.position, 'state', h.state) ORDER BY h.position)
    FROM machine_state_history h WHERE h.machine_id = m.id) AS history,
  (SELECT jsonb_agg(jsonb_build_object('id', l.id, 'position', l.position, 'kind', l.kind, 'version', l.version, 'staffId', l.staff_id,
      'performedAt', l.performed_at, 'recordedAt', l.recorded_at, 'data', l.data) ORDER BY l.position)
    FROM ledger l WHERE l.chain_id = m.id) AS entries,
  (SELECT jsonb_agg(jsonb_build_object('id', d.id, 'itemId', d.item_id, 'observationIds', d.observation_ids, 'category', d.category,
      'status', d.status, 'dueDay', d.due_day, 'sightings', d.sightings, 'repairedBy', d.repaired_by, 'closedBy', d.closed_by,
      'closedAt', d.closed_at))
    FROM defect d WHERE d.machine_id = m.id) AS defects
FROM machine m WHERE m.id = $1::text::uuid`,
);

/** Everything kept of a machine in one statement; null for an unknown one. */
export async function readKeptOfMachine(db: Database, machineId: string): Promise<KeptOfMachine | null> {
  const [row] = await db.rows(keptRows, [machineId]);
  if (!row) return null;
  return {
    recordCount: row.recordCount,
    state: row.state,
    history: row.history ?? [],
    entries: (row.entries ?? []).map((entry) => ({
      ...entry,
      performedAt: new Date(entry.performedAt),
      recordedAt: new Date(entry.recordedAt),
    })),
    // The database writes an instant in its own way.
    defects: (row.defects ?? []).map((defect) => ({
      ...defect,
      closedAt: defect.closedAt === null ? null : new Date(defect.closedAt).toISOString(),
    })),
  };
}

const machineIdRows = statement(
  { id: z.guid() },
  "SELECT id FROM machine WHERE $1::text IS NULL OR id > $1::text::uuid ORDER BY id LIMIT $2::int",
);

/** Ids of machines in order, after one. */
export const machineIdsAfter = async (db: Database, after: string | null, limit: number): Promise<string[]> =>
  (await db.rows(machineIdRows, [after, limit])).map(({ id }) => id);

const depotsThenRows = statement(
  {
    /** null: it was not there yet */
    depotId: z.guid().nullable(),
    /** null: nothing of them had been recorded by then */
    person: z.strictObject({ allDepots: z.boolean(), depotIds: z.array(z.guid()) }).nullable(),
    /** something about the person was changed after that moment */
    amendedSince: z.boolean(),
  },
  `WITH said AS (
       SELECT l.position, l.recorded_at <= $3::text::timestamptz AS before, l.all_depots, l.depot_ids FROM entry_person l
       JOIN firm f ON f.id = l.chain_id WHERE l.kind IN ('person-added', 'person-amended') AND l.person_id = $2::text::uuid)
     SELECT (SELECT depot_id FROM machine_state_history
         WHERE machine_id = $1::text::uuid AND recorded_at <= $3::text::timestamptz ORDER BY recorded_at DESC, position DESC LIMIT 1) AS "depotId",
       (SELECT jsonb_build_object('allDepots', all_depots, 'depotIds', depot_ids) FROM said
         WHERE before ORDER BY position DESC LIMIT 1) AS person,
       EXISTS (SELECT FROM said WHERE NOT before) AS "amendedSince"`,
);
/** Where a machine was at a moment, and of which depots a person was: what the records said of them by then. */
export type DepotsThen = RowOf<typeof depotsThenRows>;

/** The depots of a machine and of a person at a past moment. */
export async function readDepotsThen(
  db: Database,
  { machineId, staffId, at }: { readonly machineId: string; readonly staffId: string; readonly at: Date },
): Promise<DepotsThen> {
  const [then] = await db.rows(depotsThenRows, [machineId, staffId, at.toISOString()]);
  if (!then) throw new Error("the query answers one row");
  return then;
}

const recordedRows = statement(
  {
    ...{ depotId: z.guid().nullable(), count: z.int(), later: z.int() },
    /** without daily checks that found nothing: they change no machine for anybody but the one who made them */
    telling: z.int(),
    tellingLater: z.int(),
  },
  `SELECT e.depot_id AS "depotId", count(*)::int AS count, (count(*) FILTER (WHERE e.is_later))::int AS later,
       (count(*) FILTER (WHERE e.is_telling))::int AS telling, (count(*) FILTER (WHERE e.is_telling AND e.is_later))::int AS "tellingLater"
     FROM (SELECT l.depot_id, l.recorded_at > $2::text::timestamptz AS is_later,
         l.kind <> 'daily-check' OR NOT EXISTS (SELECT FROM daily_check c WHERE c.id = l.id AND c.defect_count = 0) AS is_telling
       FROM ledger l WHERE l.recorded_at > $1::text::timestamptz) e GROUP BY e.depot_id`,
);
export type RecordedSince = RowOf<typeof recordedRows>;

/** How many entries of each depot arrived after `since`, and of these after `later`. */
export const recordedSince = (db: Database, since: Date, later: Date): Promise<RecordedSince[]> =>
  db.rows(recordedRows, [since.toISOString(), later.toISOString()]);
