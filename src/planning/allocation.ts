// Who rides what: the most riders served, then the fewest changes from what was kept or ridden before, then first those who rode then.
import { classNeeded, covers, readLicenceClass } from "../../shared/rules/licence.ts";
import { assign } from "../statistics/index.ts";

export interface AllocationRider {
  readonly staffId: string;
  /** as written on the licence; null if none is known: then it is not checked */
  readonly licenceClass: string | null;
  readonly needsLoadBox: boolean;
  /** the machine from which a change counts: of what was kept, else of the last day of use */
  readonly rodeBefore: string | null;
}

export interface ReadyMachine {
  readonly id: string;
  readonly engineCc: number | null;
  readonly hasLoadBox: boolean;
  /** who rides it now: those with a valid clearance for it. Nobody else is given it. */
  readonly riddenBy: readonly string[];
}

export interface Allocated {
  readonly staffId: string;
  readonly machineId: string;
  /** another machine than before, and not one that they ride already */
  readonly changed: boolean;
}

export type Shortage = "licence" | "load-box" | "ridden" | "no-machine-left" | "no-machine-ready";

export interface AllocationPlan {
  readonly allocations: readonly Allocated[];
  readonly unserved: readonly { readonly staffId: string; readonly reason: Shortage }[];
}

/** Whether the rider's licence covers the machine; a class that cannot be compared covers none. */
export function mayRide({ licenceClass }: Pick<AllocationRider, "licenceClass">, { engineCc }: Pick<ReadyMachine, "engineCc">): boolean {
  if (licenceClass === null) return true;
  const held = readLicenceClass(licenceClass);
  return held !== null && covers(held, classNeeded(engineCc));
}

/** Whether nobody rides it, or this rider does: who is cleared for it keeps it, even where somebody else is cleared as well. */
export const isFreeFor = ({ staffId }: Pick<AllocationRider, "staffId">, { riddenBy }: Pick<ReadyMachine, "riddenBy">): boolean =>
  riddenBy.length === 0 || riddenBy.includes(staffId);

const carries = ({ needsLoadBox }: AllocationRider, { hasLoadBox }: ReadyMachine): boolean => hasLoadBox || !needsLoadBox;

/** Assigns riders to machines, each at most once. A rider who rode nothing before does not count as changed. A machine that somebody rides goes to nobody else. */
export function allocate(riders: readonly AllocationRider[], machines: readonly ReadyMachine[]): AllocationPlan {
  const columns = Math.max(machines.length, riders.length);
  // The costs in three ranks: giving a rider who had no machine any machine costs least; one change outweighs that for all riders together, and
  // one rider left without a machine outweighs a change for all of them.
  const fresh = 1;
  const change = riders.length + 1;
  // Columns after the machines stand for getting none.
  const without = change * change;
  const costs = new Float64Array(riders.length * columns).fill(without);
  riders.forEach((rider, row) => {
    machines.forEach((machine, column) => {
      if (!mayRide(rider, machine) || !carries(rider, machine) || !isFreeFor(rider, machine)) return;
      const stays = rider.rodeBefore === machine.id || machine.riddenBy.includes(rider.staffId);
      costs[row * columns + column] = stays ? 0 : rider.rodeBefore === null ? fresh : change;
    });
  });
  const taken = assign(costs, riders.length, columns);
  const allocations: Allocated[] = [];
  const unserved: { staffId: string; reason: Shortage }[] = [];
  riders.forEach((rider, row) => {
    const column = taken[row] ?? -1;
    const machine = machines[column];
    const cost = costs[row * columns + column] ?? without;
    if (machine && cost < without) allocations.push({ staffId: rider.staffId, machineId: machine.id, changed: cost === change });
    else unserved.push({ staffId: rider.staffId, reason: shortageOf(rider, machines) });
  });
  return { allocations, unserved };
}

function shortageOf(rider: AllocationRider, machines: readonly ReadyMachine[]): Shortage {
  if (machines.length === 0) return "no-machine-ready";
  const allowed = machines.filter((machine) => mayRide(rider, machine));
  if (allowed.length === 0) return "licence";
  const fitting = allowed.filter((machine) => carries(rider, machine));
  if (fitting.length === 0) return "load-box";
  return fitting.some((machine) => isFreeFor(rider, machine)) ? "no-machine-left" : "ridden";
}
