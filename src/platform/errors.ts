// Errors come out of one catalogue: each room adds its entries in its errors.ts, `/problems/{code}` answers with them, and
// `npm run errors` prints the whole. A code is stable; the sentence is for the one who reads it.
import { word } from "../../shared/words/index.ts";
// Whatever can go wrong has its title in the words (`problem.<code>`), and what to do about it beside them.
import type { ProblemCode } from "../../shared/words/problem-help.ts";

export interface ErrorEntry {
  readonly status: number;
  readonly title: string;
}

export interface ProblemIssue {
  /** JSON Pointer into what was sent, `/query/…` and `/params/…` for the address */
  readonly pointer: string;
  readonly message: string;
}

/** A field's name as a part of a JSON Pointer (RFC 6901, section 3). */
export const pointerPart = (name: string): string => name.replaceAll("~", "~0").replaceAll("/", "~1");

/** What a 503 adds: a database or a service that starts again takes a few seconds, and a burst is over by then. */
export const tryAgain: Readonly<Record<string, string>> = { "retry-after": "5" };

export interface ProblemExtra {
  readonly issues?: readonly ProblemIssue[];
  readonly headers?: Readonly<Record<string, string>>;
}

/** A refusal that the caller is told about. */
export class ProblemError extends Error {
  readonly code: string;
  readonly status: number;
  readonly title: string;
  readonly detail: string;
  readonly extra: ProblemExtra;

  constructor(code: string, entry: ErrorEntry, detail: string, extra: ProblemExtra = {}) {
    super(`${code}: ${detail}`);
    this.name = "ProblemError";
    this.code = code;
    this.status = entry.status;
    this.title = entry.title;
    this.detail = detail;
    this.extra = extra;
  }
}

export interface Catalogue<Code extends string> {
  readonly entries: Readonly<Record<Code, ErrorEntry>>;
  /** Makes the error to throw. `detail` says what was wrong this time and what to do. */
  problem(code: Code, detail: string, extra?: ProblemExtra): ProblemError;
}

/** One room's part of the catalogue: each code with the status of its answer. */
export function catalogue<const Code extends ProblemCode>(statuses: Readonly<Record<Code, number>>): Catalogue<Code> {
  const entries = Object.fromEntries(
    Object.entries<number>(statuses).map(([code, status]) => [code, { status, title: word(`problem.${code as ProblemCode}`) }]),
  ) as Record<Code, ErrorEntry>;
  return { entries, problem: (code, detail, extra) => new ProblemError(code, entries[code], detail, extra) };
}

/** What can go wrong at any door. */
export const platformErrors = catalogue({
  "not-json": 400,
  "not-http": 400,
  "not-signed-in": 401,
  "not-your-role": 403,
  "other-depot": 403,
  "secret-must-change": 403,
  "fetched-ahead": 403,
  "not-found": 404,
  "method-not-allowed": 405,
  "too-slow": 408,
  "id-in-progress": 409,
  busy: 409,
  "changed-meanwhile": 412,
  "too-large": 413,
  "wrong-media-type": 415,
  "not-valid": 422,
  "period-not-valid": 422,
  "id-reused": 422,
  "too-many-calls": 429,
  "headers-too-large": 431,
  internal: 500,
  "not-ready": 503,
  "outcome-unknown": 503,
  "database-full": 503,
  "database-read-only": 503,
  "database-at-its-limit": 503,
});
