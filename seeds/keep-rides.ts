// The manager keeps who rides what before anybody checks a machine: on the working days of the last two weeks, and today.
import { startOfDay } from "../shared/rules/calendar.ts";
import { keepAllocation } from "../src/planning/index.ts";
import { demoDepots } from "./people.ts";
import { actor, type DemoDepot, type DemoMachine, happens, hour, isGrounded, minutesLater, offsetOf, timeOf, type World } from "./world.ts";

type Pairs = readonly (readonly [rider: string, machine: DemoMachine])[];

/** Before that the firm went without: a longer history would tell nothing more. */
const keptDays = 14;

const keep = async (world: World, { key, id }: DemoDepot, day: string, pairs: Pairs): Promise<void> => {
  const { name, timeZone, workshopHoursPerDay } = demoDepots[key];
  const allocations = pairs.map(([rider, machine]) => ({ staffId: actor(world, rider).staffId, machineId: machine.id }));
  await keepAllocation(world.context, actor(world, "F001"), { depot: { id, name, timeZone, workshopHoursPerDay }, day }, { allocations });
};

/** Half an hour before the first check of that day. */
export function keepRides(world: World, depot: DemoDepot, day: string, pairs: Pairs): void {
  const at = timeOf(depot, day, hour(5));
  if (offsetOf(depot, at) >= -keptDays) happens(world, depot, at, () => keep(world, depot, day, pairs));
}

/** This morning each rider has their own machine, if it may go out. */
export function keepRidesToday(world: World): void {
  for (const depot of Object.values(world.depots)) {
    const dawn = startOfDay(depot.today, depot.timeZone);
    const moment = minutesLater(world.now, -12);
    world.timeline.at(moment < dawn ? dawn : moment, () => {
      const ready = world.machines.filter(
        (machine) => machine.depot === depot && !machine.withdrawn && !machine.stands && !isGrounded(machine),
      );
      const pairs = ready.flatMap((machine): [string, DemoMachine][] =>
        machine.plan.rider === null ? [] : [[machine.plan.rider, machine]],
      );
      return keep(world, depot, depot.today, pairs);
    });
  }
}
