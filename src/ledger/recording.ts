// The one way to write in several statements what leaves a record: a transaction whose outcome is known by the entries that it appended.

import type { KeysContext } from "../keys/index.ts";
import { againWhereLost, outcomeUnknown, surelyFailed, type Tx, takenIn } from "../platform/index.ts";
import type { Entry } from "./entry.ts";
import { isStored } from "./store.ts";

// Any of them stands for the transaction: it is stored with all of them or none.
const lastAppended = new WeakMap<Tx, Entry>();

/** Notes what the transaction appended. */
export function noteAppended(tx: Tx, entries: readonly Entry[]): void {
  const last = entries.at(-1);
  if (last) lastAppended.set(tx, last);
}

interface Limits {
  /** how long it may take, and wait for a connection; where it is not the usual time */
  readonly timeout?: number;
  readonly maxWait?: number;
}

/**
 * Does `work` in one transaction; again where it lost against another. Where the connection is lost and nobody says whether it was
 * committed, its entries do: then it is answered as if nothing had happened. Throws `outcome-unknown` where they are not there, or not yet.
 */
export function recording<Answer>(
  context: Pick<KeysContext, "db">,
  work: (tx: Tx) => Promise<Answer>,
  limits: Limits = {},
): Promise<Answer> {
  return againWhereLost(async () => {
    const done: { answer: Answer; entry: Entry | undefined }[] = [];
    try {
      return await context.db.prisma.$transaction(async (tx) => {
        const answer = await work(tx);
        done.push({ answer, entry: lastAppended.get(tx) });
        return answer;
      }, limits);
    } catch (error) {
      const [written] = done;
      if (written?.entry === undefined || surelyFailed(error)) throw error;
      if (await isStored(context.db, written.entry).catch(() => false)) return written.answer;
      throw outcomeUnknown();
    }
  });
}

/** Whether an act failed because its id stands for an entry that was written at the same moment: looked for again, it is found. */
export const isIdTaken = (error: unknown): boolean => takenIn(error) === "ledger_pkey";
