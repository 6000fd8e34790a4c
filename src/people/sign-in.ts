import type { SignedIn, SignInBody } from "../../shared/contracts/people.ts";
import type { House } from "../platform/index.ts";
import { deskOf } from "./desk.ts";
import { peopleErrors } from "./errors.ts";
import { sessionHours } from "./rules.ts";
import { isSecret } from "./secrets.ts";
import { countFailure, readMember, readSigningIn, removeOldSessions, startSession } from "./store.ts";
import { accessTokenSeconds, hashOfToken, makeRefreshToken, signAccessToken } from "./tokens.ts";

/**
 * Signs a person in and begins a session. Throws `wrong-credentials` alike for an unknown number, a wrong secret and a person
 * who left, each after the same work; `locked-out` with Retry-After whether or not the secret is right. That a number is locked
 * says that somebody has it: numbers stand on every rota and are no secret.
 */
export async function signIn(house: House, { staffNumber, secret }: SignInBody): Promise<SignedIn> {
  const desk = deskOf(house);
  const now = house.clock.now();
  const found = await readSigningIn(house.db, staffNumber);
  if (found?.lockedUntil && found.lockedUntil > now) throw lockedOut(found.lockedUntil, now);

  const right = await isSecret(found?.secretHash ?? desk.nobodysHash, secret);
  if (!found || found.leftAt) throw wrongCredentials();
  if (!right) {
    const lockedUntil = await countFailure(house.db, found.id, now);
    house.log.warn({ staffId: found.id }, "a sign-in failed");
    throw lockedUntil ? lockedOut(lockedUntil, now) : wrongCredentials();
  }

  const sessionId = house.newId();
  const refreshToken = makeRefreshToken();
  const outcome = await startSession(house.db, {
    staffId: found.id,
    secretHash: found.secretHash,
    sessionId,
    tokenHash: hashOfToken(refreshToken),
    now,
  });
  if (outcome !== "started") {
    const { lockedUntil } = outcome;
    throw lockedUntil && lockedUntil > now ? lockedOut(lockedUntil, now) : wrongCredentials();
  }
  await removeOldSessions(house.db, found.id, new Date(now.getTime() - sessionHours * 3_600_000));

  const person = await readMember(house.db.prisma, found.id);
  if (!person) throw new Error("a person that signed in is never removed");
  const accessToken = await signAccessToken(desk.keys, house.config.issuer, { staffId: found.id, sessionId }, now);
  return { accessToken, refreshToken, expiresInSeconds: accessTokenSeconds, person };
}

const wrongCredentials = () => peopleErrors.problem("wrong-credentials", "Check the staff number and the secret, then try again.");

function lockedOut(until: Date, now: Date) {
  const seconds = Math.max(1, Math.ceil((until.getTime() - now.getTime()) / 1000));
  return peopleErrors.problem(
    "locked-out",
    `After several failed sign-ins this staff number is closed for ${Math.ceil(seconds / 60)} more minutes. The manager can set a new secret.`,
    { headers: { "retry-after": String(seconds) } },
  );
}
