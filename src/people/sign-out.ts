import type { Actor, House } from "../platform/index.ts";
import { forgetSessions } from "./desk.ts";
import { endSession } from "./store.ts";

/** Ends the session that the call came with, its refresh tokens included. */
export async function signOut(house: House, actor: Actor): Promise<void> {
  await endSession(house.db, actor.sessionId, "signed-out", house.clock.now());
  forgetSessions(house, [actor.sessionId]);
}
