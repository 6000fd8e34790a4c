// Riders check their machines: mostly nothing, sometimes what chance, wear or the story put there.
import { readOnWalkAt } from "../shared/catalogue/proof.ts";
import { proofFor, SHEET_VERSION } from "../shared/catalogue/sheet.ts";
import { type DailyAnswer, dailyCheckBodySchema } from "../shared/contracts/checks.ts";
import { nilAnswers } from "../shared/rules/as-new.ts";
import { localDay } from "../shared/rules/calendar.ts";
import { submitDailyCheck } from "../src/checks/index.ts";
import { faultsOf } from "./faults.ts";
import { carefulHand, read, readAfterWork, putRight as setRight } from "./wear.ts";
import { takeIn } from "./workshop.ts";
import { actor, type DemoMachine, isQuiet, judged, minutesLater, type World } from "./world.ts";

export interface Seen {
  readonly itemId: string;
  readonly observationIds: readonly string[];
  readonly note?: string;
  /** the story needs this defect to stay open, so the workshop does not touch it */
  readonly held?: boolean;
  /** the rider puts it right on the spot, and reads it again where that takes a gauge */
  readonly putRight?: boolean;
}

/** Rider R005 finishes in seconds and has never found anything. */
const hastyRider = "R005";

export interface CheckPlan {
  readonly rider: string;
  /** what the story makes the rider see; if left out, chance and wear decide */
  readonly seen?: readonly Seen[];
  /** minutes without a signal before it arrives */
  readonly lateMinutes?: number;
}

/** Makes a check at this moment of the story and sends it, at once or `lateMinutes` later. */
export async function checkMachine(world: World, machine: DemoMachine, plan: CheckPlan): Promise<void> {
  const { context, dice, timeline } = world;
  const performedAt = context.clock.now();
  const seen = plan.seen ?? whatIsSeen(world, machine, plan.rider, performedAt);
  const proof = dice.chance(0.03) ? undefined : { value: proofValue(world, machine, performedAt) };
  const body = dailyCheckBodySchema.parse({
    ...{ id: context.newId(), machineId: machine.id, sheetVersion: SHEET_VERSION, performedAt: performedAt.toISOString() },
    durationSeconds: plan.rider === hastyRider ? dice.whole(9, 19) : Math.round(59 + 10 * dice.spread()) + 25 * seen.length,
    odometerKm: machine.odometerKm,
    answers: answersWith(world, machine, seen),
    ...(proof ? { proof } : {}),
  });
  const send = async (): Promise<void> => {
    const { receipt } = await submitDailyCheck(context, actor(world, plan.rider), body);
    takeIn(world, machine, receipt.defects, (itemId) => seen.some((one) => one.itemId === itemId && one.held === true));
    if (receipt.clearance.decision !== "do-not-ride") machine.ridden ??= { rider: plan.rider, share: 1 };
    else {
      machine.ridden = null;
      if (!receipt.clearance.reasons.some(({ code }) => code === "grounding-defect")) machine.stands = true;
    }
  };
  if (plan.lateMinutes === undefined) await send();
  else timeline.at(minutesLater(performedAt, plan.lateMinutes), send);
}

function answersWith({ dice }: World, machine: DemoMachine, seen: readonly Seen[]): DailyAnswer[] {
  return nilAnswers(machine.model.body.features).map((answer): DailyAnswer => {
    const found = seen.find(({ itemId }) => itemId === answer.itemId);
    if (!found) return answer;
    const { itemId, observationIds, note } = found;
    return {
      itemId,
      result: found.putRight ? "put-right" : "defect",
      ...(found.putRight ? readingAfter(machine, itemId, dice) : {}),
      ...(observationIds.length > 0 ? { observationIds: [...observationIds] } : {}),
      ...(note ? { note } : {}),
    };
  });
}

/** The reading of a rider who has just put it right; none where no gauge shows that. */
function readingAfter(machine: DemoMachine, itemId: string, dice: World["dice"]): Pick<DailyAnswer, "reading"> {
  const asked = readOnWalkAt(itemId, machine.model.body);
  if (asked === null) return {};
  setRight(machine.wear, asked.quantity, judged(machine), dice);
  return { reading: readAfterWork(machine.wear, asked.quantity, judged(machine), dice) };
}

/** The one real reading that the sheet asks for on this day. */
function proofValue({ dice }: World, machine: DemoMachine, at: Date): number {
  const { features, handbook } = machine.model.body;
  const asked = proofFor({ machineId: machine.id, day: localDay(at, machine.depot.timeZone), features, handbook });
  if (asked.quantity === "odometer") return machine.odometerKm;
  return read(machine.wear, asked.quantity, judged(machine), carefulHand, dice).value;
}

const faultShare = 0.022;
const seenAgainShare = 0.35;

/** Chance, wear, and what was seen before and is still there. */
function whatIsSeen({ dice }: World, machine: DemoMachine, rider: string, at: Date): Seen[] {
  if (isQuiet(machine, at) && machine.open.length === 0) return [];
  const found = machine.open
    .filter(({ itemId, observationIds }) => itemId !== null && observationIds.length > 0 && dice.chance(seenAgainShare))
    .map(({ itemId, observationIds }): Seen => ({ itemId: itemId ?? "", observationIds }));
  const daily = new Set(nilAnswers(machine.model.body.features).map(({ itemId }) => itemId));
  const again = found.filter(({ itemId }) => daily.has(itemId));
  if (rider === hastyRider || isQuiet(machine, at)) return again;
  const worn = wornEnough(machine).filter(() => dice.chance(0.45));
  const faults = faultsOf(machine.model.body.features);
  const total = faults.reduce((sum, { weight }) => sum + weight, 0);
  const fresh: Seen[] = [];
  if (dice.chance(faultShare)) {
    let place = dice.between(0, total);
    const fault = faults.find(({ weight }) => {
      place -= weight;
      return place < 0;
    });
    if (fault)
      fresh.push({
        itemId: fault.observation.split(".")[0] ?? "",
        observationIds: [fault.observation],
        ...(fault.note ? { note: fault.note } : {}),
      });
  }
  const all = [...again, ...worn, ...fresh];
  return all.filter(({ itemId }, index) => all.findIndex((other) => other.itemId === itemId) === index);
}

/** Wear that has gone so far that a rider can see or feel it. */
function wornEnough(machine: DemoMachine): Seen[] {
  const { values } = machine.wear;
  const { handbook, features } = machine.model.body;
  const seen: Seen[] = [];
  const see = (itemId: string, what: string) => seen.push({ itemId, observationIds: [`${itemId}.${what}`] });
  for (const end of ["front", "rear"] as const) {
    const printed = handbook.tyrePressure?.[end]?.solo.value;
    const pressure = values.get(`${end}-tyre-pressure`);
    if (printed !== undefined && pressure !== undefined && pressure < printed * 0.84) see(`${end}-tyre-pressure`, "a-little-soft");
    const least = handbook.treadLeastMm?.[end];
    const tread = values.get(`${end}-tread`);
    if (least !== undefined && tread !== undefined && tread < least) see(`${end}-tyre-tread`, "near-limit");
  }
  const slack = values.get("chain-slack");
  if (slack !== undefined && slack > (handbook.chainSlack?.maxMm ?? 30) * 1.12) see("chain", "slack");
  if (features.power === "four-stroke" && (values.get("engine-oil-level") ?? 50) < 6) see("engine-oil", "near-low");
  return seen;
}
