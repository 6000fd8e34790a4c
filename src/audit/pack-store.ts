// The SQL of what a pack shows besides its records: their neighbours in the chains, and the names of their ids.
import { z } from "zod";
import { amendedSince, fieldThen } from "../acts/index.ts";
import { storedRecordColumns } from "../ledger/index.ts";
import { type Database, idsIn, type RowOf, statement } from "../platform/index.ts";
import type { Coverage, SpanOfDepot } from "./coverage.ts";

/** Stands for 'no depot' where depots are compared: no depot has this id. */
const noDepotId = "00000000-0000-0000-0000-000000000000";
const batchSize = 200;

export interface Around {
  readonly treeSize: number;
  readonly spans: readonly SpanOfDepot[];
  readonly coverage: Coverage;
  /** chains that are shown whole, because a clock jumped */
  readonly whole: readonly string[];
}

// Of a chain with entries in or near the month: all from the one before them to the one after them. Of any other chain: the two entries between
// which the month lies. Of every chain: the last one. Entries of the month itself are the pack's records, so they are left out here.
const { salt: _salt, data: _data, ...envelopeColumns } = storedRecordColumns;
const neighbourRows = statement(
  { ...envelopeColumns, leafIndex: z.int() },
  `
WITH chain AS MATERIALIZED (SELECT chain_id, length FROM sealed_chains($1::float8::bigint)),
  span AS (SELECT * FROM jsonb_to_recordset($2::text::jsonb) AS a (depot_id uuid, starts timestamptz, ends timestamptz)),
  within AS (
    SELECT l.chain_id, min(l.position) AS first, max(l.position) AS last
    FROM ledger l JOIN chain c ON c.chain_id = l.chain_id AND l.position <= c.length
    WHERE l.recorded_at >= $3::text::timestamptz AND l.recorded_at < $4::text::timestamptz GROUP BY l.chain_id),
  beyond AS (
    SELECT c.chain_id, (SELECT min(l.position) FROM ledger l
      WHERE l.chain_id = c.chain_id AND l.position <= c.length AND l.recorded_at >= $4::text::timestamptz) AS first
    FROM chain c WHERE NOT EXISTS (SELECT FROM within w WHERE w.chain_id = c.chain_id)),
  place AS (
    SELECT chain_id, generate_series(first - 1, last + 1) AS position FROM within
    UNION SELECT chain_id, generate_series(first - 1, first) FROM beyond
    UNION SELECT chain_id, length FROM chain
    UNION SELECT chain_id, generate_series(1, length) FROM chain
      WHERE chain_id IN ${idsIn("$5")})
SELECT l.id, l.chain_id AS "chainId", l.position, l.kind, l.version, l.machine_id AS "machineId", l.depot_id AS "depotId",
  l.staff_id AS "staffId", l.performed_at AS "performedAt", l.recorded_at AS "recordedAt", encode(l.data_sha256, 'hex') AS "dataSha256",
  encode(p.sha256, 'hex') AS "previousSha256", encode(l.sha256, 'hex') AS sha256, e.leaf_index::float8 AS "leafIndex"
FROM place JOIN chain c ON c.chain_id = place.chain_id
JOIN ledger l ON l.chain_id = place.chain_id AND l.position = place.position AND l.position <= c.length
JOIN sealed_entry e ON e.entry_id = l.id
LEFT JOIN ledger p ON p.chain_id = l.chain_id AND p.position = l.position - 1
WHERE NOT EXISTS (SELECT FROM span a
  WHERE a.depot_id = coalesce(l.depot_id, '${noDepotId}'::uuid) AND l.recorded_at >= a.starts AND l.recorded_at < a.ends)
ORDER BY e.leaf_index`,
);
export type Neighbour = RowOf<typeof neighbourRows>;

/** The neighbours of a month's records, in the order of their leaves, streamed in batches. */
export function neighboursOf(db: Database, { treeSize, spans, coverage, whole }: Around): AsyncIterable<Neighbour[]> {
  const rows = spans.map(({ depotId, starts, ends }) => ({ depot_id: depotId ?? noDepotId, starts, ends }));
  const parameters = [treeSize, JSON.stringify(rows), coverage.from.toISOString(), coverage.to.toISOString(), JSON.stringify(whole)];
  return db.stream(neighbourRows, parameters, batchSize);
}

const nameRows = statement(
  {
    ...{ id: z.guid(), is: z.enum(["depot", "machine", "model", "person"]), called: z.string() },
    /** a person's staff number */
    number: z.string().nullable(),
    forgotten: z.boolean(),
  },
  `WITH renamed AS (SELECT DISTINCT ON (about) about, name FROM (
         SELECT c.position, c.recorded_at, c.about_depot_id AS about, c.name_before AS name FROM entry_depot c JOIN firm f ON f.id = c.chain_id
         UNION ALL SELECT c.position, c.recorded_at, c.model_id, c.name_before FROM entry_model c JOIN firm f ON f.id = c.chain_id) changed
       WHERE recorded_at > $1::text::timestamptz AND name IS NOT NULL ORDER BY about, position),
     forgotten AS (SELECT c.person_id FROM entry_person c JOIN firm f ON f.id = c.chain_id WHERE c.kind = 'person-forgotten')
     SELECT d.id, 'depot' AS is, coalesce(r.name, d.name) AS called, NULL AS number, false AS forgotten
       FROM depot d LEFT JOIN renamed r ON r.about = d.id
     UNION ALL SELECT o.id, 'model', coalesce(r.name, o.name), NULL, false FROM machine_model o LEFT JOIN renamed r ON r.about = o.id
     UNION ALL SELECT m.id, 'machine', ${fieldThen.registrationMark}, NULL, false FROM machine m CROSS JOIN LATERAL ${amendedSince("$1")} a
     UNION ALL SELECT s.id, 'person', s.name, s.staff_number,
       EXISTS (SELECT FROM forgotten WHERE forgotten.person_id = s.id) FROM staff s
     ORDER BY 2, 1`,
);
/** What an id stands for, and what it was called. */
export type NameRow = RowOf<typeof nameRows>;

/**
 * The names of machines, depots and models at a moment; people's names as they are now, since no record holds them. Whoever was made anonymous
 * has the neutral name and number.
 */
export const namesAt = (db: Database, at: Date): Promise<NameRow[]> => db.rows(nameRows, [at.toISOString()]);
