// The context of use cases in this room and those that import it: everything. The rooms before it know a part (`people/context.ts`).
import type { PeopleContext } from "../people/index.ts";
import { routesWith } from "../platform/index.ts";
import type { DepotMove, RowsOf } from "./act-rows.ts";
import { type ActsState, newActsState } from "./acts-state.ts";
import { ChangePoller } from "./change-poller.ts";

export interface AppContext extends PeopleContext {
  readonly acts: ActsState;
  /** tells subscribers that something was recorded */
  readonly changes: ChangePoller;
}

/** The whole context, made of what people have opened, and of what goes along where a machine comes to another depot. */
export const appContext = (opened: PeopleContext, goAlong: RowsOf<DepotMove>): AppContext => ({
  ...opened,
  acts: newActsState(opened.db, goAlong),
  changes: new ChangePoller(opened),
});

/** What this room and those that import it make their routes with. */
export const { route, routes } = routesWith<AppContext>();
