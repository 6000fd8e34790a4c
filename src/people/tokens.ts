// Access tokens (JWT, ES256) and refresh tokens (random, kept as their hash).
import { createHash, randomBytes } from "node:crypto";
import { errors, type JWTPayload, type JWTVerifyOptions, jwtVerify, SignJWT } from "jose";
import { LRUCache } from "lru-cache";
import { z } from "zod";
import { type KeySet, signatureAlgorithm } from "../keys/index.ts";
import { platformErrors } from "../platform/index.ts";
import { peopleErrors } from "./errors.ts";

export const accessTokenSeconds = 15 * 60;

// RFC 9068: a type of its own, so that no other kind of signed token passes for an access token.
const accessTokenType = "at+jwt";

const claimsSchema = z.object({ sub: z.uuid(), sid: z.uuid(), exp: z.number().int() });

/** What an access token says: the session; who that is and what they may do is read afresh. */
export interface Claims {
  readonly staffId: string;
  readonly sessionId: string;
  readonly expiresAt: Date;
}

/** Signs an access token that holds for 15 minutes from `now`. `issuer` is the audience too: the service that issues it is the one that accepts it. */
export function signAccessToken(keys: KeySet, issuer: string, about: { staffId: string; sessionId: string }, now: Date): Promise<string> {
  const issuedAt = Math.floor(now.getTime() / 1000);
  const { kid, key } = keys.signingAt(now);
  return new SignJWT({ sid: about.sessionId })
    .setProtectedHeader({ alg: signatureAlgorithm, kid, typ: accessTokenType })
    .setIssuer(issuer)
    .setAudience(issuer)
    .setSubject(about.staffId)
    .setIssuedAt(issuedAt)
    .setExpirationTime(issuedAt + accessTokenSeconds)
    .sign(key);
}

/** The payload of a token that is signed by a key trusted at `now` and has not expired then. Throws jose's errors. */
export async function verifyToken(
  keys: KeySet,
  token: string,
  now: Date,
  expected: Pick<JWTVerifyOptions, "issuer" | "audience" | "typ" | "requiredClaims">,
): Promise<JWTPayload> {
  const { payload } = await jwtVerify(token, keys.findAt(now), { ...expected, algorithms: [signatureAlgorithm], currentDate: now });
  return payload;
}

/** Reads an access token of `issuer`. Throws `token-expired`, or `not-signed-in` for anything else that is wrong with it. */
export async function readAccessToken(keys: KeySet, issuer: string, token: string, now: Date): Promise<Claims> {
  try {
    const payload = await verifyToken(keys, token, now, {
      issuer,
      audience: issuer,
      typ: accessTokenType,
      requiredClaims: ["sub", "sid", "exp", "iat"],
    });
    const { sub, sid, exp } = claimsSchema.parse(payload);
    return { staffId: sub, sessionId: sid, expiresAt: new Date(exp * 1000) };
  } catch (error) {
    if (error instanceof errors.JWTExpired) throw tokenExpired();
    if (error instanceof errors.JOSEError || error instanceof z.ZodError) throw notSignedIn();
    throw error;
  }
}

// RFC 6750 section 3: a refusal for want of a token names the scheme.
const challenge = { headers: { "www-authenticate": "Bearer" } };
const refusal = { headers: { "www-authenticate": 'Bearer error="invalid_token"' } };

const tokenExpired = () =>
  peopleErrors.problem("token-expired", "Renew it with the refresh token at /v1/sign-in/renewal, then send the call again.", refusal);
const notSignedIn = () => platformErrors.problem("not-signed-in", "This is not an access token of this service.", refusal);

/** Nothing that looks like a token was sent. */
export const noToken = () =>
  platformErrors.problem("not-signed-in", "Sign in at /v1/sign-in and send the access token as Authorization: Bearer.", challenge);

/** No session is kept in this browser, or not any more. */
export const noRefreshToken = () => platformErrors.problem("not-signed-in", "Sign in on this page first.", challenge);

/** The session behind a token is over. */
export const sessionEnded = () => peopleErrors.problem("session-ended", "Sign in again with the staff number and the secret.", refusal);

// Several times the staff of a large firm, at about half a kilobyte each.
const mostRemembered = 4000;

/**
 * Reads access tokens and remembers the ones found good until they run out: the same token costs its signature check once.
 * What is remembered is the signature, not the permission: the session is asked every time.
 */
export class TokenReader {
  readonly #keys: KeySet;
  readonly #issuer: string;
  readonly #good = new LRUCache<string, Claims>({ max: mostRemembered });

  constructor(keys: KeySet, issuer: string) {
    this.#keys = keys;
    this.#issuer = issuer;
  }

  async read(token: string, now: Date): Promise<Claims> {
    const known = this.#good.get(token);
    if (known) {
      if (now < known.expiresAt) return known;
      this.#good.delete(token);
      throw tokenExpired();
    }
    const claims = await readAccessToken(this.#keys, this.#issuer, token, now);
    this.#good.set(token, claims);
    return claims;
  }
}

/** A refresh token: 256 random bits, base64url. */
export const makeRefreshToken = (): string => randomBytes(32).toString("base64url");

/** What is kept of a refresh token, or of the mark of a device. Plain SHA-256 is enough for a random value of this length. */
export const hashOfToken = (token: string): string => createHash("sha256").update(token).digest("hex");
