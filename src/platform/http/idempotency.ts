// A creating call without an id of its own may carry a key made by its sender: sent again, it is carried out once and answered alike
// (draft-ietf-httpapi-idempotency-key-header). Calls from the field have their own ids and need none.
import type { FastifyReply, FastifyRequest } from "fastify";
import type { Actor } from "../actor.ts";
import { afterwards } from "../afterwards.ts";
import type { ServiceContext } from "../context.ts";
import { digestOf } from "../digest.ts";
import { platformErrors } from "../errors.ts";
import { beginCall, freeKey, keepAnswer } from "./idempotency-store.ts";

const keys = new WeakMap<FastifyRequest, { readonly staffId: string; readonly key: string }>();

/** The key of a call: a string of RFC 8941, quotes and all, or without them as many clients send it. Throws `not-valid`. */
function keyOf(request: FastifyRequest): string | null {
  const said = request.headers["idempotency-key"];
  if (said === undefined) return null;
  const key = String(said)
    .trim()
    .replace(/^"(.*)"$/, "$1");
  if (/^[\x21-\x7e]{1,200}$/.test(key)) return key;
  throw platformErrors.problem("not-valid", "The header Idempotency-Key could not be read. Nothing was stored.", {
    issues: [{ pointer: "/headers/idempotency-key", message: "is 1 to 200 visible characters, a UUID for example" }],
  });
}

/**
 * Begins a call under its key, if it has one. True if the answer to the first call was sent instead. Throws `id-reused` for a key that was used
 * for another call, and `id-in-progress` if the first call has not been answered yet.
 */
export async function answeredBefore(
  context: ServiceContext,
  actor: Actor,
  request: FastifyRequest,
  reply: FastifyReply,
): Promise<boolean> {
  const key = keyOf(request);
  if (key === null) return false;
  const callSha256 = digestOf({ method: request.method, url: request.url, body: request.body ?? null });
  const of = { staffId: actor.staffId, key };
  const kept = await beginCall(context.db, of, callSha256, context.clock.now());
  if (kept === null) {
    keys.set(request, of);
    return false;
  }
  if (kept.callSha256 !== callSha256) {
    throw platformErrors.problem("id-reused", "This Idempotency-Key stands for another call of yours. Make a new one. Nothing was stored.");
  }
  if (kept.status === null) {
    throw platformErrors.problem(
      "id-in-progress",
      "The first call with this Idempotency-Key is not answered: it is under way, or it was cut off. Send it again in a moment; if this stays, look whether it was stored before you send it under a new key.",
      { headers: { "retry-after": "1" } },
    );
  }
  if (kept.location !== null) reply.header("location", kept.location);
  await reply.code(kept.status).send(kept.answer);
  return true;
}

/** Keeps an answer under the call's key, before it is sent; `toKeep` removes what is shown only once. */
export async function keepUnderKey(
  context: ServiceContext,
  request: FastifyRequest,
  reply: FastifyReply,
  answer: unknown,
  toKeep: (answer: unknown) => unknown,
): Promise<void> {
  const of = keys.get(request);
  if (of === undefined || reply.statusCode >= 300) return;
  const location = reply.getHeader("location");
  const kept = { status: reply.statusCode, answer: toKeep(answer), location: location === undefined ? null : String(location) };
  // If that fails, a repetition is told that the outcome is unknown, which is true.
  await afterwards(context, "its answer is not kept for a repetition", () => keepAnswer(context.db, of, kept));
}

/** Frees the key of a call that was refused. If the service failed, it is not known what was stored, so the key stays taken. */
export async function freeRefused(context: ServiceContext, request: FastifyRequest, status: number): Promise<void> {
  const of = keys.get(request);
  if (of !== undefined && status < 500) await freeKey(context.db, of);
}
