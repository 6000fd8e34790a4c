// Sessions that are over, and their streams.
import type { PeopleContext } from "./context.ts";

/** This process forgets the sessions at once; the others are notified when the change is committed. Event streams opened in them end. */
export function forgetSessions({ signIn, streams }: Pick<PeopleContext, "signIn" | "streams">, sessionIds: readonly string[]): void {
  for (const id of sessionIds) {
    signIn.sessions.forget(id);
    streams.endIn(id);
  }
}
