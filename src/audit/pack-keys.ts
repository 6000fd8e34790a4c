// The public keys in a pack, with which every signature in it is checked.
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

/** Reads the keys. Throws a fault if one is not named by its thumbprint (RFC 7638) or occurs twice. */
export function readPackKeys(text: string): PublicKeySet["keys"] {
  const { keys } = parsed("keys.json", keysSchema, text);
  const kids = keys.map(({ kty, crv, x, y }) => Buffer.from(sha256(canonical({ kty, crv, x, y })), "hex").toString("base64url"));
  if (keys.some(({ kid }, at) => kid !== kids[at]) || new Set(kids).size !== kids.length) {
    throw new Fault("audit.why.format", { name: "keys.json", what: "kid" });
  }
  return keys;
}
