// Turns whatever was thrown into one RFC 9457 answer, and logs what the caller is not told.
import type { FastifyError, FastifyReply, FastifyRequest } from "fastify";
import { hasZodFastifySchemaValidationErrors } from "fastify-type-provider-zod";
import type { Problem } from "../../../shared/contracts/common.ts";
import { word } from "../../../shared/words/index.ts";
import { type Away, databaseAway } from "../database/database-away.ts";
import { outcomeUnknown } from "../database/database-errors.ts";
import { notValid, ProblemError, type ProblemIssue, platformErrors, pointerPart, tryAgain } from "../errors.ts";
import { actorOf } from "./routes.ts";

const contextPointer: Readonly<Record<string, string>> = {
  body: "",
  querystring: "/query",
  params: "/params",
  headers: "/headers",
};

/** Fastify's error handler of the service. */
export function answerError(error: unknown, request: FastifyRequest, reply: FastifyReply): void {
  const problem = asProblem(error, request.method === "GET" || request.method === "HEAD");
  if (problem.status >= 500) request.log.error({ err: error, path: request.url.split("?")[0] }, "a call failed");
  else {
    const { operationId } = request.routeOptions?.config ?? {};
    request.log.info(
      { code: problem.code, status: problem.status, operation: operationId, staffId: actorOf(request)?.staffId },
      "a call was refused",
    );
  }
  send(reply, problem, request);
}

/** Answers an address that cannot be decoded or is too long: no hook adds the usual headers there. */
export function answerUnroutable(error: unknown, request: FastifyRequest, reply: FastifyReply): void {
  void reply.headers(bareHeaders(request.id));
  answerError(error, request, reply);
}

/** The headers of a problem that is answered past the hooks: a page that shows it loads and runs nothing. */
export const bareHeaders = (requestId: string): Record<string, string> => ({
  "x-request-id": requestId,
  "cache-control": "no-store",
  "x-content-type-options": "nosniff",
  "content-security-policy": "default-src 'none'; frame-ancestors 'none'",
  "referrer-policy": "no-referrer",
});

/** Fastify's not-found handler of the service: tells a wrong method from a wrong address. */
export function answerNotFound(request: FastifyRequest, reply: FastifyReply): void {
  const path = request.url.split("?")[0] ?? "/";
  const methods = (["GET", "POST", "PUT", "PATCH"] as const).filter((method) => request.server.findRoute({ url: path, method }) !== null);
  const others = methods.filter((method) => method !== request.method);
  if (others.length > 0 && !methods.some((method) => method === request.method)) {
    send(
      reply,
      platformErrors.problem("method-not-allowed", `${path} takes ${others.join(", ")}.`, { headers: { allow: others.join(", ") } }),
      request,
    );
    return;
  }
  send(reply, platformErrors.problem("not-found", `There is no ${request.method} ${path}. The list of addresses is at /docs.`), request);
}

function send(reply: FastifyReply, problem: ProblemError, request: FastifyRequest): void {
  // Sent as a string, so that the route's answer schema is not applied to it.
  void reply
    .code(problem.status)
    .headers(problem.extra.headers ?? {})
    .type("application/problem+json")
    .send(JSON.stringify(problemBody(problem, request.id)));
}

/** A problem as it goes out. */
export const problemBody = (problem: ProblemError, requestId: string): Problem => ({
  type: `/problems/${problem.code}`,
  title: problem.title,
  status: problem.status,
  detail: problem.detail,
  code: problem.code,
  requestId,
  ...(problem.extra.issues ? { issues: problem.extra.issues.map((issue) => ({ ...issue })) } : {}),
});

function asProblem(error: unknown, isReading: boolean): ProblemError {
  if (error instanceof ProblemError) return error;
  if (hasZodFastifySchemaValidationErrors(error)) return notValid(issuesOf(error));
  const { code, statusCode } = error as FastifyError;
  switch (code) {
    case "FST_ERR_CTP_EMPTY_JSON_BODY":
    case "FST_ERR_CTP_INVALID_JSON_BODY":
    case "FST_ERR_CTP_INVALID_CONTENT_LENGTH":
      return platformErrors.problem("not-json", "The body could not be read as JSON. Nothing was stored.");
    case "FST_ERR_CTP_BODY_TOO_LARGE":
      return platformErrors.problem("too-large", "The body is larger than this address takes. Nothing was stored.");
    case "FST_ERR_CTP_INVALID_MEDIA_TYPE":
      return platformErrors.problem("wrong-media-type", "Send this body as application/json, or text/csv where a CSV file is asked for.");
    default:
  }
  if (statusCode === 429) return platformErrors.problem("too-many-calls", (error as Error).message);
  if (error instanceof SyntaxError && statusCode === 400) {
    return platformErrors.problem("not-json", "The body could not be read as JSON. Nothing was stored.");
  }
  if (statusCode !== undefined && statusCode >= 400 && statusCode < 500) {
    return platformErrors.problem("not-valid", "The call could not be understood. Nothing was stored.");
  }
  const away = databaseAway(error);
  if (away) return awayProblem(away, isReading);
  return platformErrors.problem(
    "internal",
    "Something went wrong here and was noted. Nobody can say whether it was stored: send the same again with the same id, or look before you repeat it. If it stays, tell the manager the request id.",
  );
}

const awaySays: Readonly<Record<Away["what"], string>> = {
  away: "The database cannot be reached or does not answer.",
  slow: "The database took too long: others hold what this needs, or there is too much to do.",
  "lost-race": "Others changed the same at that moment.",
  full: "The disk of the database is full. Until whoever runs the service makes room nothing can be stored.",
  "read-only":
    "The database takes no changes: it is a copy, or was set so. Until whoever runs the service changes that nothing can be stored.",
  "at-its-limit": "The database has no connection or no memory left.",
};
const awayCodes = { full: "database-full", "read-only": "database-read-only", "at-its-limit": "database-at-its-limit" } as const;

/** A database that is away, full or busy, by its name; and for a call that writes, whether it may have been stored. */
function awayProblem({ what, nothingDone }: Away, isReading: boolean): ProblemError {
  const code = what === "away" || what === "slow" || what === "lost-race" ? "not-ready" : awayCodes[what];
  if (!isReading && !nothingDone) return outcomeUnknown();
  const then = isReading ? "Ask again in a moment." : "Nothing was stored. Send the same again in a moment.";
  return platformErrors.problem(code, `${awaySays[what]} ${then}`, { headers: tryAgain });
}

/** What the schema of a call found, as issues; each unknown field is one. */
function issuesOf(error: {
  validation: readonly {
    keyword?: string;
    instancePath: string;
    message?: string;
    params?: unknown;
  }[];
  validationContext?: string | undefined;
}): ProblemIssue[] {
  const prefix = contextPointer[error.validationContext ?? "body"] ?? "";
  return error.validation.flatMap((entry): ProblemIssue[] => {
    const pointer = `${prefix}${entry.instancePath === "/" ? "" : entry.instancePath}`;
    const { keys } = (entry.params ?? {}) as { readonly keys?: readonly string[] };
    if (entry.keyword === "unrecognized_keys" && keys) {
      return keys.map((key) => ({
        pointer: `${pointer}/${pointerPart(key)}`,
        message: word("refusal.unknown-field"),
      }));
    }
    return [{ pointer: pointer || "/", message: entry.message ?? word("refusal.other") }];
  });
}
