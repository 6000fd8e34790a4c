// Oil: its level, and when it is due to be changed. Also the charge of an electric machine.
import { hasPower } from "../catalogue/features.ts";
import type { Features } from "../contracts/machine-model.ts";
import { daysBetween } from "./calendar.ts";
import { isAbove, judgeAgainst, limitOf, outsideVerdict } from "./limits.ts";
import type { ValueVerdict } from "./verdict.ts";

/** An oil level in percent of the span between its two marks: under the lower or over the upper one, adjust, `minor`. */
export function judgeOilLevel(levelPercent: number): ValueVerdict {
  return judgeAgainst(levelPercent, limitOf("handbook", "handbook", { least: 0, most: 100 }, "percent"), "adjust", "minor");
}

/** Common practice, no source: a battery at this much or less is empty and stops in traffic, below the second it is charged before the round. */
const EMPTY_PERCENT = 5;
const LEAST_CHARGE_PERCENT = 20;

/**
 * The charge in percent, for which no handbook here prints a least value: too little for a round, adjust, `minor`; empty, adjust, `major`.
 */
export function judgeCharge(percent: number): ValueVerdict {
  const limit = limitOf("common-practice", "common-practice", { least: LEAST_CHARGE_PERCENT }, "percent");
  if (isAbove(percent, EMPTY_PERCENT)) return judgeAgainst(percent, limit, "adjust", "minor");
  const categoryBy = limitOf("common-practice", "common-practice", { least: EMPTY_PERCENT }, "percent");
  return outsideVerdict("adjust", "major", percent, limit, { categoryBy });
}

/** The item at which oil is renewed by the handbook's interval; a two-stroke burns its engine oil, so there it is the gearcase. */
export const oilItemOf = (features: Features): string | null =>
  hasPower("four-stroke")(features) ? "engine-oil-level" : features.gearcase === "none" ? null : "gearcase-oil";

/** When something was last renewed, how the machine stands now, and the handbook's interval; a missing interval never falls due. */
export interface IntervalService {
  readonly lastKm: number;
  readonly lastDay: string;
  readonly nowKm: number;
  readonly today: string;
  readonly everyKm?: number | undefined;
  readonly everyDays?: number | undefined;
}

/** `by` names what fell due; what is left is negative when overdue, and null where the handbook has no such interval. */
export interface IntervalDue {
  readonly due: boolean;
  readonly by: "distance" | "days" | "both" | null;
  readonly kmLeft: number | null;
  readonly daysLeft: number | null;
}

/** When the oil change, or another service, falls due; `changed` false: none is on record, and it is counted from the entry into the fleet. */
export interface DueAtItem extends IntervalDue {
  readonly itemId: string;
  readonly changed: boolean;
}

/** Whether an oil change, or whatever else has an interval, is due: by distance or by days, whichever comes first. It is due on the very kilometre or day. */
export function intervalDue(service: IntervalService): IntervalDue {
  const kmLeft = service.everyKm === undefined ? null : service.everyKm - (service.nowKm - service.lastKm);
  const daysLeft = service.everyDays === undefined ? null : service.everyDays - daysBetween(service.lastDay, service.today);
  const byDistance = kmLeft !== null && kmLeft <= 0;
  const byDays = daysLeft !== null && daysLeft <= 0;
  const by = byDistance && byDays ? "both" : byDistance ? "distance" : byDays ? "days" : null;
  return { due: by !== null, by, kmLeft, daysLeft };
}
