// The keys of a pack, which everything in it is signed by.
import { z } from "zod";
import type { PublicKeySet } from "../../shared/contracts/people.ts";
import { sha256 } from "../ledger/index.ts";
import { canonical } from "../platform/index.ts";
import { Fault, parsed } from "./fault.ts";

// Strict, unlike what the service publishes: a private half, or a key for something else, has no business in a pack.
const coordinate = z.string().regex(/^[A-Za-z0-9_-]{43}$/);
const keysSchema = z.strictObject({
  keys: z.array(
    z.strictObject({
      kty: z.literal("EC"),
      crv: z.literal("P-256"),
      x: coordinate,
      y: coordinate,
      kid: z.string(),
      alg: z.literal("ES256"),
      use: z.literal("sig"),
    }),
  ),
});

/** The keys, each called by its thumbprint (RFC 7638) and there once. Throws a fault. */
export function readPackKeys(text: string): PublicKeySet["keys"] {
  const { keys } = parsed("keys.json", keysSchema, text);
  const kids = keys.map(({ kty, crv, x, y }) => Buffer.from(sha256(canonical({ kty, crv, x, y })), "hex").toString("base64url"));
  if (keys.some(({ kid }, at) => kid !== kids[at]) || new Set(kids).size !== kids.length) {
    throw new Fault("audit.why.format", { name: "keys.json", what: "kid" });
  }
  return keys;
}
