// How an entry leaves the service: one line of NDJSON, from which both of its hashes can be recomputed with nothing else.
import { canonical } from "../platform/index.ts";

/** An entry as the store hands it out; hashes and salt in hex. `salt` and `data` are null once it was forgotten. */
export interface StoredRecord {
  readonly id: string;
  readonly chainId: string;
  readonly position: number;
  readonly kind: string;
  readonly version: number;
  readonly machineId: string | null;
  readonly depotId: string | null;
  readonly staffId: string | null;
  readonly performedAt: Date;
  readonly recordedAt: Date;
  readonly dataSha256: string;
  /** of the entry at the place before it in its chain; null for the first */
  readonly previousSha256: string | null;
  readonly sha256: string;
  readonly salt: string | null;
  readonly data: Readonly<Record<string, unknown>> | null;
}

/**
 * The line of an entry, without its line end: canonical JSON (RFC 8785) of exactly these members. `dataSha256` is SHA-256 of the canonical
 * `{data, salt}`; `sha256` that of all other members but `sha256`, `salt` and `data`, as `envelopeText` in hash.ts has them.
 */
export function recordLine(record: StoredRecord): string {
  const { id, chainId, position, kind, version, machineId, depotId, staffId, dataSha256, previousSha256, sha256, salt, data } = record;
  const [performedAt, recordedAt] = [record.performedAt.toISOString(), record.recordedAt.toISOString()];
  return canonical({
    ...{ id, chainId, position, kind, version, machineId, depotId, staffId, performedAt, recordedAt },
    ...{ dataSha256, previousSha256, sha256, salt, data },
  });
}

/** The line of an entry without what it said: who, when, what kind, and its hashes. */
export function envelopeLine(record: Omit<StoredRecord, "salt" | "data">): string {
  const { id, chainId, position, kind, version, machineId, depotId, staffId, dataSha256, previousSha256, sha256 } = record;
  const [performedAt, recordedAt] = [record.performedAt.toISOString(), record.recordedAt.toISOString()];
  return canonical({
    ...{ id, chainId, position, kind, version, machineId, depotId, staffId, performedAt, recordedAt, dataSha256, previousSha256, sha256 },
  });
}
