// The one way to do something recorded in several statements: a transaction whose outcome can be found out by the entries that it appended.

import type { KeysContext } from "../keys/index.ts";
import { againWhereLost, outcomeUnknown, surelyFailed, type Tx, takenIn } from "../platform/index.ts";
import type { Entry } from "./entry.ts";
import { isStored } from "./store.ts";

// Any entry will do to ask whether the transaction was committed: all of its entries are stored or none.
const lastAppended = new WeakMap<Tx, Entry>();

/** Notes what the transaction appended. */
export function noteAppended(tx: Tx, entries: readonly Entry[]): void {
  const last = entries.at(-1);
  if (last) lastAppended.set(tx, last);
}

interface Limits {
  /** how long it may take, and how long it may wait for a connection, in milliseconds, if not the usual time */
  readonly timeout?: number;
  readonly maxWait?: number;
}

/**
 * Does `work` in one transaction, and repeats it if it lost a race against another. If the connection is lost before the commit is confirmed,
 * it looks for the entries: if they are stored, the answer is returned as if nothing had happened. Throws `outcome-unknown` if they are not
 * there (yet).
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

/** Whether an act failed because an entry with its id was written at the same moment: when looked for again, that entry is found. */
export const isIdTaken = (error: unknown): boolean => takenIn(error) === "ledger_pkey";
