// The only call that the service makes to the outside: to the witness in its settings, and to nobody else.
import type { WitnessAddress } from "../platform/index.ts";
import { NotWitnessed } from "./refused.ts";

/** A token with a chain of certificates has some 8 KB (common practice, no source); a body beyond this is read no further. */
export const mostAnswerBytes = 64 * 1024;
/** From the first byte sent to the last one read. */
export const mostMsToAnswer = 10_000;

export interface AskLimits {
  readonly mostMs: number;
  /** ends the waiting where the service closes */
  readonly stopped?: AbortSignal | undefined;
}

/** Sends a request of RFC 3161 over HTTP (section 3.4); the body of the answer. Throws `NotWitnessed`. */
export async function askAuthority(
  { url, authorization }: WitnessAddress,
  request: Buffer,
  { mostMs, stopped }: AskLimits = { mostMs: mostMsToAnswer },
): Promise<Buffer> {
  const late = AbortSignal.timeout(mostMs);
  const signal = stopped ? AbortSignal.any([late, stopped]) : late;
  try {
    const answer = await fetch(url, {
      method: "POST",
      body: new Uint8Array(request),
      // Never to another address: a redirect counts as no answer.
      redirect: "manual",
      headers: {
        "content-type": "application/timestamp-query",
        accept: "application/timestamp-reply",
        "accept-encoding": "identity",
        ...(authorization === null ? {} : { authorization }),
      },
      signal,
    });
    const type = answer.headers.get("content-type")?.split(";")[0]?.trim().toLowerCase();
    if (answer.status !== 200 || type !== "application/timestamp-reply") {
      await answer.body?.cancel();
      if (answer.status !== 200) throw new NotWitnessed("status", { status: answer.status });
      throw new NotWitnessed("media", { type: (type ?? "-").replaceAll(/[^\x20-\x7e]/g, "?").slice(0, 80) });
    }
    return await limited(answer);
  } catch (error) {
    if (error instanceof NotWitnessed) throw error;
    if (late.aborted) throw new NotWitnessed("slow", { seconds: mostMs / 1000 });
    throw new NotWitnessed("unreachable", { what: whatOf(error) });
  }
}

async function limited(answer: Response): Promise<Buffer> {
  const chunks: Uint8Array[] = [];
  let bytes = 0;
  // Leaving the loop early ends the connection.
  for await (const chunk of answer.body ?? []) {
    bytes += chunk.length;
    if (bytes > mostAnswerBytes) throw new NotWitnessed("large", { kilobytes: mostAnswerBytes / 1024 });
    chunks.push(chunk);
  }
  return Buffer.concat(chunks);
}

/** The code of the underlying error, such as ECONNREFUSED: the message of `fetch` itself is always the same. */
function whatOf(error: unknown): string {
  const cause = error instanceof Error && error.cause instanceof Error ? error.cause : error;
  if (!(cause instanceof Error)) return typeof cause;
  return ("code" in cause && typeof cause.code === "string" ? cause.code : cause.message).slice(0, 200);
}
