// What is certain after a failed statement. An error from the server proves that nothing was stored; a connection lost while waiting for the answer
// proves nothing. Also which constraint a value broke, so that the right field is named.

import { type ProblemError, platformErrors, tryAgain } from "../errors.ts";
import { databaseAway } from "./database-away.ts";

interface DriverError {
  readonly code?: unknown;
  readonly severity?: unknown;
  /** the driver of the statements by hand, and the embedded database */
  readonly constraint_name?: unknown;
  readonly constraint?: unknown;
  readonly meta?: {
    readonly driverAdapterError?: {
      readonly cause?: {
        readonly originalCode?: unknown;
        readonly originalMessage?: unknown;
        readonly severity?: unknown;
        readonly constraint?: { readonly index?: unknown };
      };
    };
  };
}

const text = (value: unknown): string | null => (typeof value === "string" ? value : null);

/** PostgreSQL's own error about a statement, whichever driver reported it; null for any other failure. */
function refusalOf(error: unknown): { readonly sqlState: string; readonly constraint: string | null } | null {
  const told = (error ?? {}) as DriverError;
  const cause = told.meta?.driverAdapterError?.cause;
  const sqlState = text(cause ? cause.originalCode : told.code);
  const severity = cause ? (cause.severity ?? "ERROR") : told.severity;
  // FATAL ends the session, and may do so between the commit and its answer. Codes of Node.js come without a severity.
  if (sqlState === null || severity !== "ERROR") return null;
  // The embedded database's adapter names the columns only; the sentence names the constraint.
  const inWords = /constraint "([^"]+)"/.exec(text(cause?.originalMessage) ?? "")?.[1] ?? null;
  const constraint = text(told.constraint_name) ?? text(told.constraint) ?? text(cause?.constraint?.index) ?? inWords;
  return { sqlState, constraint };
}

/** Whether nothing of the transaction was stored: the database refused the statement, or never began it. */
export const surelyFailed = (error: unknown): boolean => refusalOf(error) !== null || databaseAway(error)?.nothingDone === true;

// PostgreSQL documentation, appendix A: a value, a constraint, a lost race, a trigger's refusal. Anything else (disk full, timeout, no such table)
// would happen to every statement.
const ofOneRow = /^(22|23|40|P0)/;

/** Whether the database refused the statement because of something that may be the fault of one row only. */
export const maybeOnesFault = (error: unknown): boolean => ofOneRow.test(refusalOf(error)?.sqlState ?? "");

const uniqueViolation = "23505";
const lostRaces: readonly string[] = ["40001", "40P01"];

/** The name of the unique constraint that was violated; null for any other failure. */
export function takenIn(error: unknown): string | null {
  const refusal = refusalOf(error);
  return refusal?.sqlState === uniqueViolation ? (refusal.constraint ?? "") : null;
}

const mostAttempts = 5;

/**
 * Does work that is one transaction, and repeats it if it lost against another (PostgreSQL documentation, 'Serialization Failure Handling'): the
 * other one has been committed, and of two in a deadlock only one is cancelled.
 */
export async function againWhereLost<T>(work: () => Promise<T>): Promise<T> {
  for (let attempt = 1; ; attempt += 1) {
    try {
      return await work();
    } catch (error) {
      if (attempt === mostAttempts || !lostRaces.includes(refusalOf(error)?.sqlState ?? "")) throw error;
    }
  }
}

/** The answer when the connection was lost after something was sent to be stored, and it is not known whether it was. */
export const outcomeUnknown = (): ProblemError =>
  platformErrors.problem(
    "outcome-unknown",
    "The connection to what this is stored in was lost before it answered. Send the same again in a moment: under an id of its own it is stored once, and you get its receipt. Where it has none, look first whether it is there.",
    { headers: tryAgain },
  );
