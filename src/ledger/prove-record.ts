import type { RecordProof } from "../../shared/contracts/records.ts";
import type { KeysContext } from "../keys/index.ts";
import { objectOf } from "../platform/index.ts";
import { hashOfLeaves, inclusionPath } from "./merkle.ts";
import { checkpointOf, consistencyOf } from "./prove-consistency.ts";
import { hashesOf, readCheckpoint, readStoredEntry, type StoredEntry } from "./store.ts";
import { takeCheckpoint } from "./take-checkpoint.ts";

/** The record named in the address, with its depot. A record of the firm as a whole may be read by everybody who may read records. */
export const record = objectOf({
  name: "record",
  missing: "There is no record with this id.",
  find: ({ db }: KeysContext, id) => readStoredEntry(db.rows, id),
  depotOf: ({ depotId }) => depotId,
});

/**
 * Proves that a record stands in the newest checkpoint, unchanged. One that is not sealed yet is sealed for it. `since` names an older
 * checkpoint that the asker holds; the newest is proved to continue it. Throws `checkpoints-reversed`.
 */
export async function proveRecord(context: KeysContext, first: StoredEntry, since?: number): Promise<RecordProof> {
  const ask = context.db.rows;
  if (first.leafIndex === null) await takeCheckpoint(context);
  const entry = first.leafIndex === null ? await readStoredEntry(ask, first.id) : first;
  const checkpoint = await readCheckpoint(ask);
  if (entry?.leafIndex == null || !checkpoint) throw new Error("a committed entry is in the next checkpoint");
  const from = since === undefined ? null : await checkpointOf(ask, since);
  const path = inclusionPath(entry.leafIndex, checkpoint.treeSize);
  const hashOf = await hashesOf(ask, path);
  return {
    ...toldOf(entry),
    leafIndex: entry.leafIndex,
    inclusion: path.map((part) => hashOfLeaves(part, hashOf)),
    checkpoint,
    consistency: from && { from, proof: await consistencyOf(ask, from, checkpoint) },
  };
}

function toldOf(stored: StoredEntry) {
  const { sha256, salt, data, forgottenBy } = stored;
  const { id, chainId, position, kind, version, machineId, depotId, staffId, dataSha256, previousSha256 } = stored;
  const moments = { performedAt: new Date(stored.performedAt).toISOString(), recordedAt: new Date(stored.recordedAt).toISOString() };
  const entry = { id, chainId, position, kind, version, machineId, depotId, staffId, dataSha256, previousSha256, ...moments };
  return { entry, sha256, salt, data, forgottenBy };
}
