// What a use case is given from the people on: who is signed in.
import type { LedgerContext } from "../ledger/index.ts";
import { routeWith } from "../platform/index.ts";
import type { SignInState } from "./sign-in-state.ts";

export interface PeopleContext extends LedgerContext {
  readonly signIn: SignInState;
}

/** One row of the route table of the people. */
export const route = routeWith<PeopleContext>();
