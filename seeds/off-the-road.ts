// Stories of machines that go to no shift: one that fell, one at another workshop, one that never came into use.
import { fallBodySchema } from "../shared/contracts/falls.ts";
import { machineAmendmentSchema, machineBodySchema } from "../shared/contracts/fleet.ts";
import { sendOutBodySchema, takeBackBodySchema } from "../shared/contracts/outside-work.ts";
import { addDays, localDay } from "../shared/rules/calendar.ts";
import { reportFall, sendOut, takeBack } from "../src/defects/index.ts";
import { addMachine, amendMachine } from "../src/fleet/index.ts";
import type { Actor } from "../src/platform/index.ts";
import { actor, type DemoMachine, dayOf, happens, hour, minutesLater, timeOf, type World, workdayOf } from "./world.ts";

/** The workshop that the insurer sent it to has not given it back on the day that was named. */
export async function goesToBeMeasured(world: World, { id, depot }: DemoMachine): Promise<void> {
  const reason = "The insurer has the frame measured before it decides";
  const out = { ...{ workshop: "Frame shop at the old mill", reason }, expectedDay: addDays(depot.today, -2) };
  await sendOut(world.context, actor(world, "F001"), id, sendOutBodySchema.parse(dated(world, "since", out)));
}

/** Lent out, and back with a new coat of paint: the inspection before its next ride was due anyway. */
export async function isRepainted(world: World, { id, depot }: DemoMachine): Promise<void> {
  const by = actor(world, "M002");
  const out = { workshop: "Paint shop on Cinder Lane", reason: "Tank and side panels repainted", expectedDay: dayOf(depot, -33) };
  const { receipt } = await sendOut(world.context, by, id, sendOutBodySchema.parse(dated(world, "since", out)));
  happens(world, depot, timeOf(depot, workdayOf(depot, -33), hour(15)), async () => {
    const done = { workDone: "Tank and side panels off, painted and on again", parts: [{ name: "Paint", quantity: 1 }], costMinor: 28_500 };
    await takeBack(world.context, by, receipt.outsideWork.id, takeBackBodySchema.parse(dated(world, "returnedAt", done)));
  });
}

/** A used machine that never went out: what came with it was not what had been said. */
export function comesAndIsScrapped(world: World, manager: Actor): void {
  const { yard } = world.depots;
  const day = (offset: number): Date => timeOf(yard, workdayOf(yard, Math.max(offset, -world.days + 3)), hour(16, 10));
  let id = "";
  happens(world, yard, day(-27), async () => {
    const body = { registrationMark: "T9B5V8", modelId: world.models.tikkerby.id, depotId: yard.id, odometerKm: 31_400 };
    const inServiceFrom = addDays(localDay(world.context.clock.now(), yard.timeZone), -900);
    ({ id } = await addMachine(world.context, manager, machineBodySchema.parse({ ...body, inServiceFrom })));
  });
  happens(world, yard, minutesLater(day(-27), 50), async () => {
    const disposed = { how: "scrapped", note: "The frame is cracked below the saddle; kept for parts" };
    await amendMachine(world.context, manager, id, machineAmendmentSchema.parse({ disposed }));
  });
}

/** On wet leaves, at walking pace: nothing of it is bent but a lever, and nobody rides it before the bench has looked. */
export async function slidesAway(world: World, machine: DemoMachine): Promise<void> {
  const { context } = world;
  const body = fallBodySchema.parse({
    ...{ id: context.newId(), happenedAt: minutesLater(context.clock.now(), -10).toISOString(), hit: "slid" },
    ...{ bent: ["levers"], note: "Wet leaves at the canal bridge, at walking pace" },
  });
  await reportFall(context, actor(world, "R005"), machine.id, body);
  machine.stands = true;
}

const dated = (world: World, field: "since" | "returnedAt", what: object) => ({
  ...{ id: world.context.newId(), [field]: world.context.clock.now().toISOString() },
  ...what,
});
