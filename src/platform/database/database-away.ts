// Whether a failure means that the database is gone, full or busy for a moment, as reported by Prisma, the drivers or the server; which of these
// it is; and whether it proves that nothing was done.

/** No connection could be had, so the statement was not begun. */
export class NotReached extends Error {
  readonly code = "DATABASE_NOT_REACHED";
  constructor(message: string, cause?: unknown) {
    super(message, { cause });
    this.name = "NotReached";
  }
}

/** The statement went out and nothing came back: it may have been done. */
export class NoAnswer extends Error {
  readonly code = "DATABASE_NO_ANSWER";
  constructor(message: string) {
    super(message);
    this.name = "NoAnswer";
  }
}

export interface Away {
  /**
   * `away`: not reached, gone or silent; `slow`: it waited or took too long; `lost-race`: another was first;
   * `full`: no room on its disk; `read-only`: it takes no changes; `at-its-limit`: no connection or memory left
   */
  readonly what: "away" | "slow" | "lost-race" | "full" | "read-only" | "at-its-limit";
  /** the statement and its transaction certainly stored nothing */
  readonly nothingDone: boolean;
}

const undone = (what: Away["what"]): Away => ({ what, nothingDone: true });
const unknown = (what: Away["what"]): Away => ({ what, nothingDone: false });

const codes: ReadonlyMap<unknown, Away> = new Map<unknown, Away>([
  ["DATABASE_NOT_REACHED", undone("away")],
  ["DATABASE_NO_ANSWER", unknown("away")],
  // Prisma, 'Error message reference': not reached, too slow, no such database, closed; no connection or transaction in time; deadlock; too many.
  ["P1001", undone("away")],
  ["P1002", undone("away")],
  ["P1003", undone("away")],
  ["P1008", unknown("slow")],
  ["P1017", unknown("away")],
  ["P2024", undone("slow")],
  ["P2028", unknown("slow")],
  ["P2034", undone("lost-race")],
  ["P2037", undone("at-its-limit")],
  // Node.js
  ["ECONNREFUSED", undone("away")],
  ["EHOSTUNREACH", undone("away")],
  ["ENETUNREACH", undone("away")],
  ["ENOTFOUND", undone("away")],
  ["EAI_AGAIN", undone("away")],
  ["ECONNRESET", unknown("away")],
  ["EPIPE", unknown("away")],
  ["ETIMEDOUT", unknown("away")],
  // PostgreSQL documentation, appendix A: the disk is full; memory, connections, a limit that was set; lost races; cancelled, or a lock not had
  // in time; ended or starting; the server takes no changes. What ends a session may come between the commit and its answer.
  ["53100", undone("full")],
  ["53200", undone("at-its-limit")],
  ["53300", undone("at-its-limit")],
  ["53400", undone("at-its-limit")],
  ["40001", undone("lost-race")],
  ["40P01", undone("lost-race")],
  ["57014", undone("slow")],
  ["55P03", undone("slow")],
  ["25P03", unknown("slow")],
  ["57P01", unknown("away")],
  ["57P02", unknown("away")],
  ["57P03", undone("away")],
  ["57P05", unknown("away")],
  ["25006", undone("read-only")],
]);

// Errors of the drivers without a code. The first two come before anything is sent.
const messages: readonly (readonly [RegExp, Away])[] = [
  [/^(PGlite is closed|Client has encountered a connection error|Client was closed|Cannot use a pool after calling end)/, undone("away")],
  [/^Connection terminated/, unknown("away")],
];

/** What is wrong with the database, if the same call may succeed later; null for any other failure. */
export function databaseAway(error: unknown): Away | null {
  const { code, message, meta, statusCode } = (error ?? {}) as {
    readonly code?: unknown;
    readonly message?: unknown;
    readonly statusCode?: unknown;
    readonly meta?: { readonly driverAdapterError?: { readonly cause?: { readonly originalCode?: unknown } } };
  };
  // An error with a status comes from the call itself (a stream that broke off), not from the database.
  if (statusCode !== undefined) return null;
  for (const told of [meta?.driverAdapterError?.cause?.originalCode, code]) {
    const away = codes.get(told) ?? (typeof told === "string" && /^08\w{3}$/.test(told) ? unknown("away") : null);
    if (away) return away;
  }
  return messages.find(([says]) => says.test(String(message)))?.[1] ?? null;
}
