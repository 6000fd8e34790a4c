// Somebody shows a secret: at sign-in, and again when they change it. Failures at both are counted here, so that neither is a way round the other.
import type { ProblemError } from "../platform/index.ts";
import type { PeopleContext } from "./context.ts";
import { peopleErrors } from "./errors.ts";
import { countFailure, readSigningIn, type SigningIn } from "./guess-store.ts";
import { isSecret } from "./secrets.ts";
import { countedAs, type SignInSource } from "./sign-in-source.ts";

/**
 * The person whose secret this is. Throws `wrong()` alike for an unknown person, a wrong secret and somebody who left, each after the same
 * work; `locked-out` with Retry-After whether or not the secret is right; `code-ran-out` only where it is.
 */
export async function showSecret(
  context: PeopleContext,
  who: { staffNumber: string } | { id: string },
  secret: string,
  from: SignInSource,
  wrong: () => ProblemError,
): Promise<SigningIn> {
  const now = context.clock.now();
  const found = await readSigningIn(context.db, who, countedAs(from));
  if (found?.lockedUntil && found.lockedUntil > now) throw lockedOut(found.lockedUntil, now);
  const right = await isSecret(found?.secretHash ?? context.signIn.nobodysHash, secret);
  if (!found || found.leftAt) throw wrong();
  if (!right) {
    const lockedUntil = await countFailure(context.db, found.id, found.sources, now);
    context.log.warn({ staffId: found.id }, "a secret was wrong");
    throw lockedUntil ? lockedOut(lockedUntil, now) : wrong();
  }
  if (found.codeExpiresAt && found.codeExpiresAt <= now) throw codeRanOut();
  return found;
}

export const wrongCredentials = () => peopleErrors.problem("wrong-credentials", "Check the staff number and the secret, then try again.");

export const wrongCurrent = () => peopleErrors.problem("wrong-secret", "Check your present secret, then try again. Nothing was stored.");

const codeRanOut = () =>
  peopleErrors.problem("code-ran-out", "This one-time code was not used in time. Ask your manager for a new one; nothing else is lost.");

export function lockedOut(until: Date, now: Date): ProblemError {
  const seconds = Math.max(1, Math.ceil((until.getTime() - now.getTime()) / 1000));
  return peopleErrors.problem(
    "locked-out",
    `After several wrong secrets this staff number is closed from here for ${Math.ceil(seconds / 60)} more minutes; on a device where its person has signed in before it is not. A manager can give a one-time code.`,
    { headers: { "retry-after": String(seconds) } },
  );
}
