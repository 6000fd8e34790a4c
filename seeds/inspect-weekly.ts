// Weekly inspections: every gauge is read, what is out is set or renewed on the spot, and what needs the bench becomes a defect.
import { partsOf } from "../shared/catalogue/parts.ts";
import { itemsFor, observationById, SHEET_VERSION } from "../shared/catalogue/sheet.ts";
import type { Item } from "../shared/catalogue/types.ts";
import { type WeeklyAnswer, weeklyInspectionBodySchema } from "../shared/contracts/checks.ts";
import type { Quantity } from "../shared/contracts/quantities.ts";
import { askedAt } from "../shared/rules/advisories.ts";
import { judgeReading } from "../shared/rules/judge-reading.ts";
import type { MachineState } from "../shared/rules/machine-state.ts";
import { itemsToFinish } from "../shared/rules/put-right.ts";
import { servicesAt } from "../shared/rules/services.ts";
import { depotRulesOf, readMachineFacts } from "../src/acts/index.ts";
import { saveInspectionDraft, submitWeeklyInspection } from "../src/checks/index.ts";
import type { Actor } from "../src/platform/index.ts";
import { workFor } from "./faults.ts";
import { asSet, carefulHand, type GaugeHand, isRenewed, putRight, read, readAfterWork } from "./wear.ts";
import { close, repair, takeIn } from "./workshop.ts";
import { actor, type DemoDepot, type DemoMachine, isQuiet, judged, minutesLater, type World } from "./world.ts";

/** M004 rounds readings to tens and fives. */
const handOf = (mechanic: string): GaugeHand => (mechanic === "M004" ? { likesZeros: true } : carefulHand);

/** Who signs for a mechanic who may not. */
const signerFor: Readonly<Record<string, string>> = { M003: "M001" };

/**
 * Makes an inspection at this moment of the story: signed by the one who measured, or, where that one may not sign, drafted and signed by
 * another half an hour later. Small defects that waited for it are repaired first.
 */
export async function inspectMachine(world: World, machine: DemoMachine, mechanic: string): Promise<void> {
  const { context, dice } = world;
  for (const { id, itemId, observationIds, category, held } of machine.open) {
    if (category === "minor" && !held) await repair(world, machine, id, workFor(itemId, observationIds).minutes, true);
  }
  const seen = stillThere(machine) ?? findingOf(world, machine);
  const items = itemsFor(machine.model.body.features, "weekly");
  const facts = await readMachineFacts(context, machine.id);
  if (!facts) throw new Error("a machine of the demo is not in its fleet");
  const tight = withAllTight(
    withServices(
      items.map((item) => answerTo(world, machine, item, handOf(mechanic), seen)),
      { ...facts.model, state: { ...facts.state, odometerKm: machine.odometerKm }, depotRules: depotRulesOf(facts) },
      context.clock.now(),
    ),
    items,
  );
  const signer = signerFor[mechanic] ?? mechanic;
  const closable = closableBy(actor(world, signer), facts.state);
  const answers = withAdvisories(world, machine, tight, items, closable);
  const body = weeklyInspectionBodySchema.parse({
    ...{ id: context.newId(), machineId: machine.id, sheetVersion: SHEET_VERSION, performedAt: context.clock.now().toISOString() },
    durationSeconds: Math.round(60 * (42 + 5 * dice.spread())),
    odometerKm: machine.odometerKm,
    answers,
  });
  const sign = async (): Promise<void> => {
    const { receipt } = await submitWeeklyInspection(context, actor(world, signer), body);
    machine.stands = false;
    for (const { id } of receipt.closed) close(world, machine, id);
    takeIn(world, machine, receipt.defects, undefined, mechanic);
  };
  if (signer === mechanic) return sign();
  const { machineId, sheetVersion, odometerKm } = body;
  await saveInspectionDraft(context, actor(world, mechanic), facts, body.id, { machineId, sheetVersion, odometerKm, revision: 0, answers });
  world.timeline.at(minutesLater(context.clock.now(), 30), sign);
}

/** What the handbook says is due beside the oil is done: valves are set, the rest is renewed. */
function withServices(answers: readonly WeeklyAnswer[], machine: Parameters<typeof servicesAt>[0], now: Date): WeeklyAnswer[] {
  const due = new Set(servicesAt(machine, now).flatMap((one) => (one.due ? [one.itemId] : [])));
  const done = (itemId: string) => (itemId === "valve-clearance" ? "adjusted" : "replaced");
  return answers.map((answer) =>
    due.has(answer.itemId) && answer.result === "ok" ? { ...answer, actions: [...(answer.actions ?? []), done(answer.itemId)] } : answer,
  );
}

/** How often an advisory is still so a week later; else it is gone: a filter was cleaned, a bolt wiped. */
const staysShare = 0.7;

/** Ids of the open defects whose competence the signer has. */
const closableBy = ({ competences }: Actor, { defects }: MachineState): ReadonlySet<string> =>
  new Set(defects.flatMap(({ id, competence }) => (competences.includes(competence) ? [id] : [])));

/** Each open advisory is said to be still so, or gone; where something is found at its part, that says it. */
function withAdvisories(
  { dice }: World,
  machine: DemoMachine,
  answers: readonly WeeklyAnswer[],
  items: readonly Item[],
  closable: ReadonlySet<string>,
): WeeklyAnswer[] {
  const sheet = new Map(items.map((item) => [item.id, item]));
  const open = machine.open.filter(({ category }) => category === "advisory");
  return answers.map((answer) => {
    const here = open.filter((advisory) => askedAt(advisory, sheet) === answer.itemId);
    const advisories = here.map(({ id }) => ({
      defectId: id,
      now: answer.result !== "ok" || dice.chance(staysShare) || !closable.has(id) ? ("stays" as const) : ("gone" as const),
    }));
    return advisories.length === 0 ? answer : { ...answer, advisories };
  });
}

/** What was loosened for the work is tightened last: the axle nut, after the chain or a new tyre. */
function withAllTight(answers: readonly WeeklyAnswer[], items: readonly Item[]): WeeklyAnswer[] {
  const toFinish = itemsToFinish(answers, new Map(items.map((item) => [item.id, item])));
  return answers.map((answer) =>
    toFinish.includes(answer.itemId) ? { ...answer, actions: [...(answer.actions ?? []), "tightened"] } : answer,
  );
}

function answerTo(world: World, machine: DemoMachine, item: Item, hand: GaugeHand, seen: string | null): WeeklyAnswer {
  const { dice } = world;
  const plain: WeeklyAnswer =
    seen?.startsWith(`${item.id}.`) === true
      ? { itemId: item.id, result: "defect", observationIds: [seen] }
      : { itemId: item.id, result: "ok", ...(dryOnes.includes(item.id) && dice.chance(0.3) ? { actions: ["lubricated"] } : {}) };
  if (item.quantity === undefined) return plain;
  if (item.quantity === "brake-efficiency") {
    return dice.chance(0.3) ? { ...plain, asFound: Math.round(56 + 5 * dice.spread()), unit: "percent" } : plain;
  }
  return { ...plain, ...measure(world, machine, item.quantity, hand) };
}

/** What the story leaves open is seen again, in the words of the weekly sheet. */
function stillThere(machine: DemoMachine): string | null {
  const [held] = machine.open.filter((fault) => fault.held && fault.category === "minor");
  const seen = held?.observationIds[0]?.split(".")[1];
  const parts = held ? partsOf(held) : [];
  return parts.map((part) => `${part}.${seen}`).find((id) => observationById(id)?.category === "minor") ?? null;
}

const dryOnes: readonly string[] = ["levers-and-pivots", "stand-weekly", "chain-slack", "front-brake-cable-ends", "rear-brake-cable-ends"];

/** Readings at three places, the worst of them as found. */
function placesAround(quantity: Quantity, worst: number): Pick<WeeklyAnswer, "places"> {
  const more: Partial<Record<Quantity, readonly [number, number]>> = {
    "front-tread": [0.2, 0.1],
    "rear-tread": [0.1, 0.3],
    "chain-length": [-0.2, -0.1],
  };
  const others = more[quantity];
  return others ? { places: [worst, ...others.map((by) => Math.round((worst + by) * 10) / 10)] } : {};
}

/** The air of a morning in the yard, in whole degrees: warmer towards August, and no two weeks alike. */
function morningCelsius({ key }: DemoDepot, now: Date): number {
  const dayNumber = Math.floor(now.getTime() / 86_400_000);
  const season = key === "quay" ? 6 * Math.cos(((dayNumber % 365.25) - 220) / 58) : 2 * Math.cos(((dayNumber % 365.25) - 60) / 58);
  return Math.round(16 + season + (((dayNumber * 37) % 11) - 5) / 2);
}

/** How often a part past its limit is renewed during the inspection; otherwise it is left to a repair. */
const renewedOnTheSpot = 0.6;

function measure(
  { dice, context }: World,
  machine: DemoMachine,
  quantity: Quantity,
  hand: GaugeHand,
): Pick<WeeklyAnswer, "asFound" | "places" | "celsius" | "asLeft" | "unit" | "actions"> {
  const { wear } = machine;
  const machineNow = judged(machine);
  const isPressure = quantity === "front-tyre-pressure" || quantity === "rear-tyre-pressure";
  const celsius = morningCelsius(machine.depot, context.clock.now());
  const { value: asFound, unit } = read(wear, quantity, machineNow, hand, dice, celsius);
  const found = { asFound, unit, ...placesAround(quantity, asFound), ...(isPressure ? { celsius } : {}) } as const;
  const after = (actions: NonNullable<WeeklyAnswer["actions"]>) => {
    putRight(wear, quantity, machineNow, dice, celsius);
    return { ...found, asLeft: readAfterWork(wear, quantity, machineNow, dice, celsius).value, actions } as const;
  };
  const asItIs = found;
  if (quantity === "charge") return asItIs;
  const isOil = quantity === "engine-oil-level" || quantity === "gearcase-oil-level";
  if (isOil) {
    const every = machineNow.handbook.oilChange?.everyKm;
    if (quantity === "engine-oil-level" && machineNow.features.power === "four-stroke" && every !== undefined && wear.kmSinceOil > every) {
      wear.kmSinceOil = 0;
      return after(["replaced"]);
    }
    return asFound < 30 ? after(["topped-up"]) : asItIs;
  }
  const { outcome } = judgeReading({ ...machineNow, quantity, reading: { asFound, unit } }).asFound;
  if (isPressure) return outcome !== "within" || asFound < 0.96 * asSet(quantity, machineNow) ? after(["topped-up"]) : asItIs;
  if (outcome === "within" || outcome === "not-set") return asItIs;
  if (!isRenewed(quantity)) return after(["adjusted"]);
  return isQuiet(machine, context.clock.now()) || dice.chance(renewedOnTheSpot) ? after(["replaced"]) : asItIs;
}

const mechanicSees: readonly (readonly [observation: string, weight: number])[] = [
  ["air-filter.dusty", 3],
  ["sprockets.worn-a-little", 2],
  ["front-spokes.one-loose", 2],
  ["rear-spokes.one-loose", 2],
  ["front-tyre-tread-weekly.fine-cracks", 1],
  ["exhaust.rusty", 2],
  ["wiring.terminals-dirty", 2],
  ["steering-head.dry", 2],
  ["front-hydraulics.fluid-dark", 2],
  ["power-cables.contacts-dirty", 2],
  ["rear-wheel-bearings.play", 2],
  ["headlamp.aim-wrong", 2],
  ["rear-lamps.stop-lamp-one-brake-only", 2],
];

/** Sometimes an inspection finds more than the gauges show; on the machine whose rider never finds anything, much more often. */
function findingOf({ dice, context }: World, machine: DemoMachine): string | null {
  if (isQuiet(machine, context.clock.now()) || !dice.chance(machine.plan.rider === "R005" ? 0.45 : 0.07)) return null;
  const offered = new Set(itemsFor(machine.model.body.features, "weekly").flatMap(({ observations }) => observations.map(({ id }) => id)));
  return dice.pick(
    mechanicSees
      .filter(([observation]) => offered.has(observation))
      .flatMap(([observation, weight]) => Array(weight).fill(observation) as string[]),
  );
}
