// How long a statement may take. What a person waits for is short; a paper, a pack or an import says that it takes longer.
import { AsyncLocalStorage } from "node:async_hooks";

/** A call is answered within 5 s, also where its statement waits for a lock that nobody gives up. */
export const defaultLimitMs = 4000;
const patientLimitMs = 120_000;
/** for migrations, which take what they take */
const noLimitMs = 0;

// It follows the work through Prisma, which hands nothing on to its driver.
const limits = new AsyncLocalStorage<number>();

/** The limit of a statement that is begun now, where it is not the usual one; 0 for none. */
export const ownLimitMs = (): number | undefined => limits.getStore();

/** Runs `work`, whose statements may take minutes. */
export const patiently = <T>(work: () => T): T => limits.run(patientLimitMs, work);

/** Runs `work`, whose statements may take for ever. */
export const withoutLimit = <T>(work: () => T): T => limits.run(noLimitMs, work);
