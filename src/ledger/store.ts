// The SQL of checkpoints and proofs.

import { z } from "zod";
import type { Checkpoint } from "../../shared/contracts/records.ts";
import { type Ask, command, type Database, type RowOf, statement } from "../platform/index.ts";
import { type HashOf, type Leaves, leafHash, type Whole, wholesOf } from "./merkle.ts";

const sameEntryRows = statement({ id: z.guid() }, "SELECT id FROM ledger WHERE id = $1::text::uuid AND sha256 = decode($2::text, 'hex')");

/** Whether exactly this entry is stored. Asked by its hash too, because another entry may have taken the id by now. */
export async function isStored(db: Database, { id, sha256 }: { readonly id: string; readonly sha256: string }): Promise<boolean> {
  const found = await db.rows(sameEntryRows, [id, sha256]);
  return found.length > 0;
}

const treeRows = statement({ size: z.int() }, "SELECT size::float8 AS size FROM tree FOR UPDATE");

/** The tree's size, with its row locked until the transaction ends: only one process seals at a time. */
export async function holdTree(ask: Ask): Promise<number> {
  const [tree] = await ask(treeRows);
  if (!tree) throw new Error("the tree's row is there since the migration");
  return tree.size;
}

// The count of records on a machine's and the firm's row is the length of its chain: it moves in the transaction that writes the
// entries, one writer at a time. So one look at all counts sees every entry that was committed before, and none that was not.
// A chain's entries keep their order among the leaves, whatever the clocks of two writers said.
const placedRows = statement(
  { sha256: z.string() },
  `
WITH head AS (
    SELECT id AS chain_id, record_count FROM machine UNION ALL SELECT id, record_count FROM firm),
  due AS (
    SELECT h.chain_id, coalesce(s.position, 0) AS after, h.record_count FROM head h LEFT JOIN sealed_chain s ON s.chain_id = h.chain_id
    WHERE h.record_count > coalesce(s.position, 0)),
  waiting AS (
    SELECT l.id, l.chain_id, l.position, l.sha256, max(l.recorded_at) OVER (PARTITION BY l.chain_id ORDER BY l.position) AS turn
    FROM due JOIN ledger l ON l.chain_id = due.chain_id AND l.position > due.after AND l.position <= due.record_count),
  taken AS (
    SELECT id, chain_id, position, sha256, $1::float8::bigint - 1 + row_number() OVER (ORDER BY turn, chain_id, position) AS leaf_index
    FROM waiting ORDER BY turn, chain_id, position LIMIT $2::int),
  placed AS (INSERT INTO sealed_entry (leaf_index, entry_id) SELECT leaf_index, id FROM taken),
  marked AS (
    INSERT INTO sealed_chain (chain_id, position) SELECT chain_id, max(position) FROM taken GROUP BY chain_id
    ON CONFLICT (chain_id) DO UPDATE SET position = EXCLUDED.position)
SELECT encode(sha256, 'hex') AS sha256 FROM taken ORDER BY leaf_index`,
);

/** Gives the entries that are not in the tree yet, at most `most` of them, their places after `size`; returns their hashes in that order. */
export async function placeWaiting(ask: Ask, size: number, most: number): Promise<string[]> {
  return (await ask(placedRows, [size, most])).map(({ sha256 }) => sha256);
}

export interface NodeRow extends Whole {
  readonly sha256: string;
}

const insertNodes = command("INSERT INTO tree_node SELECT * FROM jsonb_populate_recordset(NULL::tree_node, $1::text::jsonb)");
const setSize = command("UPDATE tree SET size = $1::float8::bigint");

/** Keeps the subtrees that became whole, and the tree's new size. */
export async function keepGrowth(ask: Ask, nodes: readonly NodeRow[], size: number): Promise<void> {
  const rows = nodes.map(({ level, index, sha256 }) => ({ level, node_index: index, sha256: `\\x${sha256}` }));
  await ask(insertNodes, [JSON.stringify(rows)]);
  await ask(setSize, [size]);
}

const nodeRows = statement(
  { level: z.int(), index: z.int(), sha256: z.string() },
  `SELECT w.level, w.index, encode(coalesce(n.sha256, l.sha256), 'hex') AS sha256
     FROM jsonb_to_recordset($1::text::jsonb) AS w (level int, index float8)
     LEFT JOIN tree_node n ON n.level = w.level AND n.node_index = w.index::bigint
     LEFT JOIN sealed_entry s ON w.level = 0 AND s.leaf_index = w.index::bigint
     LEFT JOIN ledger l ON l.id = s.entry_id`,
);

/** The hashes of all whole subtrees of these ranges, fetched at once. */
export async function hashesOf(ask: Ask, ranges: readonly Leaves[]): Promise<HashOf> {
  const wanted = ranges.flatMap(wholesOf);
  const rows = await ask(nodeRows, [JSON.stringify(wanted)]);
  const hashes = new Map(
    rows.map(({ level, index, sha256 }) => [`${level}/${index}`, level === 0 ? leafHash(Buffer.from(sha256, "hex")) : sha256]),
  );
  return ({ level, index }) => {
    const found = hashes.get(`${level}/${index}`);
    if (!found) throw new Error(`the tree lacks its node ${level}/${index}`);
    return found;
  };
}

const checkpointColumns = {
  ...{ number: z.int(), treeSize: z.int(), rootSha256: z.string(), takenAt: z.date(), kid: z.string(), jws: z.string() },
  ...{ chainCount: z.int().nullable(), chainsSha256: z.string().nullable() },
};
const checkpointSql = `SELECT number, tree_size::float8 AS "treeSize", encode(root_sha256, 'hex') AS "rootSha256", taken_at AS "takenAt", kid, jws,
  chain_count AS "chainCount", encode(chains_sha256, 'hex') AS "chainsSha256" FROM checkpoint`;
const checkpointRows = statement(
  checkpointColumns,
  `${checkpointSql} WHERE $1::int IS NULL OR number = $1::int ORDER BY number DESC LIMIT 1`,
);
const earlierCheckpointRows = statement(
  checkpointColumns,
  `${checkpointSql} WHERE $1::int IS NULL OR number < $1::int ORDER BY number DESC LIMIT $2::int`,
);
const checkpointWithinRows = statement(
  checkpointColumns,
  `${checkpointSql} WHERE taken_at < $2::text::timestamptz
     AND number >= coalesce((SELECT max(number) FROM checkpoint WHERE taken_at < $1::text::timestamptz), 0) ORDER BY number`,
);
const told = ({ takenAt, ...row }: RowOf<typeof checkpointRows>): Checkpoint => ({ ...row, takenAt: new Date(takenAt).toISOString() });

/** The last checkpoint, or the one of this number; null where there is none. */
export async function readCheckpoint(ask: Ask, number: number | null = null): Promise<Checkpoint | null> {
  const [row] = await ask(checkpointRows, [number]);
  return row ? told(row) : null;
}

/** Checkpoints before a number, newest first. */
export const checkpointsBefore = async (ask: Ask, number: number | null, limit: number): Promise<Checkpoint[]> =>
  (await ask(earlierCheckpointRows, [number, limit])).map(told);

/** The checkpoints taken within a span, and the last one before it; oldest first. */
export const checkpointsWithin = async (ask: Ask, from: Date, to: Date): Promise<Checkpoint[]> =>
  (await ask(checkpointWithinRows, [from.toISOString(), to.toISOString()])).map(told);

const insertsCheckpoint = command(
  `INSERT INTO checkpoint (number, tree_size, root_sha256, taken_at, kid, jws, chain_count, chains_sha256) VALUES
     ($1::int, $2::float8::bigint, decode($3::text, 'hex'), $4::text::timestamptz, $5::text, $6::text, $7::int, decode($8::text, 'hex'))`,
);

export async function insertCheckpoint(ask: Ask, checkpoint: Checkpoint): Promise<void> {
  const { number, treeSize, rootSha256, takenAt, kid, jws, chainCount, chainsSha256 } = checkpoint;
  await ask(insertsCheckpoint, [number, treeSize, rootSha256, takenAt, kid, jws, chainCount, chainsSha256]);
}

const chainsStatedRows = statement(
  { chainCount: z.int(), chainsSha256: z.string(), entries: z.int() },
  `SELECT chains AS "chainCount", encode(list_sha256, 'hex') AS "chainsSha256", entries::float8 AS entries FROM chain_list($1::float8::bigint)`,
);

/** What a checkpoint of `treeSize` leaves states about the chains, as the database sees them in this transaction. */
export async function chainsStated(ask: Ask, treeSize: number): Promise<{ chainCount: number; chainsSha256: string }> {
  const [row] = await ask(chainsStatedRows, [treeSize]);
  if (row?.entries !== treeSize) throw new Error(`the chains hold ${row?.entries} entries, and the tree ${treeSize}`);
  return { chainCount: row.chainCount, chainsSha256: row.chainsSha256 };
}

const sealedChainRows = statement(
  {
    ...{ chainId: z.guid(), length: z.int() },
    /** of its last entry */
    sha256: z.string(),
  },
  `SELECT chain_id AS "chainId", length, encode(sha256, 'hex') AS sha256 FROM sealed_chains($1::float8::bigint) ORDER BY chain_id`,
);
/** A chain as a checkpoint knows it. */
export type SealedChain = RowOf<typeof sealedChainRows>;

/** The chains as they are in a tree of `treeSize` leaves, in the order in which a checkpoint states them. */
export const sealedChains = (ask: Ask, treeSize: number): Promise<SealedChain[]> => ask(sealedChainRows, [treeSize]);

const firmRows = statement({ id: z.guid() }, "SELECT id FROM firm");

/** The id of the firm; null before its founding. */
export const readFirmId = async (ask: Ask): Promise<string | null> => (await ask(firmRows))[0]?.id ?? null;

/** The columns of an entry as the store hands it out (`StoredRecord`). */
export const storedRecordColumns = {
  ...{ id: z.guid(), chainId: z.guid(), position: z.int(), kind: z.string(), version: z.int(), machineId: z.guid().nullable() },
  ...{ depotId: z.guid().nullable(), staffId: z.guid().nullable(), performedAt: z.date(), recordedAt: z.date(), dataSha256: z.string() },
  ...{ previousSha256: z.string().nullable(), sha256: z.string(), salt: z.string().nullable() },
  data: z.record(z.string(), z.unknown()).nullable(),
};

const storedEntryRows = statement(
  { ...storedRecordColumns, forgottenBy: z.guid().nullable(), leafIndex: z.int().nullable() },
  `SELECT l.id, l.chain_id AS "chainId", l.position, l.kind, l.version, l.machine_id AS "machineId", l.depot_id AS "depotId",
       l.staff_id AS "staffId", l.performed_at AS "performedAt", l.recorded_at AS "recordedAt", encode(l.data_sha256, 'hex') AS "dataSha256",
       encode(p.sha256, 'hex') AS "previousSha256", encode(l.sha256, 'hex') AS sha256, encode(l.salt, 'hex') AS salt, l.data,
       l.forgotten_by AS "forgottenBy", s.leaf_index::float8 AS "leafIndex"
     FROM ledger l LEFT JOIN ledger p ON p.chain_id = l.chain_id AND p.position = l.position - 1
     LEFT JOIN sealed_entry s ON s.entry_id = l.id WHERE l.id = $1::text::uuid`,
);
export type StoredEntry = RowOf<typeof storedEntryRows>;

/** An entry with its hashes and its place among the leaves; null for an unknown one. */
export async function readStoredEntry(ask: Ask, id: string): Promise<StoredEntry | null> {
  const [row] = await ask(storedEntryRows, [id]);
  return row ?? null;
}
