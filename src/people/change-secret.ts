import type { ChangeSecretBody, SecretChanged } from "../../shared/contracts/people.ts";
import { faultOfSecret } from "../../shared/rules/secret.ts";
import { appendToFirm, recording } from "../ledger/index.ts";
import { type Actor, platformErrors } from "../platform/index.ts";
import type { PeopleContext } from "./context.ts";
import { forgetSessions } from "./forget-sessions.ts";
import { depotOfRecord } from "./rules.ts";
import { insertSecretEvent, putOwnSecret } from "./secret-store.ts";
import { hashSecret } from "./secrets.ts";
import { showSecret, wrongCurrent } from "./show-secret.ts";
import type { SignInSource } from "./sign-in-source.ts";
import { endSessionsOf, holdMember, readLiveSession, readMember, readOpenSessions, tellSessionsOf } from "./store.ts";
import { sessionEnded } from "./tokens.ts";

const faults = {
  "too-short": "is shorter than 8 characters",
  same: "is the one it takes the place of, which somebody else may know",
  "staff-number": "is the staff number, which everybody knows",
} as const;

/**
 * Replaces the one-time code or the old secret by one that the person has chosen: their other sessions end, this one goes on, and the record
 * says when, never what. Of a change and a reset at the same moment only one takes effect: a reset ends this session.
 * Throws `not-valid`, `wrong-secret`, `locked-out`, `code-ran-out`, `session-ended`.
 */
export async function changeSecret(
  context: PeopleContext,
  actor: Actor,
  { current, secret }: ChangeSecretBody,
  from: SignInSource,
): Promise<SecretChanged> {
  const fault = faultOfSecret({ secret, current, staffNumber: actor.staffNumber });
  if (fault !== null) {
    throw platformErrors.problem("not-valid", "This cannot be your secret. Nothing was stored.", {
      issues: [{ pointer: "/secret", message: faults[fault] }],
    });
  }
  const shown = await showSecret(context, { id: actor.staffId }, current, from, wrongCurrent);
  const secretHash = await hashSecret(secret);
  const outcome = await recording(context, async (tx) => {
    const before = await holdMember(context.db, tx, actor.staffId);
    const own = { id: actor.staffId, sessionId: actor.sessionId, was: shown.secretHash, secretHash };
    if (!before || !(await putOwnSecret(tx, own))) return null;
    const now = context.clock.now();
    const touched = await readOpenSessions(tx, actor.staffId);
    const sessionsEnded = await endSessionsOf(tx, actor.staffId, "secret-changed", now, actor.sessionId);
    await tellSessionsOf(context.db, tx, actor.staffId, touched);
    const id = context.newId();
    const kind = before.mustChangeSecret ? "chosen" : "changed";
    const data = { personId: actor.staffId, afterCode: before.mustChangeSecret, sessionsEnded };
    await appendToFirm(context, tx, { staffId: actor.staffId, depotId: depotOfRecord(before), recordedAt: now }, [
      { id, kind: "secret-changed", performedAt: now, data },
    ]);
    await insertSecretEvent(tx, { id, staffId: actor.staffId, kind, at: now });
    const person = await readMember(tx, actor.staffId);
    if (!person) throw new Error("a person is never removed");
    return { touched, answer: { person, secretChangedAt: now.toISOString(), sessionsEnded } };
  });
  // Somebody was faster: another session of this person or a manager (then this session is over), or a second call in this session.
  if (outcome === null) throw (await readLiveSession(context.db, actor.sessionId)) ? wrongCurrent() : sessionEnded();
  forgetSessions(context, outcome.touched);
  return outcome.answer;
}
