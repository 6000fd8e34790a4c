// What the use cases of this room and of those to its right are given besides: who is signed in.
import type { KeysContext } from "../keys/index.ts";
import { routesWith } from "../platform/index.ts";
import type { SignInState } from "./sign-in-state.ts";

export interface PeopleContext extends KeysContext {
  readonly signIn: SignInState;
}

/** What the rooms from here on put their routes together with. */
export const { route, routes } = routesWith<PeopleContext>();
