// The SQL of campaigns: which machines each covers, and where its job stands on each. A job is a defect with the campaign as its origin.
import { z } from "zod";
import { type CampaignJob, jobStates } from "../../shared/contracts/campaigns.ts";
import { listIn, ofTheFleet } from "../acts/index.ts";
import {
  type Ask,
  among,
  asInstant,
  command,
  type Database,
  type DepotIds,
  idsIn,
  instantText,
  type RowOf,
  statement,
} from "../platform/index.ts";

/** SQL condition: the machine `m` is covered by the campaign `c` as things are now. */
const covers = `(m.model_id = ANY (c.model_ids) OR m.id = ANY (c.machine_ids))
  AND (c.depot_ids IS NULL OR m.depot_id = ANY (c.depot_ids)) AND ${ofTheFleet("m.state")}`;
const hasJob = "SELECT FROM defect j WHERE j.origin = 'campaign' AND j.origin_id = c.id AND j.machine_id = m.id";

/** SQL: the jobs of the campaign `c` at the depots `depots`, each as it stands at the moment `now`, to be joined LATERAL. */
const jobsOf = (now: string, depots: string): string => `(SELECT j.*,
    j.state IN ('open', 'waiting', 'repaired') AND j.is_over AS late,
    j.state IN ('open', 'waiting', 'repaired') AND (c.grounds OR j.is_over) AS grounded
  FROM (SELECT m.id AS machine_id, m.registration_mark, m.model_id, m.depot_id, p.name AS depot, p.time_zone, d.id AS defect_id, d.closed_by,
      CASE WHEN d.status = 'signed-off' THEN 'done' WHEN d.status = 'not-found' THEN 'nothing-found' WHEN NOT ${ofTheFleet("m.state")} THEN 'left'
        WHEN d.status = 'repaired' THEN 'repaired' WHEN w.day IS NOT NULL THEN 'waiting' ELSE 'open' END AS state,
      w.day AS expected_day, (d.closed_at AT TIME ZONE p.time_zone)::date AS done_day,
      (${now}::text::timestamptz AT TIME ZONE p.time_zone)::date > c.due_day AS is_over
    FROM (SELECT d.machine_id FROM defect d WHERE d.origin = 'campaign' AND d.origin_id = c.id
        UNION SELECT m.id FROM machine m WHERE c.ended_at IS NULL AND ${covers}) covered
      JOIN machine m ON m.id = covered.machine_id JOIN depot p ON p.id = m.depot_id
      LEFT JOIN defect d ON d.origin = 'campaign' AND d.origin_id = c.id AND d.machine_id = m.id
      LEFT JOIN LATERAL (SELECT f->'waiting'->>'expectedDay' AS day FROM jsonb_array_elements(${listIn("m.state", "defects")}) f
        WHERE f->>'id' = d.id::text AND f->'waiting'->'over' IS NULL) w ON true
    WHERE ${among("m.depot_id", depots)}) j)`;

const named = (of: string, from: string, name: string, ids: string): string =>
  `(SELECT coalesce(jsonb_agg(jsonb_build_object('id', n.id, '${of}', n.${name}) ORDER BY n.${name}), '[]') FROM ${from} n WHERE n.id = ANY (${ids}))`;

const totals = ["machines", ...jobStates, "late", "grounded"] as const;
const campaignColumns = {
  ...{ id: z.guid(), name: z.string(), itemId: z.string().nullable(), job: z.string(), grounds: z.boolean(), dueDay: z.iso.date() },
  models: z.array(z.strictObject({ id: z.guid(), name: z.string() })),
  machines: z.array(z.strictObject({ id: z.guid(), registrationMark: z.string() })),
  depots: z.array(z.strictObject({ id: z.guid(), name: z.string() })).nullable(),
  addedBy: z.strictObject({ staffId: z.guid(), name: z.string() }),
  addedAt: instantText,
  ended: z.strictObject({ staffId: z.guid(), name: z.string(), at: instantText, reason: z.string() }).nullable(),
  totals: z.strictObject(Object.fromEntries(totals.map((name) => [name, z.int()])) as Record<(typeof totals)[number], z.ZodInt>),
};
const campaignSql = (
  now: string,
  depots: string,
): string => `SELECT c.id, c.name, c.item_id AS "itemId", c.job, c.grounds, c.due_day::text AS "dueDay",
  ${named("name", "machine_model", "name", "c.model_ids")} AS models,
  ${named("registrationMark", "machine", "registration_mark", "c.machine_ids")} AS machines,
  CASE WHEN c.depot_ids IS NOT NULL THEN ${named("name", "depot", "name", "c.depot_ids")} END AS depots,
  (SELECT jsonb_build_object('staffId', s.id, 'name', s.name) FROM staff s WHERE s.id = c.added_by) AS "addedBy", ${asInstant("c.added_at")} AS "addedAt",
  CASE WHEN c.ended_at IS NOT NULL THEN (SELECT jsonb_build_object('staffId', s.id, 'name', s.name, 'at', ${asInstant("c.ended_at")},
    'reason', c.end_reason) FROM staff s WHERE s.id = c.ended_by) END AS ended, t.totals
FROM campaign c CROSS JOIN LATERAL (SELECT jsonb_build_object('machines', count(*),
    ${jobStates.map((state) => `'${state}', count(*) FILTER (WHERE j.state = '${state}')`).join(", ")},
    'late', count(*) FILTER (WHERE j.late), 'grounded', count(*) FILTER (WHERE j.grounded)) AS totals, count(*) AS covered FROM ${jobsOf(now, depots)} j) t`;

const listed = (ids: DepotIds): string | null => (ids === null ? null : JSON.stringify(ids));

const campaignRows = statement(campaignColumns, `${campaignSql("$2", "$3")} WHERE c.id = $1::text::uuid`);
const campaignPageRows = statement(
  campaignColumns,
  `${campaignSql("$1", "$2")}
   WHERE ($3::text = 'all' OR (c.ended_at IS NULL) = ($3::text = 'running'))
     AND ($2::text IS NULL OR c.depot_ids && ARRAY${idsIn("$2")} OR t.covered > 0)
     AND ($4::text IS NULL OR (c.added_at, c.id) < ($4::text::timestamptz, $5::text::uuid))
   ORDER BY c.added_at DESC, c.id DESC LIMIT $6::int`,
);
export type CampaignRow = RowOf<typeof campaignRows>;

interface Seen {
  readonly now: Date;
  /** the depots whose machines are counted; null: all */
  readonly depotIds: DepotIds;
}

/** A campaign with its figures; null for an unknown one. */
export const readCampaign = async (ask: Ask, id: string, { now, depotIds }: Seen): Promise<CampaignRow | null> =>
  (await ask(campaignRows, [id, now.toISOString(), listed(depotIds)]))[0] ?? null;

/** Campaigns of these depots newest first, `limit + 1` of them, after the cursor's place. */
export const findCampaigns = (
  db: Database,
  { now, depotIds }: Seen,
  state: "running" | "ended" | "all",
  after: readonly string[] | null,
  limit: number,
): Promise<CampaignRow[]> =>
  db.rows(campaignPageRows, [now.toISOString(), listed(depotIds), state, after?.[0] ?? null, after?.[1] ?? null, limit + 1]);

const placeRows = statement(
  { depotIds: z.array(z.guid()).nullable(), whereItIs: z.array(z.guid()) },
  `SELECT to_jsonb(c.depot_ids) AS "depotIds", (SELECT coalesce(jsonb_agg(DISTINCT m.depot_id), '[]') FROM defect d JOIN machine m ON m.id = d.machine_id
     WHERE d.origin = 'campaign' AND d.origin_id = c.id) AS "whereItIs"
   FROM campaign c WHERE c.id = $1::text::uuid`,
);
/** The depots that a campaign is over, null for all, and those where machines with its job are now. */
export type CampaignPlace = RowOf<typeof placeRows>;
export const readPlace = async (db: Database, id: string): Promise<CampaignPlace | null> => (await db.rows(placeRows, [id]))[0] ?? null;

const jobRows = statement(
  {
    ...{ machineId: z.guid(), registrationMark: z.string(), model: z.string(), depotId: z.guid(), depot: z.string() },
    ...{ defectId: z.guid().nullable(), state: z.enum(jobStates), expectedDay: z.iso.date().nullable(), doneDay: z.iso.date().nullable() },
    ...{ doneBy: z.string().nullable(), late: z.boolean(), grounded: z.boolean() },
  },
  `SELECT j.machine_id AS "machineId", j.registration_mark AS "registrationMark", o.name AS model, j.depot_id AS "depotId", j.depot,
     j.defect_id AS "defectId", j.state, CASE WHEN j.state = 'waiting' THEN j.expected_day END AS "expectedDay", j.done_day::text AS "doneDay",
     s.name AS "doneBy", j.late, j.grounded
   FROM campaign c CROSS JOIN LATERAL ${jobsOf("$2", "$3")} j JOIN machine_model o ON o.id = j.model_id LEFT JOIN staff s ON s.id = j.closed_by
   WHERE c.id = $1::text::uuid ORDER BY j.registration_mark, j.machine_id`,
);

/** Where a campaign's job stands on each machine, by mark. */
export const readProgress = (ask: Ask, id: string, { now, depotIds }: Seen): Promise<CampaignJob[]> =>
  ask(jobRows, [id, now.toISOString(), listed(depotIds)]);

// Adding and ending

const namedRows = statement(
  {
    models: z.array(z.guid()),
    machines: z.array(z.strictObject({ id: z.guid(), depotId: z.guid(), isOfFleet: z.boolean() })),
    machinesCovered: z.int(),
    zones: z.array(z.string()),
  },
  `WITH c AS (SELECT ARRAY${idsIn("$1")} AS model_ids, ARRAY${idsIn("$2")} AS machine_ids,
       CASE WHEN $3::text IS NOT NULL THEN ARRAY${idsIn("$3")} END AS depot_ids),
     covered AS (SELECT m.id, p.time_zone FROM c CROSS JOIN machine m JOIN depot p ON p.id = m.depot_id WHERE ${covers})
   SELECT (SELECT coalesce(jsonb_agg(o.id), '[]') FROM machine_model o, c WHERE o.id = ANY (c.model_ids)) AS models,
     (SELECT coalesce(jsonb_agg(jsonb_build_object('id', m.id, 'depotId', m.depot_id, 'isOfFleet', ${ofTheFleet("m.state")})), '[]')
       FROM machine m, c WHERE m.id = ANY (c.machine_ids)) AS machines,
     (SELECT count(*)::int FROM covered) AS "machinesCovered",
     (SELECT coalesce(jsonb_agg(DISTINCT time_zone), '[]') FROM covered) AS zones`,
);
export type NamedRow = RowOf<typeof namedRows>;

interface Over {
  readonly modelIds: readonly string[];
  readonly machineIds: readonly string[];
  readonly depotIds: DepotIds;
}

/** What is known of the models and machines that a campaign names, and how many machines that covers. */
export async function readNamed(ask: Ask, { modelIds, machineIds, depotIds }: Over): Promise<NamedRow> {
  const [row] = await ask(namedRows, [JSON.stringify(modelIds), JSON.stringify(machineIds), listed(depotIds)]);
  if (!row) throw new Error("the query answers one row");
  return row;
}

const insertsCampaign = command(
  `INSERT INTO campaign (id, name, job, grounds, due_day, model_ids, machine_ids, depot_ids, added_by, added_at, item_id)
   VALUES ($1::text::uuid, $2::text, $3::text, $4::bool, $5::text::date, ARRAY${idsIn("$6")}, ARRAY${idsIn("$7")},
     CASE WHEN $8::text IS NOT NULL THEN ARRAY${idsIn("$8")} END, $9::text::uuid, $10::text::timestamptz, $11::text)`,
);

export interface NewCampaign extends Over {
  readonly id: string;
  readonly name: string;
  readonly itemId: string | null;
  readonly job: string;
  readonly grounds: boolean;
  readonly dueDay: string;
  readonly by: string;
  readonly at: Date;
}

export async function insertCampaign(ask: Ask, campaign: NewCampaign): Promise<void> {
  const { id, name, itemId, job, grounds, dueDay, modelIds, machineIds, depotIds, by, at } = campaign;
  const ids = [JSON.stringify(modelIds), JSON.stringify(machineIds), listed(depotIds)];
  await ask(insertsCampaign, [id, name, job, grounds, dueDay, ...ids, by, at.toISOString(), itemId]);
}

const endingRows = statement(
  { name: z.string(), hasEnded: z.boolean() },
  'SELECT name, ended_at IS NOT NULL AS "hasEnded" FROM campaign WHERE id = $1::text::uuid FOR UPDATE',
);
/** Locks the campaign, so that of two endings the second finds the first. */
export async function holdCampaign(ask: Ask, id: string): Promise<RowOf<typeof endingRows>> {
  const [row] = await ask(endingRows, [id]);
  if (!row) throw new Error("a campaign is never deleted");
  return row;
}

const endsCampaign = command(
  `UPDATE campaign SET ended_with = $2::text::uuid, ended_by = $3::text::uuid, ended_at = $4::text::timestamptz, end_reason = $5::text
   WHERE id = $1::text::uuid`,
);
export async function markEnded(
  ask: Ask,
  id: string,
  { entryId, by, at, reason }: { readonly entryId: string; readonly by: string; readonly at: Date; readonly reason: string },
): Promise<void> {
  await ask(endsCampaign, [id, entryId, by, at.toISOString(), reason]);
}

// Opening its job on machines

const uncoveredRows = statement(
  {
    ...{ id: z.guid(), name: z.string(), job: z.string(), grounds: z.boolean(), dueDay: z.iso.date(), addedBy: z.guid() },
    ...{ itemId: z.string().nullable(), machineId: z.guid() },
  },
  `SELECT c.id, c.name, c.job, c.grounds, c.due_day::text AS "dueDay", c.added_by AS "addedBy", c.item_id AS "itemId",
     m.id AS "machineId"
   FROM campaign c JOIN machine m ON ${covers}
   WHERE c.ended_at IS NULL AND ($1::text IS NULL OR c.id = $1::text::uuid) AND NOT EXISTS (${hasJob})
     AND ($2::text IS NULL OR (c.id, m.id) > ($2::text::uuid, $3::text::uuid)) ORDER BY c.id, m.id LIMIT $4::int`,
);
/** A machine that a campaign covers and that has not its job yet. */
export type UncoveredRow = RowOf<typeof uncoveredRows>;

/** Machines without the job of a campaign that covers them, `limit` at most, after the last one looked at; of one campaign, or of all. */
export const findUncovered = (
  db: Database,
  campaignId: string | null,
  after: UncoveredRow | null,
  limit: number,
): Promise<UncoveredRow[]> => db.rows(uncoveredRows, [campaignId, after?.id ?? null, after?.machineId ?? null, limit]);
