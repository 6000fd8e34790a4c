import type { RenewalBody, SignedIn } from "../../shared/contracts/people.ts";
import type { House } from "../platform/index.ts";
import { deskOf, forgetSessions } from "./desk.ts";
import { endSession, rotateToken, sessionOfUsedToken } from "./store.ts";
import { accessTokenSeconds, hashOfToken, makeRefreshToken, sessionEnded, signAccessToken } from "./tokens.ts";

/**
 * Trades a refresh token for new tokens. One that was used before ends the whole session, its newest tokens included: either
 * the phone or a thief holds a copy, and which of them is asking cannot be told. There is no grace for a phone that lost the
 * answer and sends the old token again; its rider signs in once more. Throws `session-ended`.
 */
export async function renewSignIn(house: House, body: RenewalBody): Promise<SignedIn> {
  const now = house.clock.now();
  const tokenHash = hashOfToken(body.refreshToken);
  const refreshToken = makeRefreshToken();
  const renewed = await rotateToken(house.db, { tokenHash, nextHash: hashOfToken(refreshToken), now });
  if (!renewed) {
    await endIfReplayed(house, tokenHash, now);
    throw sessionEnded();
  }
  const { sessionId, person } = renewed;
  // It was remembered with its old end.
  deskOf(house).sessions.forget(sessionId);
  const about = { staffId: person.id, sessionId };
  const accessToken = await signAccessToken(deskOf(house).keys, house.config.issuer, about, now);
  return { accessToken, refreshToken, expiresInSeconds: accessTokenSeconds, person, mustChangeSecret: person.mustChangeSecret };
}

async function endIfReplayed(house: House, tokenHash: string, now: Date): Promise<void> {
  const sessionId = await sessionOfUsedToken(house.db, tokenHash);
  if (sessionId === null) return;
  await endSession(house.db, sessionId, "replayed", now);
  forgetSessions(house, [sessionId]);
  house.log.warn({ sessionId }, "a used refresh token came again");
}
