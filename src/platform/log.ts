// One log, one JSON line an event. Secrets and personal data must not reach it: fields that may hold them are removed here, by name.
import { type DestinationStream, type Logger, pino } from "pino";

const hidden = ["secret", "accessToken", "refreshToken", "authorization", "cookie", "name", "note", "secretHash", "statement", "reason"];

/**
 * What is logged of an error. Not everything: a database error's fields may contain the row, and Prisma's validation errors contain the values to
 * be written.
 */
function tellError(error: unknown): Record<string, unknown> {
  if (!(error instanceof Error)) return { type: typeof error };
  const { name, code, constraint, table } = error as Error & Partial<Record<"code" | "constraint" | "table", unknown>>;
  const told = { type: name, code, constraint, table };
  const { stack = "" } = error;
  if (name !== "PrismaClientValidationError") return { ...told, message: error.message, stack };
  return { ...told, stack: stack.slice(stack.indexOf("\n    at ")) };
}

/** The service's log. Fields that may hold a secret or somebody's words or name are shown as [hidden], two levels deep. */
export function openLog(level: string, destination?: DestinationStream): Logger {
  const options = {
    level,
    base: null,
    timestamp: pino.stdTimeFunctions.isoTime,
    redact: {
      paths: hidden.flatMap((field) => [field, `*.${field}`, `*.*.${field}`]),
      censor: "[hidden]",
    },
    serializers: {
      err: tellError,
      // pino's own request serializer writes headers and the whole address; only what is needed to find a call is kept.
      req: (request: { method: string; url: string; id: string }) => ({
        method: request.method,
        path: request.url.split("?")[0],
        id: request.id,
      }),
      res: (reply: { statusCode: number }) => ({ status: reply.statusCode }),
    },
  };
  return destination ? pino(options, destination) : pino(options);
}
