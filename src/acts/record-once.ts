// An act of the firm's chain under the client's own id: recorded once, however often it is sent, also by two calls at the same moment.
import { isIdTaken, type Kind, readStoredEntry } from "../ledger/index.ts";
import { type ActingPerson, type Ask, platformErrors } from "../platform/index.ts";
import { sameSubmission } from "./rules.ts";

interface Sent {
  readonly id: string;
  readonly kind: Kind;
  readonly submitted: unknown;
  /** what else the entry has to say for it to be the same act */
  readonly about?: Readonly<Record<string, unknown>>;
}

/** Whether the same person recorded the same under this id before. Throws `id-reused` where the id stands for anything else. */
export async function wasRecorded(ask: Ask, actor: ActingPerson, { id, kind, submitted, about = {} }: Sent): Promise<boolean> {
  const known = await readStoredEntry(ask, id);
  if (known === null) return false;
  const { data } = known;
  const isSame =
    known.kind === kind &&
    known.staffId === actor.staffId &&
    sameSubmission(data?.["submitted"], submitted) &&
    Object.entries(about).every(([member, value]) => data?.[member] === value);
  if (isSame) return true;
  throw platformErrors.problem("id-reused", "This id stands for another record already. Make a new id for a new record.");
}

/** Records it, and looks again where another call took the id at the same moment: then it was recorded before. */
export const recordOnce = <T>(record: () => Promise<T>): Promise<T> =>
  record().catch((error: unknown) => {
    if (isIdTaken(error)) return record();
    throw error;
  });
