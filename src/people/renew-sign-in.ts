import type { RenewalBody, SignedIn } from "../../shared/contracts/people.ts";
import type { PeopleContext } from "./context.ts";
import { forgetSessions } from "./forget-sessions.ts";
import { rotateAgain, rotateToken } from "./refresh-store.ts";
import { endSession, sessionOfUsedToken } from "./store.ts";
import { accessTokenSeconds, hashOfToken, makeRefreshToken, sessionEnded, signAccessToken } from "./tokens.ts";

/**
 * Trades a refresh token for new tokens. One that was used before ends the whole session, its newest tokens included: either
 * the phone or a thief holds a copy, and which of them is asking cannot be told. Throws `session-ended`.
 *
 * A page on a device that its person signed in on (`deviceToken`: the mark that only this browser holds) may ask again if the answer was
 * lost: within two minutes, and only while the token sent in that answer is unused. It gets another token, and the lost one counts as used:
 * whoever sends it later ends the session. So a thief who copies a whole browser gains nothing lasting: when two go on with one session, the
 * second renewal reveals it, as before. Callers without such a mark have no such grace, because nothing tells their phone from a copy of its
 * token, and api.md promises them that a token sent twice ends the session.
 */
export async function renewSignIn(context: PeopleContext, body: RenewalBody, deviceToken: string | null = null): Promise<SignedIn> {
  const now = context.clock.now();
  const refreshToken = makeRefreshToken();
  const rotation = {
    tokenHash: hashOfToken(body.refreshToken),
    nextHash: hashOfToken(refreshToken),
    device: deviceToken === null ? null : hashOfToken(deviceToken),
    now,
  };
  const renewed = (await rotateToken(context.db, rotation)) ?? (await rotateAgain(context.db, rotation));
  if (!renewed) {
    await endIfReplayed(context, rotation.tokenHash, now);
    throw sessionEnded();
  }
  const { sessionId, person } = renewed;
  // It was remembered with its old end.
  context.signIn.sessions.forget(sessionId);
  const about = { staffId: person.id, sessionId };
  const accessToken = await signAccessToken(context.keys, context.config.issuer, about, now);
  return { accessToken, refreshToken, expiresInSeconds: accessTokenSeconds, person, mustChangeSecret: person.mustChangeSecret };
}

async function endIfReplayed(context: PeopleContext, tokenHash: string, now: Date): Promise<void> {
  const sessionId = await sessionOfUsedToken(context.db, tokenHash);
  if (sessionId === null) return;
  await endSession(context.db, sessionId, "replayed", now);
  forgetSessions(context, [sessionId]);
  context.log.warn({ sessionId }, "a used refresh token came again");
}
