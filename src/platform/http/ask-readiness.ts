// Whether this process had better be sent no calls: the database is away or takes no changes, or its schema is not the one of this code.
import type { ServiceContext } from "../context.ts";
import { afterSilence } from "../database/server-watch.ts";

// Shorter than those who ask for readiness wait (common practice, no source).
const mostMsOfSilence = 1500;

/** Makes the question: null where the service can take calls, else why not. Whoever asks while it is being looked at shares that look. */
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
    // What runs goes on answering, but whoever chooses where calls go sends them to the code that belongs to this schema.
    if (unknown.length > 0)
      return `The database has had ${unknown.length} migration(s) that this version does not know, first ${unknown[0]}.`;
    return isReadOnly ? "The database takes no changes." : null;
  } catch (error) {
    log.error({ err: error }, "the database does not answer");
    return "The database does not answer.";
  }
}

/** What was found, or a word about the silence: a call that hangs would leave whoever asks without an answer. */
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
