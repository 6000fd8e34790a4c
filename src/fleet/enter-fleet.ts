// How machines enter the fleet, one by one or from a file: row, state history and the first entry of each chain.
import { newMachineState } from "../../shared/rules/machine-state.ts";
import type { AppContext } from "../acts/index.ts";
import { beginMachineChains } from "../ledger/index.ts";
import type { Actor, Tx } from "../platform/index.ts";
import { insertMachines, type NewMachine } from "./store.ts";

/** Writing them takes processor time: other requests have their turn in between. */
const atOnce = 200;

/** What is known of a machine that enters; mark and number as they are stored. */
export type Entrant = Omit<NewMachine, "id" | "state"> & { readonly odometerKm: number };

/**
 * Writes the machines within `tx` and returns their ids in order. For a registration mark that is taken, the database's own error is
 * thrown.
 */
export async function enterFleet(
  tx: Tx,
  context: AppContext,
  actor: Actor,
  entrants: readonly Entrant[],
  recordedAt: Date,
): Promise<string[]> {
  const machines = entrants.map(({ odometerKm, ...entrant }) => ({
    id: context.newId(),
    ...entrant,
    state: newMachineState(odometerKm, recordedAt.toISOString()),
  }));
  for (let at = 0; at < machines.length; at += atOnce) {
    const some = machines.slice(at, at + atOnce);
    await insertMachines(tx, some, recordedAt);
    await beginMachineChains(
      context,
      tx,
      some.map(({ id, state, ...particulars }) => ({
        author: { chainId: id, machineId: id, depotId: particulars.depotId, staffId: actor.staffId, recordedAt },
        acts: [
          { id: context.newId(), kind: "machine-added", performedAt: recordedAt, data: { ...particulars, odometerKm: state.odometerKm } },
        ],
      })),
    );
  }
  return machines.map(({ id }) => id);
}
