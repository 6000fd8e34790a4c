// The only SQL of the figures that reports, pages and answers share. Nothing is judged here.
import { z } from "zod";
import { categorySchema } from "../../shared/contracts/common.ts";
import { storedPolicy } from "../../shared/rules/policy.ts";
import { amendedSince, defectThen, fieldThen, type Moment, readJudged, readPolicy } from "../acts/index.ts";
import { type Database, idsIn, statement } from "../platform/index.ts";
import type { DoneAct, FoundDefect } from "./counts.ts";
import type { PolicySpan, StateSpan } from "./service-time.ts";
import type { Stretch } from "./stretches.ts";

/** Which records are read: those in the stretches, of some machines or of all, as far as they had arrived by the moment. */
export interface RecordsAsked {
  readonly stretches: readonly Stretch[];
  /** null: all that were at the depots of the stretches */
  readonly machineIds: readonly string[] | null;
  readonly at: Moment;
}

const reachOf = (stretches: readonly Stretch[]): { opens: string; closes: string } => ({
  opens: new Date(Math.min(...stretches.map(({ opens }) => opens.getTime()))).toISOString(),
  closes: new Date(Math.max(...stretches.map(({ closes }) => closes.getTime()))).toISOString(),
});
const listed = (ids: readonly string[] | null): string | null => ids && JSON.stringify(ids);

// States fetched at once.
const batchSize = 200;

const spanRows = statement(
  {
    ...{
      machineId: z.guid(),
      modelId: z.guid(),
      depotId: z.guid(),
      inServiceFrom: z.iso.date(),
      starts: z.date(),
      ends: z.date().nullable(),
    },
    state: z.record(z.string(), z.unknown()),
  },
  `WITH act AS (
       SELECT m.id AS machine_id, ${fieldThen.modelId} AS model_id, ${fieldThen.inServiceFrom} AS in_service_from, h.depot_id, h.recorded_at, h.position,
         jsonb_build_object('disposed', h.state->'disposed', 'away', h.state->'away', 'withdrawn', h.state->'withdrawn', 'defects', h.state->'defects', 'falls', h.state->'falls', 'papers', h.state->'papers',
           'firstUseDue', h.state->'firstUseDue', 'lastInspectionAt', h.state->'lastInspectionAt', 'cannotBeJudged', h.state->'cannotBeJudged') AS judged
       FROM machine m CROSS JOIN LATERAL ${amendedSince("$4")} a CROSS JOIN LATERAL (
         (SELECT position, depot_id, recorded_at, state FROM machine_state_history
          WHERE machine_id = m.id AND recorded_at <= $1::text::timestamptz ORDER BY recorded_at DESC, position DESC LIMIT 1)
         UNION ALL
         (SELECT position, depot_id, recorded_at, state FROM machine_state_history
          WHERE machine_id = m.id AND recorded_at > $1::text::timestamptz AND recorded_at < $2::text::timestamptz)) h
       WHERE CASE WHEN $3::text IS NULL THEN m.depot_id IN ${idsIn("$5")}
           -- One that has gone elsewhere since may have been there then.
           OR m.id IN (SELECT chain_id FROM entry_machine WHERE kind = 'machine-amended' AND recorded_at > $1::text::timestamptz AND to_depot_id IS NOT NULL)
         ELSE m.id IN ${idsIn("$3")} END
     ), beside AS (
       SELECT act.*, lag(judged) OVER each AS judged_before, lag(depot_id) OVER each AS depot_before
       FROM act WINDOW each AS (PARTITION BY machine_id ORDER BY recorded_at, position)
     )
     SELECT machine_id AS "machineId", model_id AS "modelId", depot_id AS "depotId", in_service_from::text AS "inServiceFrom", recorded_at AS starts,
       lead(recorded_at) OVER (PARTITION BY machine_id ORDER BY recorded_at, position) AS ends, judged AS state
     FROM beside WHERE judged_before IS NULL OR judged <> judged_before OR depot_id <> depot_before`,
);

/**
 * The states of machines during the stretches, each until the next act that changed anything that decides a standing. A span without an end
 * continues after the last stretch.
 */
export async function* streamStates(db: Database, { stretches, machineIds, at }: RecordsAsked): AsyncGenerator<StateSpan[]> {
  const { opens, closes } = reachOf(stretches);
  const spans = db.stream(
    spanRows,
    [opens, closes, listed(machineIds), at?.toISOString() ?? null, listed([...new Set(stretches.map(({ depotId }) => depotId))])],
    batchSize,
  );
  for await (const batch of spans) yield batch.map((span) => ({ ...span, state: readJudged(span.state) }));
}

const policyChangeRows = statement(
  { until: z.date(), policy: z.unknown() },
  `SELECT l.recorded_at AS until, l.before AS policy FROM entry_policy l JOIN firm f ON f.id = l.chain_id
   WHERE l.recorded_at > $1::text::timestamptz ORDER BY l.position`,
);

/** The firm's policies since then, each until the next; the last is the one of today. */
export async function readPoliciesSince(db: Database, since: Date): Promise<PolicySpan[]> {
  const changes = await db.rows(policyChangeRows, [since.toISOString()]);
  const spans = changes.map(({ until, policy }) => ({ until, policy: storedPolicy(policy) }));
  return [...spans, { until: null, policy: await readPolicy(db) }];
}

const stretchParameter = (stretches: readonly Stretch[]): string => JSON.stringify(stretches);
/** The stretches, and an instant that lies in one of them at the depot of an entry. */
const inStretch = (instant: string, entry: string): string => `JOIN jsonb_to_recordset($1::text::jsonb)
  AS p(n int, "depotId" uuid, opens timestamptz, closes timestamptz)
  ON p."depotId" = ${entry}.depot_id AND ${instant} >= p.opens AND ${instant} < p.closes`;
const inReach = (instant: string): string => `${instant} >= $2::text::timestamptz AND ${instant} < $3::text::timestamptz`;
const ofMachines = (column: string): string => `($4::text IS NULL OR ${column} IN ${idsIn("$4")})`;
const arrived = (column: string): string => `($5::text IS NULL OR ${column} <= $5::text::timestamptz)`;
const parametersOf = ({ stretches, machineIds, at }: RecordsAsked): (string | null)[] => {
  const { opens, closes } = reachOf(stretches);
  return [stretchParameter(stretches), opens, closes, listed(machineIds), at?.toISOString() ?? null];
};
/** SQL condition: `e` is the act that closed the defect `d`. The first of two looks closes nothing; its moment differs. */
const closingOf = `e.defect_id = d.id AND e.recorded_at = d.closed_at AND e.kind IN ('sign-off', 'not-found')`;

/** SQL condition: somebody found the defect `d`. A campaign's job was found by nobody here. */
const isFinding = "d.origin <> 'campaign'";

const foundRows = statement(
  {
    ...{ id: z.guid(), n: z.int(), depotId: z.guid(), modelId: z.guid(), itemId: z.string().nullable(), category: categorySchema },
    ...{ seenAt: z.date(), how: z.enum(["sign-off", "not-found"]).nullable(), closedAt: z.date().nullable() },
  },
  `SELECT d.id, p.n, l.depot_id AS "depotId", ${fieldThen.modelId} AS "modelId", d.item_id AS "itemId",
       coalesce(x.then->>'category', d.category) AS category, d.seen_at AS "seenAt", e.kind AS how, e.performed_at AS "closedAt"
     FROM defect d JOIN ledger l ON l.id = d.id ${inStretch("d.seen_at", "l")} JOIN machine m ON m.id = d.machine_id
       CROSS JOIN LATERAL ${amendedSince("$5")} a
       LEFT JOIN LATERAL ${defectThen("d.machine_id", "d.id", "$5")} x ON $5::text IS NOT NULL
       LEFT JOIN defect_event e ON ${closingOf} AND ${arrived("e.recorded_at")}
     WHERE ${isFinding} AND ${inReach("d.seen_at")} AND ${ofMachines("d.machine_id")} AND ${arrived("d.recorded_at")} ORDER BY d.seen_at DESC, d.id`,
);

/** Defects found in the stretches, as they were at the moment; the newest first. */
export const readFound = (db: Database, asked: RecordsAsked): Promise<FoundDefect[]> => db.rows(foundRows, parametersOf(asked));

const doneRows = statement(
  { defectId: z.guid(), kind: z.enum(["repair", "sign-off", "not-found"]), at: z.date(), seenAt: z.date() },
  `SELECT d.id AS "defectId", e.kind, e.performed_at AS at, d.seen_at AS "seenAt"
     FROM defect_event e JOIN defect d ON d.id = e.defect_id JOIN ledger l ON l.id = e.id ${inStretch("e.performed_at", "l")}
     WHERE ${isFinding} AND ${inReach("e.performed_at")} AND ${ofMachines("d.machine_id")} AND ${arrived("e.recorded_at")}
       AND (e.kind = 'repair' OR (${closingOf})) ORDER BY e.performed_at, e.id`,
);

/** What was repaired and closed in the stretches, whenever it was found, by what had arrived at the moment; oldest first. */
export const readDone = (db: Database, asked: RecordsAsked): Promise<DoneAct[]> => db.rows(doneRows, parametersOf(asked));
