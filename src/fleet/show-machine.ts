import type { Machine } from "../../shared/contracts/fleet.ts";
import { type AppContext, readPolicy } from "../acts/index.ts";
import { type Actor, type Database, mustSeeDepot, platformErrors } from "../platform/index.ts";
import { wordsFor } from "../readiness/index.ts";
import { machineSummary, openIn } from "./machine-summary.ts";
import { findMachine, type MachineRow } from "./store.ts";

/** The context, or a transaction in it. */
interface Reading extends Pick<AppContext, "clock"> {
  readonly db: Pick<Database, "rows">;
}

/** One machine as it stands now. Throws `not-found`, `other-depot`. */
export async function showMachine(context: Reading, actor: Actor, id: string): Promise<Machine> {
  const machine = await machineInView(context, actor, id);
  const inWords = await wordsFor(context.db, openIn(machine));
  return machineSummary(machine, await readPolicy(context.db), context.clock.now(), actor.staffId, inWords);
}

/** The machine's row, if the actor may see it. Throws `not-found`, `other-depot`. */
export async function machineInView(context: Reading, actor: Actor, id: string): Promise<MachineRow> {
  const machine = await findMachine(context.db, id);
  if (!machine) throw platformErrors.problem("not-found", "There is no machine with this id.");
  mustSeeDepot(actor, machine.depotId);
  return machine;
}
