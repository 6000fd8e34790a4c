// The special stories: what a reader of the records is meant to find in the demo firm. Days count back from the depot's today.

import {
  addDefectNoteBodySchema,
  deferralBodySchema,
  notFoundBodySchema,
  regradeBodySchema,
  reportDefectBodySchema,
  waitForPartBodySchema,
} from "../shared/contracts/defects.ts";
import { machineAmendmentSchema, modelRevisionBodySchema } from "../shared/contracts/fleet.ts";
import { paperBodySchema, paperEndingBodySchema } from "../shared/contracts/papers.ts";
import { addDays, isoWeek, localDay, startOfDay } from "../shared/rules/calendar.ts";
import { addDefectNote, deferDefect, recordNotFound, regradeDefect, reportDefect, waitForPart } from "../src/defects/index.ts";
import { addPaper, amendMachine, endPaper, reviseModel } from "../src/fleet/index.ts";
import { tellCampaign } from "./campaign.ts";
import { checkMachine, type Seen } from "./check-daily.ts";
import { type DayOff, inspectionWeekday } from "./day.ts";
import { takeMachine } from "./found.ts";
import { inspectMachine } from "./inspect-weekly.ts";
import { keepRidesToday } from "./keep-rides.ts";
import { demoMachines, type Part } from "./machines.ts";
import { correctedVastrin } from "./models.ts";
import { comesAndIsScrapped, goesToBeMeasured, isRepainted, slidesAway } from "./off-the-road.ts";
import { close, findNothing, recordWork, repair, takeIn } from "./workshop.ts";
import {
  actor,
  type DemoMachine,
  dayOf,
  happens,
  hour,
  machineWith,
  minutesLater,
  offsetOf,
  timeOf,
  type World,
  workdayOf,
} from "./world.ts";

interface Sight extends Seen {
  readonly part: Part;
  /** days from today */
  readonly on: number;
}

const see = (part: Part, on: number, observation: string, note?: string): Sight => ({
  ...{ part, on, itemId: observation.split(".")[0] ?? "", observationIds: [observation] },
  ...(note ? { note } : {}),
});

/** What riders see on their machines because the story says so. */
const sights: readonly Sight[] = [
  see("indicator-again", -33, "indicators.one-out"),
  see("indicator-again", -19, "indicators.one-out", "The same one again"),
  see("indicator-again", -6, "indicators.one-out", "Third time, rear left"),
  { ...see("minor-overdue", -9, "bodywork.mirror-cracked", "Left mirror, hit by a van door"), held: true },
  // Since its last inspection, so that the workshop is asked this morning.
  ...[-5, -3, -1].map((day) => ({ ...see("pumped-up", day, "rear-tyre-pressure.a-little-soft", "Air at the pump"), putRight: true })),
  { ...see("waits-for-sign-off", -1, "wheel-play.rear-knock", "Knocks when I push the wheel from side to side"), held: true },
  { ...see("waits-for-part", -4, "rear-tyre-tread.near-limit"), held: true },
  { ...see("chain-near-its-end", -27, "rolling-brake-test.pulls-to-side", "Pulls to the left when I brake at the front"), held: true },
  {
    part: "words-only",
    on: -15,
    itemId: "engine-running",
    observationIds: [],
    note: "Rattles at half throttle while it is cold",
    held: true,
  },
];

/** The day on which the quay's workshop had more than it could do: five inspections and five grounded machines. */
const crowdedSights: readonly (readonly [mark: string, observation: string])[] = [
  ["K4M9T2", "wheel-play.rear-knock"],
  ["K4M9T3", "front-brake-cable.frayed"],
  ["K4N1B8", "rear-tyre-tread.nail"],
  ["L2R8F4", "engine-running.new-noise"],
  ["L3S6G2", "wheel-play.rear-knock"],
];

/** The last of the quay's crowded inspection days that is three weeks ago or a little less. */
function crowdedDay(world: World): string {
  const { quay } = world.depots;
  const crowded = world.machines.find(({ plan }) => plan.mark === "K4M9T2");
  for (let offset = -15; offset >= -21; offset -= 1) {
    const day = dayOf(quay, offset);
    if (crowded && isoWeek(day).weekday === inspectionWeekday(crowded)) return day;
  }
  throw new Error("a week has every weekday");
}

/** What the story decides about single days. */
export function daysOf(world: World): DayOff {
  const crowded = crowdedDay(world);
  const crowdedSeen = (machine: DemoMachine): Seen[] =>
    crowdedSights
      .filter(([mark]) => mark === machine.plan.mark)
      .map(([, observation]) => ({ itemId: observation.split(".")[0] ?? "", observationIds: [observation] }));
  return {
    unchecked: ({ plan, depot }, day) => plan.part === "ridden-unchecked" && day === workdayOf(depot, -17),
    seen: (machine, day) => {
      const { plan, depot } = machine;
      const here = sights.filter(({ part, on }) => part === plan.part && day === workdayOf(depot, on));
      const seen = [...here, ...(day === crowded ? crowdedSeen(machine) : [])];
      return seen.length > 0 ? seen : undefined;
    },
  };
}

/** Puts all special stories on the timeline. Those before the beginning of a shorter history are left out. */
export function tellStories(world: World): void {
  const manager = actor(world, "F001");
  const on = (part: Part, offset: number, minutes: number, act: (machine: DemoMachine) => Promise<void>): void => {
    const machine = machineWith(world, part);
    const day = workdayOf(machine.depot, offset);
    if (offset > -world.days + 2) happens(world, machine.depot, timeOf(machine.depot, day, minutes), () => act(machine));
  };
  const amend = async ({ id }: DemoMachine, change: object): Promise<void> => {
    await amendMachine(world.context, manager, id, machineAmendmentSchema.parse(change));
  };

  // A renewal was recorded with a mistyped year although the paper has not been renewed; the manager notices and ends it as entered by mistake.
  on("papers-expired", -1, hour(14, 5), async ({ id, depot }) => {
    const first = addDays(depot.today, -2);
    const mistyped = { kind: "insurance", number: "CV-118204", validFrom: first, validTo: addDays(first, 3_652) };
    const { receipt } = await addPaper(world.context, manager, id, paperBodySchema.parse(mistyped));
    const ending = {
      day: localDay(world.context.clock.now(), depot.timeZone),
      reason: "mistaken",
      note: "The year is mistyped, and the insurer has not renewed it yet",
    };
    await endPaper(world.context, manager, receipt.id, paperEndingBodySchema.parse(ending));
  });
  on("withdrawn", Math.max(-20, -world.days + 5), hour(8, 40), async (machine) => {
    machine.withdrawn = true;
    await amend(machine, { withdrawn: { reason: "Frame bent in a collision; the insurer decides" } });
  });
  on("withdrawn", -12, hour(9, 30), (machine) => goesToBeMeasured(world, machine));
  on("withdrawn-and-back", -36, hour(10), (machine) => isRepainted(world, machine));
  on("withdrawn-and-back", -40, hour(13), async (machine) => {
    machine.withdrawn = true;
    await amend(machine, { withdrawn: { reason: "Lent to the training yard" } });
  });
  on("withdrawn-and-back", -30, hour(8, 15), async (machine) => {
    if (!machine.withdrawn) return;
    machine.withdrawn = false;
    await amend(machine, { withdrawn: null });
  });
  on("withdrawn-and-back", -30, hour(9), (machine) => inspectMachine(world, machine, "M002"));

  on("cable-frayed", -1, hour(15, 40), (machine) => reportOnTheRoad(world, machine));
  on("chain-near-its-end", -27, hour(9, 15), (machine) => findNoFault(world, machine));
  on("late-report", -25, hour(6), (machine) => lateReport(world, machine));
  on("fell", -6, hour(11, 40), (machine) => slidesAway(world, machine));
  on("fell", -6, hour(13, 30), (machine) => inspectMachine(world, machine, "M001"));
  on("words-only", -15, hour(8, 30), (machine) => weighAnew(world, machine));
  on("minor-overdue", -9, hour(8, 20), (machine) => putOff(world, machine));
  on("waits-for-part", -4, hour(9, 40), (machine) => letWait(world, machine));
  on("waits-for-part", -2, hour(11, 15), (machine) => noteDelay(world, machine));
  on("waits-for-sign-off", -1, hour(8, 10), (machine) => leaveUnsigned(world, machine));

  comesAndIsScrapped(world, manager);
  tellCampaign(world);
  happens(world, world.depots.yard, timeOf(world.depots.yard, dayOf(world.depots.yard, -29), hour(11)), async () => {
    const { vastrin } = world.models;
    if (world.days < 35) return;
    await reviseModel(world.context, manager, vastrin.id, modelRevisionBodySchema.parse({ ...correctedVastrin, revision: 1 }));
    vastrin.body = correctedVastrin;
  });
}

/** The machine that joins while the story runs: bought with a few kilometres on it, inspected, then ridden. */
export function planLateJoiner(world: World): void {
  const plan = demoMachines.find(({ part }) => part === "joins-late");
  if (!plan) return;
  const depot = world.depots[plan.depot];
  const day = workdayOf(depot, Math.max(-45, -world.days + 5));
  happens(world, depot, timeOf(depot, day, hour(8, 30)), async () => {
    world.machines.push(await takeMachine(world, actor(world, "F001"), plan));
  });
  happens(world, depot, timeOf(depot, day, hour(10, 30)), () => inspectMachine(world, machineWith(world, "joins-late"), "M002"));
}

/** Found by the rider on the road yesterday afternoon; nobody has worked on it since. */
async function reportOnTheRoad(world: World, machine: DemoMachine): Promise<void> {
  const { context } = world;
  const observationIds = ["front-brake-cable.frayed"];
  const body = reportDefectBodySchema.parse({
    ...{ id: context.newId(), machineId: machine.id, seenAt: minutesLater(context.clock.now(), -6).toISOString() },
    ...{ itemId: "front-brake-cable", observationIds, note: "Two strands stand out at the lever. Pushed it home." },
  });
  const { receipt } = await reportDefect(context, actor(world, "R002"), body);
  const { id, category, dueDay } = receipt.defect;
  machine.open.push({ id, itemId: "front-brake-cable", observationIds, category, dueDay, held: true, repaired: false });
}

/** Seen before the repair, without a signal, and sent after the sign-off: it grounds again, and a mechanic looks once more. */
async function lateReport(world: World, machine: DemoMachine): Promise<void> {
  const { timeline, context } = world;
  const start = context.clock.now();
  const seenAt = minutesLater(start, -10).toISOString();
  const observationIds = ["lamps.tail-lamp-out"];
  const report = async (rider: string, note: string): Promise<string> => {
    const body = reportDefectBodySchema.parse({
      id: context.newId(),
      machineId: machine.id,
      seenAt,
      itemId: "lamps",
      observationIds,
      note,
    });
    const { receipt } = await reportDefect(context, actor(world, rider), body);
    const { id, category, dueDay } = receipt.defect;
    takeIn(world, machine, [{ id, itemId: "lamps", observationIds, category, dueDay, sighting: receipt.sighting }], () => true);
    return id;
  };
  const first = await report("R006", "No light at the back");
  timeline.at(minutesLater(start, 45), async () => {
    for (const fault of machine.open) if (fault.id === first) fault.held = false;
    await repair(world, machine, first, 15, true);
  });
  timeline.at(minutesLater(start, 180), async () => {
    const second = await report("R014", "Saw it standing by the gate with no tail lamp; had no signal until now");
    timeline.at(minutesLater(context.clock.now(), 20), async () => {
      const reason = "Its bulb was renewed this morning, after this was seen. Lamp works on both brakes and in the rain bath.";
      await recordNotFound(context, actor(world, "M001"), second, notFoundBodySchema.parse({ id: context.newId(), reason }));
      close(world, machine, second);
    });
  });
}

/** Words alone count as major until a mechanic has looked: here it turns out to be a small thing. */
async function weighAnew(world: World, machine: DemoMachine): Promise<void> {
  const { context } = world;
  const fault = machine.open.find(({ itemId }) => itemId === "engine-running");
  if (!fault) return;
  const reason = "A heat shield rivet that sings while cold. Nothing loose, nothing near the wheel.";
  const body = regradeBodySchema.parse({ id: context.newId(), category: "minor", reason });
  const { receipt } = await regradeDefect(context, actor(world, "M002"), fault.id, body);
  fault.held = false;
  takeIn(world, machine, [{ ...fault, category: "minor", dueDay: receipt.defect.dueDay, sighting: false }]);
  world.released(machine);
}

/** Two competent people look and find no fault. */
async function findNoFault(world: World, machine: DemoMachine): Promise<void> {
  const fault = machine.open.find(({ itemId }) => itemId === "rolling-brake-test");
  if (!fault) return;
  const reason = "Brakes taken out and looked at, stopped straight ten times on the yard. The lane outside slopes to the left.";
  await findNothing(world, machine, fault.id, reason);
}

/** Deferred to its last day because a part was missing; that day is past. */
async function putOff(world: World, machine: DemoMachine): Promise<void> {
  const { context } = world;
  const fault = machine.open.find(({ itemId }) => itemId === "bodywork");
  if (!fault) return;
  const body = deferralBodySchema.parse({
    id: context.newId(),
    untilDay: fault.dueDay,
    reason: "Mirror ordered; the right one is still there",
  });
  await deferDefect(context, actor(world, "M003"), fault.id, body);
}

/** Safe to ride, and past its own last day by the time the tyre comes: one who is competent signs for that. */
async function letWait(world: World, machine: DemoMachine): Promise<void> {
  const { context } = world;
  const fault = machine.open.find(({ itemId }) => itemId === "rear-tyre-tread");
  if (!fault) return;
  const body = waitForPartBodySchema.parse({
    ...{ id: context.newId(), part: "a rear tyre", expectedDay: dayOf(machine.depot, 8) },
    reason: "Worn evenly and above the legal limit all round; no cuts, no cords. None of this size on the shelf.",
  });
  await waitForPart(context, actor(world, "M002"), fault.id, body);
}

async function noteDelay(world: World, machine: DemoMachine): Promise<void> {
  const { context } = world;
  const fault = machine.open.find(({ itemId }) => itemId === "rear-tyre-tread");
  if (!fault) return;
  const note = "Rang the supplier: the tyre is on the van of next week and is paid for.";
  await addDefectNote(context, actor(world, "F001"), fault.id, addDefectNoteBodySchema.parse({ id: context.newId(), note }));
}

/** Repaired yesterday by one who may not sign off their own work on a wheel; the second person comes today. */
async function leaveUnsigned(world: World, machine: DemoMachine): Promise<void> {
  const fault = machine.open.find(({ itemId }) => itemId === "wheel-play");
  if (!fault) return;
  const at = timeOf(machine.depot, dayOf(machine.depot, offsetOf(machine.depot, world.context.clock.now())), hour(14, 20));
  happens(world, machine.depot, at, () => recordWork(world, machine, fault, "M002", 80));
}

/** The first hours of today: who rides what is kept, and two machines have been checked, moments ago or as soon as the day began. */
export function tellToday(world: World): void {
  keepRidesToday(world);
  for (const machine of world.machines) {
    const { plan, depot } = machine;
    if (plan.part !== "fit-today" || plan.rider === null) continue;
    const rider = plan.rider;
    const dawn = startOfDay(depot.today, depot.timeZone);
    const moment = minutesLater(world.now, -world.dice.whole(3, 9));
    world.timeline.at(moment < dawn ? dawn : moment, () => checkMachine(world, machine, { rider, seen: [] }));
  }
}
