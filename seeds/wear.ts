// The simulated machine behind the records: the true value of each quantity, how it changes with distance and days, and what a gauge shows
// of it. Rates are of the size usual for small machines in courier work (from memory, no source).
import { itemsFor } from "../shared/catalogue/sheet.ts";
import type { Quantity, Unit } from "../shared/contracts/quantities.ts";
import { readingAsNew } from "../shared/rules/as-new.ts";
import { type JudgedMachine, readingWithinLimits } from "../shared/rules/judge-reading.ts";
import { pressureAtTemperature } from "../shared/rules/tyre.ts";
import { convert } from "../shared/units.ts";
import type { Dice } from "./dice.ts";

/** The true value of each quantity that the machine has, in the unit in which it is read. */
export interface Wear {
  readonly values: Map<Quantity, number>;
  /** share of its pressure that each tyre loses in a day; a sound one loses a little less than the natural loss of tyres */
  readonly leakPerDay: { front: number; rear: number };
  kmSinceOil: number;
}

/** Change in a thousand kilometres, in the unit of the quantity; for a chain, as a share of its length. */
const perThousandKm: Partial<Record<Quantity, number>> = {
  "front-tread": -0.3,
  "rear-tread": -0.52,
  "chain-slack": 3.4,
  "front-brake-free-travel": 2.4,
  "rear-brake-free-travel": 2.0,
  "front-lining": -0.15,
  "rear-lining": -0.13,
  "front-wheel-run-out": 0.015,
  "rear-wheel-run-out": 0.02,
  "brake-rod-diameter": -0.015,
  "plug-gap": 0.012,
  "clutch-free-travel": -0.9,
  "throttle-free-play": 0.12,
  "engine-oil-level": -22,
  "gearcase-oil-level": -3,
};
export const chainSharePerThousandKm = 0.00165;

const newTread = { front: 5.2, rear: 6 } as const;
const newLining = 4;

/** The value of a part when it is new, or of an adjustment when it was just set. */
export function asSet(quantity: Quantity, machine: JudgedMachine): number {
  if (quantity === "front-tread") return newTread.front;
  if (quantity === "rear-tread") return newTread.rear;
  if (quantity === "front-lining" || quantity === "rear-lining") return newLining;
  if (quantity === "front-wheel-run-out" || quantity === "rear-wheel-run-out") return 0.2;
  return readingAsNew(quantity, machine).value;
}

/** Parts that are only ever renewed; everything else is set. */
export const isRenewed = (quantity: Quantity): boolean =>
  ["front-tread", "rear-tread", "front-lining", "rear-lining", "chain-length", "brake-rod-diameter"].includes(quantity);

/** Random initial values: for parts between new and their limit, for the rest within their range. */
export function wornMachine(machine: JudgedMachine, dice: Dice): Wear {
  const values = new Map<Quantity, number>();
  for (const { quantity } of itemsFor(machine.features, "weekly")) {
    if (quantity === undefined || values.has(quantity)) continue;
    values.set(quantity, startingValue(quantity, machine, dice));
  }
  return {
    values,
    leakPerDay: { front: dice.between(0.0004, 0.001), rear: dice.between(0.0004, 0.001) },
    kmSinceOil: dice.whole(200, 2200),
  };
}

function startingValue(quantity: Quantity, machine: JudgedMachine, dice: Dice): number {
  const set = asSet(quantity, machine);
  switch (quantity) {
    case "front-tread":
    case "rear-tread":
      return dice.between(2.4, set);
    case "front-lining":
    case "rear-lining":
      return dice.between(2.6, set);
    case "chain-length":
      return set * (1 + dice.between(0, 0.002));
    case "brake-rod-diameter":
      return set - dice.between(0.1, 0.5);
    case "engine-oil-level":
      return dice.between(45, 90);
    default:
      return set * dice.between(0.97, 1.03);
  }
}

/** Moves the machine on by a day's distance. */
export function ride(wear: Wear, km: number, machine: JudgedMachine, dice: Dice): void {
  wear.kmSinceOil += km;
  for (const [quantity, value] of wear.values) {
    const rough = Math.max(0.4, 1 + 0.2 * dice.spread());
    const rate = quantity === "chain-length" ? chainSharePerThousandKm * asSet(quantity, machine) : (perThousandKm[quantity] ?? 0);
    if (rate !== 0) wear.values.set(quantity, Math.max(0, value + (rate * rough * km) / 1000));
  }
  // A two-stroke burns its oil, and its rider fills the tank up; a battery is charged each night.
  if (machine.features.power === "two-stroke") wear.values.set("engine-oil-level", dice.between(25, 95));
  if (wear.values.has("charge")) wear.values.set("charge", dice.between(62, 100));
}

/** Air goes whether the machine is ridden or not. */
export function standOvernight(wear: Wear): void {
  for (const end of ["front", "rear"] as const) {
    const quantity = `${end}-tyre-pressure` as const;
    const value = wear.values.get(quantity);
    if (value !== undefined) wear.values.set(quantity, value * (1 - wear.leakPerDay[end]));
  }
}

/** The temperature that a tyre's true pressure refers to here. */
export const referenceCelsius = 20;

const isPressure = (quantity: Quantity): boolean => quantity === "front-tyre-pressure" || quantity === "rear-tyre-pressure";

/** A gauge pressure of the same air at another temperature, in its own unit; anything else stays as it is. */
function atTemperature(quantity: Quantity, value: number, unit: Unit, fromCelsius: number, toCelsius: number): number {
  if (!isPressure(quantity) || fromCelsius === toCelsius) return value;
  return convert(pressureAtTemperature({ gaugeKpa: convert(value, unit, "kPa"), fromCelsius, toCelsius }), "kPa", unit);
}

/** Puts a quantity right: sets it, or renews the part where it is one that wears out. A tyre is set by the gauge, whatever the weather. */
export function putRight(wear: Wear, quantity: Quantity, machine: JudgedMachine, dice: Dice, celsius = referenceCelsius): void {
  const play = isRenewed(quantity) ? 1 : 1 + 0.02 * dice.spread();
  const shown = asSet(quantity, machine) * Math.min(1.05, Math.max(0.95, play));
  wear.values.set(quantity, atTemperature(quantity, shown, readingAsNew(quantity, machine).unit, celsius, referenceCelsius));
}

/** How a person reads a gauge: to its marks, with a small error, and some by round figures. */
export interface GaugeHand {
  readonly likesZeros: boolean;
}

export const carefulHand: GaugeHand = { likesZeros: false };

const marks: Readonly<Record<Unit, number>> = { kPa: 1, psi: 0.5, bar: 0.05, mm: 1, percent: 5, km: 1 };
const fineMarksMm: Partial<Record<Quantity, number>> = {
  "front-tread": 0.1,
  "rear-tread": 0.1,
  "chain-length": 0.1,
  "front-lining": 0.1,
  "rear-lining": 0.1,
  "front-wheel-run-out": 0.1,
  "rear-wheel-run-out": 0.1,
  "brake-rod-diameter": 0.05,
  "plug-gap": 0.05,
  "throttle-free-play": 0.5,
};
/** The steps to which somebody who likes round figures rounds these readings. */
const roundFigures: Partial<Record<Quantity, number>> = { "front-tyre-pressure": 10, "rear-tyre-pressure": 10, "chain-slack": 5 };

const toMark = (value: number, mark: number): number => Number((Math.round(value / mark) * mark).toFixed(2));

/** What the gauge shows at that temperature. */
export function read(
  wear: Wear,
  quantity: Quantity,
  machine: JudgedMachine,
  hand: GaugeHand,
  dice: Dice,
  celsius = referenceCelsius,
): { value: number; unit: Unit } {
  const { unit } = readingAsNew(quantity, machine);
  const mark = fineMarksMm[quantity] ?? marks[unit];
  const truth = atTemperature(quantity, wear.values.get(quantity) ?? 0, unit, referenceCelsius, celsius);
  const shown = Math.max(0, truth + 0.4 * mark * dice.spread());
  const round = hand.likesZeros && unit !== "psi" && dice.chance(0.75) ? roundFigures[quantity] : undefined;
  const value = toMark(shown, round ?? mark);
  // No gauge shows more than full.
  return { value: unit === "percent" ? Math.min(100, value) : value, unit };
}

/** A reading after the work, read with care: one outside its limits is read again, since nobody leaves it so. */
export function readAfterWork(
  wear: Wear,
  quantity: Quantity,
  machine: JudgedMachine,
  dice: Dice,
  celsius = referenceCelsius,
): { value: number; unit: Unit } {
  for (let tries = 0; tries < 20; tries += 1) {
    const reading = read(wear, quantity, machine, carefulHand, dice, celsius);
    if (readingWithinLimits({ ...machine, quantity, ...reading }).ok) return reading;
    putRight(wear, quantity, machine, dice, celsius);
  }
  throw new Error(`${quantity} cannot be put right`);
}
