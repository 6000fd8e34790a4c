// A checkpoint: every entry that was committed by now gets its place in the tree, and the root is signed.
import type { Checkpoint } from "../../shared/contracts/records.ts";
import type { KeysContext } from "../keys/index.ts";
import { signClaim } from "../keys/index.ts";
import { type Ask, patiently } from "../platform/index.ts";
import { GrowingTree, leafHash, wholesOf } from "./merkle.ts";
import {
  chainsStated,
  hashesOf,
  holdTree,
  insertCheckpoint,
  keepGrowth,
  type NodeRow,
  placeWaiting,
  readCheckpoint,
  readFirmId,
} from "./store.ts";

// The most entries in one transaction, so that it stays short however many are waiting.
const mostAtOnce = 20_000;

/** What a checkpoint's signature covers, as canonical JSON. */
export interface CheckpointClaim {
  readonly firmId: string;
  readonly number: number;
  readonly treeSize: number;
  readonly rootSha256: string;
  readonly takenAt: string;
  /** the chains of these leaves; missing in older checkpoints, which did not state them */
  readonly chainCount?: number;
  readonly chainsSha256?: string;
}

/**
 * Seals all entries that are committed and signs the tree. If the last checkpoint is younger than `unlessWithinMs`, that one is returned
 * instead. Null before the firm is founded.
 */
export const takeCheckpoint = (context: KeysContext, asked: Asked = {}): Promise<Checkpoint | null> =>
  patiently(() => take(context, asked));

interface Asked {
  readonly unlessWithinMs?: number;
  readonly most?: number;
}

// If another process is sealing, it has locked the tree, and this waits for it.
async function take(context: KeysContext, { unlessWithinMs = 0, most = mostAtOnce }: Asked): Promise<Checkpoint | null> {
  for (;;) {
    const taken = await context.db.prisma.$transaction(async (tx) => {
      const ask = context.db.rowsIn(tx);
      const size = await holdTree(ask);
      const last = await readCheckpoint(ask);
      const now = context.clock.now();
      const ageMs = last ? now.getTime() - Date.parse(last.takenAt) : 0;
      // A checkpoint from the future was taken by a clock that was ahead: it does not replace those that are due until then.
      if (last && ageMs >= 0 && ageMs < unlessWithinMs) return { checkpoint: last };
      const firmId = await readFirmId(ask);
      if (firmId === null) return { checkpoint: null };
      const { root, grown, all } = await grow(ask, size, most);
      if (!all) return null;
      // Read in this transaction, which has locked the tree, so the chains are those of these leaves. A trigger checks it again on insert.
      const chains = await chainsStated(ask, grown);
      const tree = { number: (last?.number ?? 0) + 1, treeSize: grown, rootSha256: root, takenAt: now.toISOString(), ...chains };
      const claim: CheckpointClaim = { firmId, ...tree };
      const checkpoint = { ...tree, ...(await signClaim(context, "checkpoint", claim)) };
      await insertCheckpoint(ask, checkpoint);
      return { checkpoint };
    });
    if (taken) return taken.checkpoint;
  }
}

/** Takes what waits into the tree. `all` is false where more is waiting. */
async function grow(ask: Ask, size: number, most: number): Promise<{ root: string; grown: number; all: boolean }> {
  const edge = wholesOf({ from: 0, to: size });
  const hashOf = await hashesOf(ask, [{ from: 0, to: size }]);
  const tree = new GrowingTree(size, edge.map(hashOf));
  const waiting = await placeWaiting(ask, size, most);
  const nodes: NodeRow[] = [];
  for (const sha256 of waiting) tree.add(leafHash(Buffer.from(sha256, "hex")), (whole, hash) => nodes.push({ ...whole, sha256: hash }));
  if (waiting.length > 0) await keepGrowth(ask, nodes, tree.size);
  return { root: tree.root, grown: tree.size, all: waiting.length < most };
}
