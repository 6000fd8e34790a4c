// Errors come out of one catalogue: each room adds its entries in its errors.ts, and tests/house/ compares the whole
// with DEVELOPERS.md. A code is stable; the sentence is for the one who reads it.

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
export function catalogue<const Entries extends Record<string, ErrorEntry>>(entries: Entries): Catalogue<keyof Entries & string> {
  return {
    entries,
    problem: (code, detail, extra) => {
      const entry = entries[code];
      if (!entry) throw new Error(`no error ${code} in the catalogue`);
      return new ProblemError(code, entry, detail, extra);
    },
  };
}

/** What can go wrong at any door. */
export const platformErrors = catalogue({
  "not-json": { status: 400, title: "The body is not JSON" },
  "not-http": { status: 400, title: "The call is not HTTP" },
  "not-signed-in": { status: 401, title: "Sign in first" },
  "not-your-role": { status: 403, title: "Your role may not do this" },
  "other-depot": {
    status: 403,
    title: "This belongs to a depot that is not yours",
  },
  "not-found": { status: 404, title: "There is nothing here" },
  "method-not-allowed": {
    status: 405,
    title: "This address does not take that method",
  },
  "too-slow": { status: 408, title: "The call took too long to arrive" },
  "id-in-progress": { status: 409, title: "This id is still being written" },
  busy: { status: 409, title: "Others are writing to the same machine" },
  "too-large": { status: 413, title: "The body is too large" },
  "wrong-media-type": {
    status: 415,
    title: "The body is of the wrong media type",
  },
  "not-valid": { status: 422, title: "Some of what was sent is not valid" },
  "period-not-valid": { status: 422, title: "There is nothing to show for these days" },
  "id-reused": {
    status: 422,
    title: "This id stands for something else already",
  },
  "too-many-calls": { status: 429, title: "Too many calls" },
  "headers-too-large": { status: 431, title: "The headers are too large" },
  internal: { status: 500, title: "Something went wrong here" },
  "not-ready": { status: 503, title: "The service is not ready" },
});
