// Whether this process should be sent no calls: the database is away or read-only, or its schema is not the one of this code.
import type { ServiceContext } from "../context.ts";
import { afterSilence } from "../database/server-watch.ts";

// Shorter than load balancers and probes wait for an answer (common practice, no source).
const mostMsOfSilence = 1500;

/** Makes a function that answers null if the service can take calls, else why not. Calls at the same time share one check. */
export function askReadiness(context: Pick<ServiceContext, "db" | "log">): () => Promise<string | null> {
  let looking: Promise<string | null> | null = null;
  return () => {
    looking ??= look(context).finally(() => {
      looking = null;
    });
    return inTime(looking);
  };
}

async function look({ db, log }: Pick<ServiceContext, "db" | "log">): Promise<string | null> {
  try {
    const { pending, unknown, isReadOnly } = await db.schemaState();
    if (pending.length > 0) return `The database lacks ${pending.length} migration(s), first ${pending[0]}.`;
    // This process goes on answering, but the load balancer should send calls to processes whose code belongs to this schema.
    if (unknown.length > 0)
      return `The database has had ${unknown.length} migration(s) that this version does not know, first ${unknown[0]}.`;
    return isReadOnly ? "The database takes no changes." : null;
  } catch (error) {
    log.error({ err: error }, "the database does not answer");
    return "The database does not answer.";
  }
}

/** The result, or after `mostMsOfSilence` a sentence that there is none: whoever asks must get an answer even if the check hangs. */
async function inTime(looking: Promise<string | null>): Promise<string | null> {
  let stop = (): void => undefined;
  const silence = new Promise<string>((done) => {
    stop = afterSilence(mostMsOfSilence, () => done("The database does not answer."));
  });
  try {
    return await Promise.race([looking, silence]);
  } finally {
    stop();
  }
}
