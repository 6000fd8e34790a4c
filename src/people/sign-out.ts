import type { Actor } from "../platform/index.ts";
import type { PeopleContext } from "./context.ts";
import { forgetSessions } from "./sign-in-state.ts";
import { endSession } from "./store.ts";

/** Ends the session that the call came with, its refresh tokens included. */
export async function signOut(context: PeopleContext, actor: Actor): Promise<void> {
  await endSession(context.db, actor.sessionId, "signed-out", context.clock.now());
  forgetSessions(context, [actor.sessionId]);
}
