// What the service states about its records, signed so that it can be checked without asking it.
import { CompactSign, calculateJwkThumbprint, compactVerify, importJWK } from "jose";
import type { PublicKeySet } from "../../shared/contracts/people.ts";
import { canonical } from "../platform/index.ts";
import type { KeysContext } from "./context.ts";
import { type SigningKey, signatureAlgorithm } from "./keys.ts";

/** Types of their own, so that no signed thing passes for another or for an access token (RFC 8725 3.11). */
export const signedTypes = { checkpoint: "checkpoint+jws", pack: "audit-pack+jws", key: "key-voucher+jws" } as const;

/** A JWS in compact form (RFC 7515) over the canonical JSON of a claim, and the id of its key. */
export async function signClaim(
  { keys, clock }: Pick<KeysContext, "keys" | "clock">,
  what: keyof typeof signedTypes,
  claim: object,
): Promise<{ kid: string; jws: string }> {
  const by = keys.signingAt(clock.now());
  return { kid: by.kid, jws: await signBy(by, what, claim) };
}

/** The same, signed by a given key. */
export const signBy = ({ kid, key }: SigningKey, what: keyof typeof signedTypes, claim: object): Promise<string> =>
  new CompactSign(new TextEncoder().encode(canonical(claim)))
    .setProtectedHeader({ alg: signatureAlgorithm, kid, typ: signedTypes[what] })
    .sign(key);

/**
 * The payload of a JWS of that type, signed by one of the keys, whose id has to be its thumbprint (RFC 7638), and the key's id. Null for
 * anything else, also for the same signature written another way: base64 has bits that mean nothing.
 */
export async function readClaim(
  keys: PublicKeySet["keys"],
  what: keyof typeof signedTypes,
  jws: string,
): Promise<{ payload: Uint8Array; kid: string } | null> {
  if (jws.split(".").some((part) => Buffer.from(part, "base64url").toString("base64url") !== part)) return null;
  try {
    const { payload, protectedHeader } = await compactVerify(
      jws,
      async ({ kid }) => {
        const held = keys.find((key) => key.kid === kid);
        if (!held || (await calculateJwkThumbprint(held)) !== kid) throw new Error("no such key");
        return importJWK({ kty: held.kty, crv: held.crv, x: held.x, y: held.y }, signatureAlgorithm);
      },
      { algorithms: [signatureAlgorithm] },
    );
    const { typ, kid, alg: _, ...more } = protectedHeader;
    return typ === signedTypes[what] && kid !== undefined && Object.keys(more).length === 0 ? { payload, kid } : null;
  } catch {
    return null;
  }
}
