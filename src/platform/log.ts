// One log, one line an event, JSON. Secrets and personal data never reach it: what may hold them is cut out by name here.
import { type DestinationStream, type Logger, pino } from "pino";

const hidden = ["secret", "accessToken", "refreshToken", "authorization", "cookie", "name", "note", "secretHash", "statement", "reason"];

/**
 * What is logged of an error: a database's own fields hold the row that it was about, and Prisma's complaint about a call's form holds
 * what was to be written.
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
