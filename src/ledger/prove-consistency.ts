import type { Checkpoint, CheckpointConsistency } from "../../shared/contracts/records.ts";
import type { KeysContext } from "../keys/index.ts";
import { type Ask, platformErrors } from "../platform/index.ts";
import { ledgerErrors } from "./errors.ts";
import { consistencyPath, hashOfLeaves } from "./merkle.ts";
import { hashesOf, readCheckpoint } from "./store.ts";

/** Proves that one checkpoint continues another: nothing in it was changed, removed or put in between. Throws `not-found`, `checkpoints-reversed`. */
export async function proveConsistency(context: KeysContext, numbers: { earlier: number; later: number }): Promise<CheckpointConsistency> {
  const ask = context.db.rows;
  const [earlier, later] = [await checkpointOf(ask, numbers.earlier), await checkpointOf(ask, numbers.later)];
  return { earlier, later, proof: await consistencyOf(ask, earlier, later) };
}

/** The checkpoint of this number. Throws `not-found`. */
export async function checkpointOf(ask: Ask, number: number): Promise<Checkpoint> {
  const checkpoint = await readCheckpoint(ask, number);
  if (!checkpoint) throw platformErrors.problem("not-found", `There is no checkpoint ${number}.`);
  return checkpoint;
}

/** The hashes that lead from one checkpoint's root to another's. Throws `checkpoints-reversed`. */
export async function consistencyOf(ask: Ask, from: Checkpoint, to: Checkpoint): Promise<string[]> {
  if (from.number > to.number)
    throw ledgerErrors.problem("checkpoints-reversed", `Checkpoint ${from.number} was taken after ${to.number}.`);
  const path = consistencyPath(from.treeSize, to.treeSize);
  const hashOf = await hashesOf(ask, path);
  return path.map((part) => hashOfLeaves(part, hashOf));
}
