// An ordinary day of a depot: who rides what, the checks in the morning, the inspections that fall on it, the distance in the evening.
import { addDays, isoWeek } from "../shared/rules/calendar.ts";
import { checkMachine } from "./check-daily.ts";
import { inspectMachine } from "./inspect-weekly.ts";
import { keepRides } from "./keep-rides.ts";
import { type DepotKey, demoPeople } from "./people.ts";
import { ride, standOvernight } from "./wear.ts";
import {
  type DemoDepot,
  type DemoMachine,
  happens,
  hour,
  isGrounded,
  isWorkday,
  judged,
  minutesLater,
  offsetOf,
  timeOf,
  type World,
} from "./world.ts";

/** What the story has decided about a machine on a day. */
export interface DayOff {
  /** ridden though nobody checked it */
  readonly unchecked: (machine: DemoMachine, day: string) => boolean;
  /** what its rider sees at the check of that day, in place of chance */
  readonly seen: (machine: DemoMachine, day: string) => Parameters<typeof checkMachine>[2]["seen"];
}

const inspectors: Readonly<Record<DepotKey, readonly [string, string]>> = { quay: ["M001", "M003"], yard: ["M002", "M004"] };

/** The weekday of a machine's inspections, from the working days that are left until its next one. */
export function inspectionWeekday({ plan, depot }: DemoMachine): number {
  let day = depot.today;
  for (let left = plan.nextInspection; left > 0; ) {
    day = addDays(day, 1);
    if (isWorkday(day)) left -= 1;
  }
  return isoWeek(day).weekday;
}

/** A missed inspection grounds a machine from the eighth day on. */
const leftOutDays = 8;

/** Plans a depot's day, before dawn and by what is known then. */
export function planDay(world: World, depot: DemoDepot, day: string, story: DayOff): void {
  happens(world, depot, timeOf(depot, day, hour(3)), () => {
    const here = world.machines.filter((machine) => machine.depot === depot);
    for (const machine of here) {
      standOvernight(machine.wear);
      machine.ridden = null;
    }
    if (!isWorkday(day)) return;
    planInspections(world, depot, day, here);
    planChecks(world, depot, day, here, story);
    happens(world, depot, timeOf(depot, day, hour(18, 30)), () => {
      for (const machine of here) rideHome(world, machine);
    });
  });
}

function planInspections(world: World, depot: DemoDepot, day: string, here: readonly DemoMachine[]): void {
  const { weekday, week } = isoWeek(day);
  const offset = offsetOf(depot, timeOf(depot, day, hour(12)));
  if (offset < -world.days + 2) return;
  const due = here.filter(
    (machine) =>
      !machine.withdrawn &&
      inspectionWeekday(machine) === weekday &&
      !(machine.plan.part === "inspection-overdue" && offset >= -leftOutDays),
  );
  due.forEach((machine, place) => {
    const mechanic = inspectors[depot.key][(week + place) % 2] ?? "M001";
    happens(world, depot, timeOf(depot, day, hour(9, 30 + 45 * place)), () => inspectMachine(world, machine, mechanic));
  });
}

/** Who rides which machine: their own if it may go out, else one that is left over. */
function planChecks(world: World, depot: DemoDepot, day: string, here: readonly DemoMachine[], story: DayOff): void {
  const { dice } = world;
  const free = new Set(here.filter((machine) => !machine.withdrawn && !machine.stands && !isGrounded(machine)));
  const awaited = (rider: string): boolean =>
    here.some((machine) => machine.plan.rider === rider && story.seen(machine, day) !== undefined);
  const riders = demoPeople.filter(
    ({ number, role, depot: home }) => role === "rider" && home === depot.key && (!dice.chance(0.08) || awaited(number)),
  );
  const pairs: [string, DemoMachine][] = [];
  const left: typeof riders = [];
  for (const person of riders) {
    const own = here.find(({ plan }) => plan.rider === person.number);
    if (own && free.delete(own)) pairs.push([person.number, own]);
    else left.push(person);
  }
  for (const person of left) {
    const other = [...free].find(({ plan }) => person.licenceClass !== "AM" || plan.model === "tikkerby");
    if (other && free.delete(other)) pairs.push([person.number, other]);
  }
  keepRides(world, depot, day, pairs);
  for (const [rider, machine] of pairs) {
    if (story.unchecked(machine, day)) {
      machine.ridden = { rider, share: 1 };
      continue;
    }
    const seen = story.seen(machine, day);
    const late = seen === undefined && dice.chance(0.025) ? { lateMinutes: dice.whole(20, 200) } : {};
    happens(world, depot, timeOf(depot, day, hour(5, 30 + dice.whole(0, 150))), () =>
      checkMachine(world, machine, { rider, ...(seen ? { seen } : {}), ...late }),
    );
  }
}

function rideHome({ dice }: World, machine: DemoMachine): void {
  if (machine.ridden === null) return;
  const km = Math.round(machine.plan.kmPerDay * machine.ridden.share * Math.max(0.3, 1 + 0.22 * dice.spread()));
  machine.odometerKm += km;
  ride(machine.wear, km, judged(machine), dice);
}

/** A machine that was released while there is still work to do is checked again and rides for the rest of the day. */
export function checkAgain(world: World, machine: DemoMachine): void {
  const { dice, context } = world;
  const { depot, plan } = machine;
  const now = context.clock.now();
  const tooLate = now > timeOf(depot, dayNow(depot, now), hour(15));
  if (plan.rider === null || tooLate || machine.withdrawn || machine.stands || machine.ridden !== null) return;
  const rider = plan.rider;
  happens(world, depot, minutesLater(now, dice.whole(8, 25)), async () => {
    if (isGrounded(machine) || machine.withdrawn) return;
    await checkMachine(world, machine, { rider, seen: [] });
    if (machine.ridden) machine.ridden = { rider, share: 0.5 };
  });
}

const dayNow = (depot: DemoDepot, now: Date): string => addDays(depot.today, offsetOf(depot, now));
