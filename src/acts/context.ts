// What a use case is given from the acts on: everything. The rooms to the left take the part that they know (`people/context.ts`).
import type { PeopleContext } from "../people/index.ts";
import { routesWith } from "../platform/index.ts";
import { type ActsState, newActsState } from "./acts-state.ts";
import { ChangePoller } from "./change-poller.ts";

export interface AppContext extends PeopleContext {
  readonly acts: ActsState;
  /** hears that something was recorded */
  readonly changes: ChangePoller;
}

/** The whole context, made of what people have opened. */
export const appContext = (opened: PeopleContext): AppContext => ({
  ...opened,
  acts: newActsState(opened.db),
  changes: new ChangePoller(opened),
});

/** What the rooms from here on put their routes together with. */
export const { route, routes } = routesWith<AppContext>();
