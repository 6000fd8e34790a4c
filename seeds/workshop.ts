// The workshop: who repairs what was found, when there is time for it, and who signs it off.
import { itemById, observationById } from "../shared/catalogue/sheet.ts";
import { notFoundBodySchema, repairBodySchema, signOffBodySchema } from "../shared/contracts/defects.ts";
import type { Quantity } from "../shared/contracts/quantities.ts";
import { itemFacts } from "../shared/rules/answers.ts";
import { readingAsNew } from "../shared/rules/as-new.ts";
import { addDays, localDay } from "../shared/rules/calendar.ts";
import { readingWithinLimits } from "../shared/rules/judge-reading.ts";
import { grounds } from "../shared/rules/machine-state.ts";
import { recordNotFound, recordRepair, signOffDefect } from "../src/defects/index.ts";
import { workFor } from "./faults.ts";
import type { DepotKey } from "./people.ts";
import { numberOf } from "./prices.ts";
import { isRenewed, putRight, readAfterWork } from "./wear.ts";
import {
  actor,
  type DemoMachine,
  happens,
  hour,
  isGrounded,
  isQuiet,
  isWorkday,
  judged,
  minutesLater,
  type OpenFault,
  timeOf,
  type World,
} from "./world.ts";

/** M003 has no competence and M004 some: they repair, and the two with every competence sign off. */
const crew: Readonly<Record<DepotKey, { repairs: string; signsOff: string }>> = {
  quay: { repairs: "M003", signsOff: "M001" },
  yard: { repairs: "M004", signsOff: "M002" },
};

type Found = Omit<OpenFault, "held" | "repaired"> & { readonly sighting: boolean; readonly status?: string };

/** Whoever of the two with every competence did not do the work. */
export const otherSigner = (depot: DepotKey, worker: string): string => {
  const { signsOff } = crew[depot];
  return signsOff !== worker ? signsOff : worker === "M001" ? "M002" : "M001";
};

/** Adds findings to the machine's list of defects, and schedules the repair of new ones. */
export function takeIn(
  world: World,
  machine: DemoMachine,
  found: readonly Found[],
  isHeld: (itemId: string) => boolean = () => false,
  worker: string | null = null,
): void {
  for (const { id, itemId, observationIds, category, dueDay, sighting, status } of found) {
    const known = machine.open.find((fault) => fault.id === id);
    const held = known?.held ?? (itemId !== null && isHeld(itemId));
    const fault: OpenFault = { id, itemId, observationIds, category, dueDay, held, repaired: status === "repaired" };
    machine.open = [...machine.open.filter((other) => other.id !== id), fault];
    if (grounds(category)) machine.ridden = null;
    if (fault.repaired && worker !== null) {
      // Repaired at the inspection; the sign-off that it needs besides comes a little later.
      const signer = otherSigner(machine.depot.key, worker);
      happens(world, machine.depot, minutesLater(world.context.clock.now(), world.dice.whole(10, 45)), () =>
        signOff(world, machine, id, signer),
      );
      continue;
    }
    if (!sighting || known === undefined || known.repaired) planRepair(world, machine, fault);
  }
}

function planRepair(world: World, machine: DemoMachine, fault: OpenFault): void {
  const { dice, context } = world;
  const { depot } = machine;
  const now = context.clock.now();
  const today = localDay(now, depot.timeZone);
  // What is worth watching waits for the next inspection, which asks about it.
  if (fault.category === "advisory") return;
  const { minutes } = workFor(fault.itemId, fault.observationIds);
  if (fault.category !== "minor") {
    const start = nextBenchTime(world, machine, minutes);
    happens(world, depot, minutesLater(start, minutes), () => repair(world, machine, fault.id, minutes));
    return;
  }
  let day = addDays(today, dice.chance(0.5) ? 0 : dice.whole(1, 3));
  if (!isWorkday(day)) day = addDays(day, 1);
  const at = new Date(Math.max(timeOf(depot, day, hour(9, dice.whole(0, 300))).getTime(), minutesLater(now, minutes + 30).getTime()));
  happens(world, depot, at, () => repair(world, machine, fault.id, minutes));
}

/** Grounded machines wait for the bench one after the other; what does not fit goes to the next working day, or into the evening of the last one. */
function nextBenchTime(world: World, { depot }: DemoMachine, minutes: number): Date {
  const ready = minutesLater(world.context.clock.now(), world.dice.whole(35, 90));
  let start = new Date(Math.max(ready.getTime(), depot.benchFreeAt));
  const day = localDay(start, depot.timeZone);
  if (minutesLater(start, minutes) > timeOf(depot, day, hour(17, 30))) {
    let next = addDays(day, 1);
    if (!isWorkday(next)) next = addDays(next, 1);
    if (next < depot.today) start = timeOf(depot, next, hour(8));
    else if (start > timeOf(depot, day, hour(19))) start = ready;
  }
  depot.benchFreeAt = minutesLater(start, minutes + 10).getTime();
  return start;
}

/** Share of the defects without a reading that somebody competent does not find. */
const notFoundShare = 0.05;

/** Repairs a defect that is still open and records that when the work is finished; then its sign-off, at once or a little later. */
export async function repair(world: World, machine: DemoMachine, defectId: string, minutes: number, atOnce = false): Promise<void> {
  const { context, dice } = world;
  const fault = machine.open.find(({ id }) => id === defectId);
  if (!fault || fault.held || fault.repaired) return;
  const team = crew[machine.depot.key];
  const quantity = quantityOf(fault);
  const onlyNewPart = fault.observationIds.some((id) => observationById(id)?.onlyRepair === "new-part");
  if (quantity === null && !onlyNewPart && !atOnce && !isQuiet(machine, context.clock.now()) && dice.chance(notFoundShare)) {
    const reason = "Looked at on the stand and on a ride round the yard: nothing found";
    await findNothing(world, machine, defectId, reason);
    return;
  }
  await recordWork(world, machine, fault, team.repairs, minutes);
  if (atOnce) await signOff(world, machine, defectId);
  else happens(world, machine.depot, minutesLater(context.clock.now(), dice.whole(10, 40)), () => signOff(world, machine, defectId));
}

/** Somebody competent looks and finds no fault; if two have to look, a second person does so a little later. */
export async function findNothing(world: World, machine: DemoMachine, defectId: string, reason: string): Promise<void> {
  const { context, dice } = world;
  // Between the two looks an inspection may have repaired it.
  const isLookedFor = () => machine.open.some(({ id, repaired }) => id === defectId && !repaired);
  const look = async (by: string): Promise<boolean> => {
    const body = notFoundBodySchema.parse({ id: context.newId(), reason });
    const { receipt } = await recordNotFound(context, actor(world, by), defectId, body);
    if (!receipt.defect.secondLookNeeded) close(world, machine, defectId);
    return receipt.defect.secondLookNeeded;
  };
  const { signsOff } = crew[machine.depot.key];
  if (await look(signsOff)) {
    world.timeline.at(
      minutesLater(context.clock.now(), dice.whole(15, 40)),
      async () => void (isLookedFor() && (await look(otherSigner(machine.depot.key, signsOff)))),
    );
  }
}

/** Nobody writes down what took less. */
const leastToldMinutes = 10;

/** Does the work and records it, with the reading that a measured item needs. */
export async function recordWork(world: World, machine: DemoMachine, fault: OpenFault, mechanic: string, minutes: number): Promise<void> {
  const { context, dice } = world;
  const { id: defectId, itemId, observationIds } = fault;
  const quantity = quantityOf(fault);
  const renewed = quantity !== null && mend(world, machine, quantity);
  const { work, part } = workFor(itemId, observationIds, renewed);
  const parts = [part, renewed && part === undefined ? "New part" : undefined].filter((name) => name !== undefined);
  const took = Math.max(5, Math.round(minutes * dice.between(0.85, 1.2)));
  const body = repairBodySchema.parse({
    ...{ id: context.newId(), performedAt: context.clock.now().toISOString(), workDone: work },
    ...(took < leastToldMinutes ? {} : { minutes: took }),
    ...(parts.length > 0 ? { parts: parts.map((name) => ({ name, quantity: 1, number: numberOf(name) })) } : {}),
    ...(quantity === null ? {} : { reading: readAfterWork(machine.wear, quantity, judged(machine), dice) }),
  });
  await recordRepair(context, actor(world, mechanic), defectId, body);
  fault.repaired = true;
}

const quantityOf = ({ itemId }: Pick<OpenFault, "itemId">): Quantity | null =>
  itemId === null ? null : itemFacts(itemById(itemId)).quantity;

/** Adjusts what can be adjusted, or renews a part that is past its limit. Returns whether it was renewed. */
function mend({ dice }: World, machine: DemoMachine, quantity: Quantity): boolean {
  const { wear } = machine;
  const machineNow = judged(machine);
  const value = wear.values.get(quantity) ?? 0;
  const { unit } = readingAsNew(quantity, machineNow);
  if (isRenewed(quantity) && readingWithinLimits({ ...machineNow, quantity, value, unit }).ok) return false;
  putRight(wear, quantity, machineNow, dice);
  return isRenewed(quantity);
}

async function signOff(world: World, machine: DemoMachine, defectId: string, signer = crew[machine.depot.key].signsOff): Promise<void> {
  const { context } = world;
  if (!machine.open.some(({ id, repaired }) => id === defectId && repaired)) return;
  const body = signOffBodySchema.parse({ id: context.newId(), statement: "Looked at and tried out; it is gone" });
  await signOffDefect(context, actor(world, signer), defectId, body);
  close(world, machine, defectId);
}

/** Removes the defect from the machine's list; a machine that nothing grounds any more may go out again. */
export function close(world: World, machine: DemoMachine, defectId: string): void {
  const grounded = isGrounded(machine);
  machine.open = machine.open.filter(({ id }) => id !== defectId);
  if (grounded && !isGrounded(machine)) world.released(machine);
}
