// What signing in takes besides keys: what this process remembers of sessions and tokens.
import type { KeysContext } from "../keys/index.ts";
import { hashSecret } from "./secrets.ts";
import { SessionMemory } from "./sessions.ts";
import { makeRefreshToken, TokenReader } from "./tokens.ts";

export interface SignInState {
  readonly tokens: TokenReader;
  readonly sessions: SessionMemory;
  /** the hash of a secret that nobody has: an unknown staff number takes as long as a known one */
  readonly nobodysHash: string;
}

/** The state of a process in which nobody has signed in yet. */
export const newSignInState = async ({ keys, config }: KeysContext): Promise<SignInState> => ({
  tokens: new TokenReader(keys, config.issuer),
  sessions: new SessionMemory(),
  nobodysHash: await hashSecret(makeRefreshToken()),
});
