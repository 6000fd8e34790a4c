// The one way to judge any measured item: which rule applies, and what the values as found and as left come to together.
import { ruleSets } from "../catalogue/rule-sets.ts";
import type { Features, Handbook, RuleSet } from "../contracts/machine-model.ts";
import type { FoundAndLeft, Quantity, Unit } from "../contracts/quantities.ts";
import { UnitError, unitsFor } from "../units.ts";
import { judgeBrakeEfficiency, judgeBrakeFreeTravel, judgeBrakeRod, judgeLining, legalEfficiencyOf, legalLiningOf } from "./brake.ts";
import { judgeChainWear } from "./chain.ts";
import { judgeOilLevel } from "./engine.ts";
import { judgeOnWalk, resultOf } from "./judge-on-walk.ts";
import { judgeAdjustable, notSetVerdict } from "./limits.ts";
import { judgeTread, type Load, treadLawOf } from "./tyre.ts";
import type { DecidingLimit, ReadingVerdict, ValueVerdict } from "./verdict.ts";
import { judgeRunOut } from "./wheel.ts";

/** What a reading is judged against. `engineCc` is null where there is no engine or its capacity is not known; `load` is solo unless given. */
export interface JudgedMachine {
  readonly features: Features;
  readonly engineCc: number | null;
  readonly handbook: Handbook;
  readonly ruleSet: RuleSet;
  readonly load?: Load | undefined;
}

/**
 * The verdict on a measured item. Found outside and left within is `corrected`, however bad it was found. Not left within is a
 * `defect` with a category: that of the value as left (as found where nothing was done), for a tyre never milder than as found,
 * because air put in does not stop a leak. Throws a UnitError for a unit that the quantity's gauge cannot show, and a RangeError for a
 * value that is not a number.
 */
export function judgeReading(input: JudgedMachine & { readonly quantity: Quantity; readonly reading: FoundAndLeft }): ReadingVerdict {
  const { quantity, reading } = input;
  const asFound = judgeValue(quantity, reading.asFound, reading.unit, input, false);
  const asLeft = reading.asLeft === undefined ? null : judgeValue(quantity, reading.asLeft, reading.unit, input, true);
  // A value as left that proves nothing leaves the machine as it was found.
  const last = asLeft === null || asLeft.outcome === "not-set" ? asFound : asLeft;
  return { quantity, reading, asFound, asLeft, ...resultOf(quantity, asFound, last) };
}

/**
 * Whether a single value, taken after a repair, lies within every limit of its item: what a sign-off needs. A quantity that has no
 * limit on this machine is within; a value that cannot be true is not. Throws as `judgeReading` does.
 */
export function readingWithinLimits(input: JudgedMachine & { readonly quantity: Quantity; readonly value: number; readonly unit: Unit }): {
  readonly ok: boolean;
  readonly limit: DecidingLimit;
} {
  const { outcome, limit, measureAgain } = judgeValue(input.quantity, input.value, input.unit, input, true);
  return { ok: outcome === "within" || (outcome === "not-set" && measureAgain !== true), limit };
}

function judgeValue(quantity: Quantity, value: number, unit: Unit, machine: JudgedMachine, afterWork: boolean): ValueVerdict {
  if (!Number.isFinite(value)) throw new RangeError(`${quantity} is not a number`);
  if (!unitsFor(quantity).includes(unit)) throw new UnitError(`${quantity} is not read in ${unit}`);
  const { handbook } = machine;
  switch (quantity) {
    case "odometer":
      return notSetVerdict(unit);
    case "charge":
    case "front-tyre-pressure":
    case "rear-tyre-pressure":
    case "chain-slack":
      return judgeOnWalk(quantity, value, unit, machine);
    case "front-tread":
      return treadOf(value, handbook.treadLeastMm?.front, machine);
    case "rear-tread":
      return treadOf(value, handbook.treadLeastMm?.rear, machine);
    case "chain-length":
      return judgeChainWear(value, handbook.chain);
    case "front-brake-free-travel":
      return judgeBrakeFreeTravel(value, handbook.brakeFreeTravel?.front, afterWork);
    case "rear-brake-free-travel":
      return judgeBrakeFreeTravel(value, handbook.brakeFreeTravel?.rear, afterWork);
    case "front-lining":
      return liningOf(value, "front", machine);
    case "rear-lining":
      return liningOf(value, "rear", machine);
    case "front-wheel-run-out":
      return runOutOf(value, "front", machine);
    case "rear-wheel-run-out":
      return runOutOf(value, "rear", machine);
    case "brake-rod-diameter":
      return judgeBrakeRod(value, handbook.brakeRodNewMm, ruleSets[machine.ruleSet].brakeRodWornMostShare);
    case "plug-gap":
      return judgeAdjustable(value, handbook.plugGap);
    case "clutch-free-travel":
      return judgeAdjustable(value, handbook.clutchFreeTravel);
    case "throttle-free-play":
      return judgeAdjustable(value, handbook.throttleFreePlay);
    case "engine-oil-level":
    case "gearcase-oil-level":
      return judgeOilLevel(value);
    case "brake-efficiency":
      return judgeBrakeEfficiency(value, legalEfficiencyOf(machine.ruleSet, machine.engineCc));
    default:
      return quantity satisfies never;
  }
}

function treadOf(depthMm: number, handbookLeastMm: number | undefined, machine: JudgedMachine): ValueVerdict {
  return judgeTread({ depthMm, law: treadLawOf(machine.ruleSet, machine.engineCc, machine.features.power), handbookLeastMm });
}

const liningOf = (thicknessMm: number, end: "front" | "rear", { handbook, ruleSet }: JudgedMachine): ValueVerdict =>
  judgeLining(thicknessMm, handbook.liningLeastMm?.[end], legalLiningOf(ruleSet, handbook.liningMaterial?.[end]));

function runOutOf(runOutMm: number, end: "front" | "rear", { features, handbook, ruleSet }: JudgedMachine): ValueVerdict {
  const material = handbook.rimMaterial?.[end];
  return judgeRunOut({ ruleSet, runOutMm, wheel: features.wheels[end], material, handbookMostMm: handbook.wheelRunOutMostMm?.[end] });
}
