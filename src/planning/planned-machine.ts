import type { AppContext } from "../acts/index.ts";
import { objectOf } from "../platform/index.ts";
import { findMachine } from "./store.ts";

export type PlannedMachine = NonNullable<Awaited<ReturnType<typeof findMachine>>>;

/** The machine named in the address, with its depot, as forecasts need it. */
export const machine = objectOf({
  name: "machine",
  missing: "There is no machine with this id.",
  find: ({ db }: AppContext, id) => findMachine(db, id),
  depotOf: ({ depotId }: PlannedMachine) => depotId,
});
