// Sessions that are over, and their streams.
import type { PeopleContext } from "./context.ts";

/** This process forgets at once; the others hear it by notification when the change is committed. What is watched in these sessions ends. */
export function forgetSessions({ signIn, streams }: Pick<PeopleContext, "signIn" | "streams">, sessionIds: readonly string[]): void {
  for (const id of sessionIds) {
    signIn.sessions.forget(id);
    streams.endIn(id);
  }
}
