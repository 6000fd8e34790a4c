// What the hash of an entry covers, to the byte. Whoever holds an entry and these few lines in any language can compute it anew.
import { hash } from "node:crypto";
import { canonical } from "../platform/index.ts";

/** SHA-256 in hex of text (its UTF-8) or bytes. FIPS 180-4. */
export const sha256 = (of: string | Uint8Array): string => hash("sha256", of, "hex");

/**
 * The hash of what an entry says. The salt keeps anybody from guessing words that were forgotten by trying out what fits the hash.
 * Shape: SHA-256 over the canonical JSON of `{"data": ..., "salt": hex}`.
 */
export const dataHash = (data: unknown, salt: string): string => sha256(canonical({ data, salt }));

/** What the chain covers of an entry: who, when, what kind, the hash of what it says and of the entry before it. */
export interface Envelope {
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
}

/** The text that an entry's hash is computed from: canonical JSON of exactly these members, instants in RFC 3339 with milliseconds. */
export function envelopeText(entry: Envelope, previousSha256: string | null): string {
  const { id, chainId, position, kind, version, machineId, depotId, staffId, dataSha256 } = entry;
  const [performedAt, recordedAt] = [entry.performedAt.toISOString(), entry.recordedAt.toISOString()];
  return canonical({
    ...{ id, chainId, position, kind, version, machineId, depotId, staffId, performedAt, recordedAt, dataSha256, previousSha256 },
  });
}

/** The hash of an entry, in hex. */
export const entryHash = (entry: Envelope, previousSha256: string | null): string => sha256(envelopeText(entry, previousSha256));
