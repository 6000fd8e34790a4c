// The demo firm: thirteen weeks of an invented courier firm, made by the rooms' own use cases on a clock that is moved by hand.

import { isoWeek, localDay, startOfDay } from "../shared/rules/calendar.ts";
import type { AppContext } from "../src/acts/index.ts";
import { MovedClock } from "../src/platform/index.ts";
import { checkAgain, inspectionWeekday, planDay } from "./day.ts";
import { Dice, idsByDice, saltsByDice } from "./dice.ts";
import { foundTheFirm, takeMachine } from "./found.ts";
import { inspectMachine } from "./inspect-weekly.ts";
import { demoMachines } from "./machines.ts";
import { demoDepots, demoPeople, firmName, secretOf } from "./people.ts";
import { setPrices } from "./prices.ts";
import { daysOf, planLateJoiner, tellStories, tellToday } from "./story.ts";
import { Timeline } from "./timeline.ts";
import { actor, type DemoDepot, dayOf, happens, hour, isWorkday, timeOf, type World } from "./world.ts";

export { demoPeople, secretOf } from "./people.ts";

export interface DemoPerson {
  readonly number: string;
  readonly secret: string;
  readonly name: string;
  readonly role: string;
  /** the depot's name, or `all depots` */
  readonly depot: string;
}

export interface DemoPeople {
  readonly firmName: string;
  readonly people: readonly DemoPerson[];
}

export interface DemoOptions {
  /** where the story ends; the context's own time unless given */
  readonly now?: Date;
  /** length of the history, 13 unless given; stories that lie further back are left out */
  readonly weeks?: number;
  /** called with a line about the progress */
  readonly say?: (line: string) => void;
}

/** Everybody in the demo firm, with the secrets to sign in by. */
export const listDemoPeople = (): DemoPeople => ({
  firmName,
  people: demoPeople.map(({ number, name, role, depot }) => ({
    ...{ number, secret: secretOf(number), name, role },
    depot: depot === null ? "all depots" : demoDepots[depot].name,
  })),
});

/** The demo people as lines to print. */
export function describeDemoPeople(): string {
  const { people } = listDemoPeople();
  const lines = people.map(
    ({ number, secret, role, depot, name }) => `  ${number}  ${secret.padEnd(10)} ${role.padEnd(9)} ${depot.padEnd(14)} ${name}`,
  );
  return [`The people of the demo firm ${firmName} (number, secret, role, depot, name):`, ...lines].join("\n");
}

/**
 * Founds the demo firm in an empty store and makes its history up to now. The same start gives the same records, ids included. Throws in
 * production, and if there is a firm already.
 */
export async function foundDemoFirm(context: AppContext, options: DemoOptions = {}): Promise<DemoPeople> {
  if (context.config.environment === "production")
    throw new Error("The demo firm is not founded in production: its secrets are known to everybody.");
  if ((await context.db.prisma.firm.count()) > 0)
    throw new Error("There is a firm in this store already. The demo firm takes an empty one.");
  const { now = context.clock.now(), weeks = 13, say = () => undefined } = options;
  const days = weeks * 7;
  const dice = new Dice(20_261_125);
  const today = localDay(now, demoDepots.quay.timeZone);
  const started = new Date(startOfDay(today, demoDepots.quay.timeZone).getTime() - days * 86_400_000 + 7 * 3_600_000);
  const clock = new MovedClock(started);
  const sameEachStart = new Dice(now.getTime() % 4_294_967_291);
  const moved = { ...context, clock, newId: idsByDice(clock, sameEachStart), newSalt: saltsByDice(sameEachStart) };

  const { actors, depots, models } = await foundTheFirm(moved, now);
  const world: World = {
    ...{ context: moved, dice, timeline: new Timeline(), now, days, depots, models, actors, machines: [] },
    released: (machine) => checkAgain(world, machine),
  };
  for (const plan of demoMachines) {
    if (plan.part !== "joins-late") world.machines.push(await takeMachine(world, actor(world, "F001"), plan));
  }
  await setPrices(moved, actor(world, "F001"));
  say(`  founded ${firmName}: ${actors.size} people, ${Object.keys(depots).length} depots, ${demoMachines.length} machines`);

  planFirstInspections(world);
  planLateJoiner(world);
  const story = daysOf(world);
  for (const depot of Object.values(depots)) {
    for (let offset = -days + 1; offset < 0; offset += 1) planDay(world, depot, dayOf(depot, offset), story);
  }
  tellStories(world);
  tellToday(world);
  for (let week = 1; week <= weeks; week += 1) {
    const offset = -days + week * 7;
    world.timeline.at(timeOf(depots.quay, dayOf(depots.quay, offset), 0), () => say(`  week ${week} of ${weeks} is told`));
  }
  await world.timeline.run(clock);
  return listDemoPeople();
}

/** Every machine is inspected before its first ride, so that its weekly ones follow within seven days. */
function planFirstInspections(world: World): void {
  const places = new Map<DemoDepot, number>();
  for (const machine of world.machines) {
    const { depot } = machine;
    const place = places.get(depot) ?? 0;
    places.set(depot, place + 1);
    const second = dayOf(depot, -world.days + 1);
    const day = isWorkday(second) && isoWeek(second).weekday === inspectionWeekday(machine) ? second : dayOf(depot, -world.days);
    happens(world, depot, timeOf(depot, day, hour(11, 22 * place)), () =>
      inspectMachine(world, machine, place % 2 === 0 ? "M001" : "M002"),
    );
  }
}
