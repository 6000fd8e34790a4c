// What signing in needs beyond the house: keys and what is remembered. One desk for each open database of the process.

import type { KeyRing } from "../ledger/index.ts";
import { type Database, endWatchingIn, type House } from "../platform/index.ts";
import { hashSecret } from "./secrets.ts";
import { SessionMemory } from "./sessions.ts";
import { makeRefreshToken, TokenReader } from "./tokens.ts";

export interface Desk {
  readonly keys: KeyRing;
  readonly tokens: TokenReader;
  readonly sessions: SessionMemory;
  /** the hash of a secret that nobody has: an unknown staff number takes as long as a known one */
  readonly nobodysHash: string;
}

const desks = new WeakMap<Database, Desk>();

/** Sets the desk up. */
export async function openDesk(house: House, keys: KeyRing): Promise<Desk> {
  const desk: Desk = {
    keys,
    tokens: new TokenReader(keys, house.config.issuer),
    sessions: new SessionMemory(),
    nobodysHash: await hashSecret(makeRefreshToken()),
  };
  desks.set(house.db, desk);
  return desk;
}

/** The open desk. Throws where `openPeople` was not called. */
export function deskOf(house: House): Desk {
  const desk = desks.get(house.db);
  if (!desk) throw new Error("nobody can sign in before openPeople");
  return desk;
}

/** This process forgets at once; the others hear it by notification when the change is committed. What is watched in these sessions ends. */
export function forgetSessions(house: House, sessionIds: readonly string[]): void {
  const sessions = desks.get(house.db)?.sessions;
  for (const id of sessionIds) {
    sessions?.forget(id);
    endWatchingIn(id);
  }
}
