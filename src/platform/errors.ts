// Errors come out of one catalogue: each room adds its entries in its errors.ts, `/problems/{code}` answers with them, and
// `npm run errors` prints the whole. A code is stable; the sentence is for the one who reads it.
import { wordCounted } from "../../shared/words/index.ts";

/** An error in the catalogue, under its code; other languages have its title and help in their `problems.ts`. */
export interface ErrorEntry {
  readonly status: number;
  readonly title: string;
  /** What it means and what to do about it, for whoever opens the address that it names (`/problems/<code>`). */
  readonly help: string;
}

export interface ProblemIssue {
  /** JSON Pointer into what was sent, `/query/…` and `/params/…` for the address */
  readonly pointer: string;
  readonly message: string;
}

/** A field's name as a part of a JSON Pointer (RFC 6901, section 3). */
export const pointerPart = (name: string): string => name.replaceAll("~", "~0").replaceAll("/", "~1");

/** Header of every 503: a database or a service needs a few seconds to restart, and a burst is over by then. */
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

/** One room's part of the catalogue. */
export const catalogue = <const Code extends string>(entries: Readonly<Record<Code, ErrorEntry>>): Catalogue<Code> => ({
  entries,
  problem: (code, detail, extra) => new ProblemError(code, entries[code], detail, extra),
});

/** What can go wrong at any door. */
export const platformErrors = catalogue({
  "not-json": {
    status: 400,
    title: "The body is not JSON",
    help: "Send the body as JSON in UTF-8.",
  },
  "not-http": {
    status: 400,
    title: "The call is not HTTP",
    help: "What arrived could not be read as HTTP/1.1.",
  },
  "not-signed-in": {
    status: 401,
    title: "Sign in first",
    help: "Sign in, and send the access token in the header Authorization.",
  },
  "not-your-role": {
    status: 403,
    title: "Your role may not do this",
    help: "Your role may not do this. The detail says who may; ask one of them.",
  },
  "other-depot": {
    status: 403,
    title: "This belongs to a depot that is not yours",
    help: "You see and change what belongs to your own depots. Ask a manager if your depots are wrong.",
  },
  "secret-must-change": {
    status: 403,
    title: "Choose a secret of your own first",
    help: "A one-time code opens one thing: the choice of a secret of your own. Choose it, and everything else is open.",
  },
  "fetched-ahead": {
    status: 403,
    title: "Nobody asked for this yet",
    help: "This leaves a record, or stays open, so a browser does not fetch it before somebody asks. Open it yourself.",
  },
  "not-found": {
    status: 404,
    title: "There is nothing here",
    help: "Nothing has this address or this id. Check both; the list of addresses is at /docs.",
  },
  "method-not-allowed": {
    status: 405,
    title: "This address does not take that method",
    help: "The header Allow names the methods of this address.",
  },
  "too-slow": {
    status: 408,
    title: "The call took too long to arrive",
    help: "The call did not arrive whole in time. Send it again.",
  },
  "id-in-progress": {
    status: 409,
    title: "This id is still being written",
    help: "The first call with this id is still being written. Send the same again in a moment; it is stored once.",
  },
  busy: {
    status: 409,
    title: "Others are writing to the same machine",
    help: "Others are writing to the same machine. Send the same again in a moment.",
  },
  "changed-meanwhile": {
    status: 412,
    title: "Somebody changed this since you read it",
    help: "The header If-Match names a version that is no longer the one stored. Read it again and repeat your change on that.",
  },
  "too-large": {
    status: 413,
    title: "The body is too large",
    help: "The body is larger than this address takes. Send less at once.",
  },
  "wrong-media-type": {
    status: 415,
    title: "The body is of the wrong media type",
    help: "The header Content-Type names something that this address does not take.",
  },
  "not-valid": {
    status: 422,
    title: "Some of what was sent is not valid",
    help: "The issues name each place that is wrong and why. Mend those and send it again.",
  },
  "period-not-valid": {
    status: 422,
    title: "There is nothing to show for these days",
    help: "The days asked for are to come, or the first is after the last.",
  },
  "id-reused": {
    status: 422,
    title: "This id stands for something else already",
    help: "This id stands for another body. Make a new id for what is new; send the same body for a repetition.",
  },
  "too-many-calls": {
    status: 429,
    title: "Too many calls",
    help: "Wait as long as Retry-After says, then go on more slowly.",
  },
  "headers-too-large": {
    status: 431,
    title: "The headers are too large",
    help: "Send fewer or shorter headers.",
  },
  internal: {
    status: 500,
    title: "Something went wrong here",
    help: "Something went wrong in the service and was noted under the request id. Try again; if it stays, pass that id on.",
  },
  "not-ready": {
    status: 503,
    title: "The service is not ready",
    help: "The service or its database is not reachable for the moment. Send the same again after Retry-After.",
  },
  "outcome-unknown": {
    status: 503,
    title: "It is not known whether this was stored",
    help: "The connection was lost while this was being stored, so nobody can say yet whether it was. Send the same again, with the same id: it is stored once. Where it has no id, look before you repeat it.",
  },
  "database-full": {
    status: 503,
    title: "The disk of the database is full",
    help: "The disk of the database is full, so nothing can be stored. Whoever runs the service makes room; what waits on a phone is kept and sent after that.",
  },
  "database-read-only": {
    status: 503,
    title: "The database takes no changes",
    help: "The database takes no writes for the moment, as a copy of another does while that one is replaced. Send the same again after Retry-After.",
  },
  "database-at-its-limit": {
    status: 503,
    title: "The database has no room for more calls",
    help: "The database has no connection or no memory left for this call. Send the same again after Retry-After; if it stays, tell whoever runs the service.",
  },
});

// A small body can be wrong in thousands of places, and its answer must stay small.
const mostIssues = 100;

/** The problem that says how many fields are not valid, and which. */
export function notValid(issues: readonly ProblemIssue[]): ProblemError {
  const count = issues.length;
  const key = count > mostIssues ? "refusal.fields-of-many" : "refusal.fields";
  // Programs read it too, so the number is written without a thousands separator.
  const detail = wordCounted(key, count, "en", { count, most: mostIssues });
  return platformErrors.problem("not-valid", detail, { issues: issues.slice(0, mostIssues) });
}
