// What a use case is given from the ledger on: the keys of this installation.
import { routeWith, type ServiceContext } from "../platform/index.ts";
import type { KeySet } from "./keys.ts";

export interface LedgerContext extends ServiceContext {
  /** statements about records and access tokens are signed with them */
  readonly keys: KeySet;
}

/** One row of a route table of the rooms that know the keys and nobody yet. */
export const route = routeWith<LedgerContext>();
