// What the use cases of this room and of those to its right are given besides: the keys of this installation.
import { routesWith, type ServiceContext } from "../platform/index.ts";
import type { KeySet } from "./keys.ts";

export interface KeysContext extends ServiceContext {
  /** statements about records and access tokens are signed with them */
  readonly keys: KeySet;
}

/** What the rooms from here on put their routes together with. */
export const { route, routes } = routesWith<KeysContext>();
