import type { z } from "zod";
import type { signedOutSchema } from "../../shared/contracts/people.ts";
import type { Actor } from "../platform/index.ts";
import type { PeopleContext } from "./context.ts";
import { forgetSessions } from "./forget-sessions.ts";
import { endSession } from "./store.ts";

/** Ends the session that the call came with, its refresh tokens included. */
export async function signOut(context: PeopleContext, actor: Actor): Promise<z.infer<typeof signedOutSchema>> {
  await endSession(context.db, actor.sessionId, "signed-out", context.clock.now());
  forgetSessions(context, [actor.sessionId]);
  return { signedOut: true };
}
