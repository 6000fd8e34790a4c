// What a failed statement leaves certain. The server's own word proves that nothing of it was stored; a connection that is lost while its
// answer is awaited proves nothing. And which rule of the tables a value broke, so that nobody is told about another field.

import { type ProblemError, platformErrors, tryAgain } from "../errors.ts";
import { databaseAway } from "./database-away.ts";

interface Told {
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

/** What PostgreSQL said of a statement, whichever way it came here; null where the failure is not its word about that statement. */
function refusalOf(error: unknown): { readonly sqlState: string; readonly constraint: string | null } | null {
  const told = (error ?? {}) as Told;
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

/** Whether the database itself refused the statement, or it was never begun, so that nothing of its transaction was stored. */
export const surelyFailed = (error: unknown): boolean => refusalOf(error) !== null || databaseAway(error)?.nothingDone === true;

// PostgreSQL documentation, appendix A: a value, a constraint, a lost race, what a trigger refuses. Anything else (no room, no time, no
// such table) befalls every statement alike.
const ofOneRow = /^(22|23|40|P0)/;

/** Whether the database refused the statement for what may be the fault of one of several rows in it. */
export const maybeOnesFault = (error: unknown): boolean => ofOneRow.test(refusalOf(error)?.sqlState ?? "");

const uniqueViolation = "23505";
const lostRaces: readonly string[] = ["40001", "40P01"];

/** The name of the constraint that wants a value to be the only one and found another; null for any other failure. */
export function takenIn(error: unknown): string | null {
  const refusal = refusalOf(error);
  return refusal?.sqlState === uniqueViolation ? (refusal.constraint ?? "") : null;
}

const mostAttempts = 5;

/**
 * Does work that is one transaction, and does it again where it lost against another (PostgreSQL documentation, 'Serialization Failure
 * Handling'): the other has gone on, and of two that waited for each other only one is made to give way.
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

/** The answer where the connection was lost after something was sent to be stored, and nobody can say yet whether it was. */
export const outcomeUnknown = (): ProblemError =>
  platformErrors.problem(
    "outcome-unknown",
    "The connection to what this is stored in was lost before it answered. Send the same again in a moment: under an id of its own it is stored once, and you get its receipt. Where it has none, look first whether it is there.",
    { headers: tryAgain },
  );
