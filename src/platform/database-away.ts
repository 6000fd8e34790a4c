// Whether a failure means that the database is gone, full or busy for a moment, as told by each of the ways to it.

const codes: ReadonlySet<unknown> = new Set([
  // Prisma, 'Error message reference': not reached, too slow, no such database, closed; no connection or transaction in time; deadlock; too many.
  ...["P1001", "P1002", "P1003", "P1008", "P1017", "P2024", "P2028", "P2034", "P2037"],
  // the driver of the statements by hand
  ...["CONNECTION_CLOSED", "CONNECTION_ENDED", "CONNECTION_DESTROYED", "CONNECT_TIMEOUT"],
  // Node.js
  ...["ECONNREFUSED", "ECONNRESET", "EPIPE", "ETIMEDOUT", "EHOSTUNREACH", "ENOTFOUND", "EAI_AGAIN"],
]);

// PostgreSQL documentation, appendix A: connection, lack of resources, deadlock and lost race, shut down or starting.
const sqlState = /^(08\w{3}|53\w{3}|40001|40P01|57P0[1-3])$/;

// The drivers under Prisma give these no code.
const messages = /^(PGlite is closed|Client has encountered a connection error|Connection terminated)/;

/** Whether the same call may go through in a moment. An error of the call's own stream has a status and is none of these. */
export function isDatabaseAway(error: unknown): boolean {
  const { code, message, meta, statusCode } = (error ?? {}) as {
    readonly code?: unknown;
    readonly message?: unknown;
    readonly statusCode?: unknown;
    readonly meta?: { readonly driverAdapterError?: { readonly cause?: { readonly originalCode?: unknown } } };
  };
  if (statusCode !== undefined) return false;
  const told = [code, meta?.driverAdapterError?.cause?.originalCode];
  return told.some((one) => codes.has(one) || (typeof one === "string" && sqlState.test(one))) || messages.test(String(message));
}
