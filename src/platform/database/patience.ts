// How long a statement may take. What a person waits for is short; a paper, a pack or an import says that it takes longer.
import { AsyncLocalStorage } from "node:async_hooks";

/** Shorter than the 5 s in which every call is answered, even if its statement waits for a lock that nobody releases. */
export const defaultLimitMs = 4000;
const patientLimitMs = 120_000;
/** no limit: for migrations, which take as long as they take */
const noLimitMs = 0;

// Carries the limit through Prisma, which passes no such option on to its driver.
const limits = new AsyncLocalStorage<number>();

/** The limit of a statement that is begun now, where it is not the usual one; 0 for none. */
export const ownLimitMs = (): number | undefined => limits.getStore();

/** Runs `work`, whose statements may take minutes. */
export const patiently = <T>(work: () => T): T => limits.run(patientLimitMs, work);

/** Runs `work`, whose statements may take for ever. */
export const withoutLimit = <T>(work: () => T): T => limits.run(noLimitMs, work);
