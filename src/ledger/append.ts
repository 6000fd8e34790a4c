// Writing to the firm's chain: what belongs to no machine. There is no way to append outside a transaction.
// A machine's chain is written by acts/act-on-machine.ts, together with the machine's state.

import type { KeysContext } from "../keys/index.ts";
import type { Tx } from "../platform/index.ts";
import { type Author, type Entry, entriesAfter, type NewEntry } from "./entry.ts";
import { noteAppended } from "./recording.ts";

/** Appends to the firm's chain within the transaction `tx`. Its row lock on the firm gives each entry its place. */
export async function appendToFirm(
  { newSalt }: Pick<KeysContext, "newSalt">,
  tx: Tx,
  by: {
    readonly staffId: string | null;
    readonly depotId: string | null;
    readonly recordedAt: Date;
  },
  acts: readonly NewEntry[],
): Promise<Entry[]> {
  const firm = await tx.firm.update({
    where: { only: true },
    data: { recordCount: { increment: acts.length } },
    select: { id: true, recordCount: true },
  });
  const length = firm.recordCount - acts.length;
  const last =
    length === 0
      ? null
      : await tx.ledger.findUniqueOrThrow({
          where: { chainId_position: { chainId: firm.id, position: length } },
          select: { sha256: true },
        });
  const head = { length, sha256: last === null ? null : Buffer.from(last.sha256).toString("hex") };
  return insertEntries(tx, entriesAfter(head, { chainId: firm.id, machineId: null, ...by }, acts, newSalt));
}

/** Begins the chain of a machine that enters the fleet; the machine's own row says `recordCount` = acts.length. */
export async function beginMachineChains(
  { newSalt }: Pick<KeysContext, "newSalt">,
  tx: Tx,
  chains: readonly {
    readonly author: Author;
    readonly acts: readonly NewEntry[];
  }[],
): Promise<Entry[]> {
  return insertEntries(
    tx,
    chains.flatMap(({ author, acts }) => entriesAfter({ length: 0, sha256: null }, author, acts, newSalt)),
  );
}

async function insertEntries(tx: Tx, entries: Entry[]): Promise<Entry[]> {
  const bytes = (hex: string): Uint8Array<ArrayBuffer> => new Uint8Array(Buffer.from(hex, "hex"));
  await tx.ledger.createMany({
    data: entries.map((entry) => ({
      ...entry,
      data: { toJSON: () => entry.data },
      salt: bytes(entry.salt),
      dataSha256: bytes(entry.dataSha256),
      sha256: bytes(entry.sha256),
    })),
  });
  noteAppended(tx, entries);
  return entries;
}
