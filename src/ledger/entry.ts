// One entry of the record chain, and how entries of one act get their places and their hashes in it.
import type { RecordContent } from "../../shared/records/index.ts";
import { dataHash, type Envelope, entryHash } from "./hash.ts";
import { type Kind, kinds } from "./kinds.ts";

/** What an act says about itself: the data of its kind in the newest version. `id` is the client's where the client made one. */
export type NewEntry<K extends Kind = Kind> = { readonly id: string; readonly performedAt: Date } & RecordContent<K>;

/** Whose chain it is, who acted, when it arrived. */
export interface Author {
  readonly chainId: string;
  readonly machineId: string | null;
  readonly depotId: string | null;
  readonly staffId: string | null;
  readonly recordedAt: Date;
}

/** A new row of `ledger`; hashes and salt in hex. */
export interface Entry extends Envelope, Author {
  readonly kind: Kind;
  readonly data: Readonly<Record<string, unknown>>;
  readonly salt: string;
  readonly sha256: string;
}

/** Where a chain ends: its length, and the hash of its last entry (null while it has none). */
export interface ChainHead {
  readonly length: number;
  readonly sha256: string | null;
}

/**
 * The rows for one act, at consecutive positions after `head`; the writer holds the chain's gate, so nobody else takes these positions. `also`
 * is added to the data of each entry.
 */
export function entriesAfter(
  head: ChainHead,
  author: Author,
  acts: readonly NewEntry[],
  newSalt: () => string,
  also: { readonly arrivedAt?: string } = {},
): Entry[] {
  if (acts.length === 0) throw new Error("an act without a record is not an act");
  if ((head.length === 0) !== (head.sha256 === null)) throw new Error("a chain has a last entry, or none at all");
  let previous = head.sha256;
  return acts.map((act, index) => {
    const salt = newSalt();
    const data = { ...act.data, ...also };
    const envelope = {
      ...author,
      ...{ id: act.id, position: head.length + 1 + index, kind: act.kind, version: kinds[act.kind].version, performedAt: act.performedAt },
      dataSha256: dataHash(data, salt),
    };
    previous = entryHash(envelope, previous);
    return { ...envelope, data, salt, sha256: previous };
  });
}

/** The row as the database takes it from JSON: bytes in PostgreSQL's hex notation. */
export const entryRow = (entry: Entry): object => ({
  ...entry,
  salt: `\\x${entry.salt}`,
  dataSha256: `\\x${entry.dataSha256}`,
  sha256: `\\x${entry.sha256}`,
});
