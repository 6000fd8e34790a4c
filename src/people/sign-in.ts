import type { SignedIn, SignInBody } from "../../shared/contracts/people.ts";
import { afterwards } from "../platform/index.ts";
import type { PeopleContext } from "./context.ts";
import { knowDevice } from "./guess-store.ts";
import { sessionHours } from "./rules.ts";
import { lockedOut, showSecret, wrongCredentials } from "./show-secret.ts";
import type { SignInSource } from "./sign-in-source.ts";
import { readMember, removeOldSessions, startSession } from "./store.ts";
import { accessTokenSeconds, hashOfToken, makeRefreshToken, signAccessToken } from "./tokens.ts";

export interface SignedInHere {
  readonly signedIn: SignedIn;
  /** by which this device is recognised from now on; it gives access to nothing */
  readonly deviceToken: string;
}

/**
 * Signs a person in and begins a session; with a one-time code, a session that can only choose a secret. A code may be used again until that
 * choice is made, so a phone that loses its signal in between loses nothing. Throws `wrong-credentials` alike for an unknown number,
 * a wrong secret and a person who left, each after the same work; `locked-out` with Retry-After whether or not the secret is right. That a
 * number is locked reveals that it exists, which is no secret: numbers stand on every rota. `code-ran-out` says that the code was right once.
 */
export async function signIn(context: PeopleContext, { staffNumber, secret }: SignInBody, from: SignInSource): Promise<SignedInHere> {
  const now = context.clock.now();
  const found = await showSecret(context, { staffNumber }, secret, from, wrongCredentials);

  const sessionId = context.newId();
  const refreshToken = makeRefreshToken();
  const outcome = await startSession(context.db, {
    staffId: found.id,
    secretHash: found.secretHash,
    sources: found.sources,
    sessionId,
    tokenHash: hashOfToken(refreshToken),
    now,
  });
  if (outcome !== "started") {
    const { lockedUntil } = outcome;
    throw lockedUntil && lockedUntil > now ? lockedOut(lockedUntil, now) : wrongCredentials();
  }
  const before = new Date(now.getTime() - sessionHours * 3_600_000);
  await afterwards(context, "old sessions were not removed", () => removeOldSessions(context.db, found.id, before));

  const person = await readMember(context.db.prisma, found.id);
  if (!person) throw new Error("a person that signed in is never removed");
  const accessToken = await signAccessToken(context.keys, context.config.issuer, { staffId: found.id, sessionId }, now);
  const deviceToken = from.deviceToken ?? makeRefreshToken();
  await afterwards(context, "the device is not known yet", () => knowDevice(context.db, found.id, deviceToken, now));
  const signedIn = { accessToken, refreshToken, expiresInSeconds: accessTokenSeconds, person, mustChangeSecret: person.mustChangeSecret };
  return { signedIn, deviceToken };
}
