import type { Machine } from "../../shared/contracts/fleet.ts";
import { type AppContext, readPolicy } from "../acts/index.ts";
import { type Actor, type Database, objectOf } from "../platform/index.ts";
import { wordsFor } from "../readiness/index.ts";
import { machineSummary, openIn } from "./machine-summary.ts";
import { findMachine, type MachineRow } from "./store.ts";

/** The context, or a transaction in it. */
interface Reading extends Pick<AppContext, "clock"> {
  readonly db: Pick<Database, "rows">;
}

/** The machine at an address, with its depot. */
export const machine = objectOf({
  name: "machine",
  missing: "There is no machine with this id.",
  find: ({ db }: AppContext, id) => findMachine(db, id),
  depotOf: ({ depotId }) => depotId,
});

/** One machine as it stands now. */
export async function showMachine(context: Reading, actor: Actor, machine: MachineRow): Promise<Machine> {
  const inWords = await wordsFor(context.db, openIn(machine));
  return machineSummary(machine, await readPolicy(context.db), context.clock.now(), actor.staffId, inWords);
}
