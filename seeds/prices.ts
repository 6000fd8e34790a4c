// What the demo firm fits and what it costs there: invented numbers and prices. Some of what is fitted is not in the list, so that costs have something to say
// that nobody knows.
import type { AppContext } from "../src/acts/index.ts";
import { importParts } from "../src/parts/index.ts";
import { changePolicy } from "../src/people/index.ts";
import type { Actor } from "../src/platform/index.ts";

/** Number, name as the workshop writes it, price in pounds. */
const list = [
  ["GR-101", "Grip, left", "6.20"],
  ["BF-025", "Brake fluid, 0.25 l", "3.85"],
  ["VC-001", "Valve cap", "0.35"],
  ["TU-18R", "Inner tube, rear", "9.40"],
  ["TU-17F", "Inner tube, front", "9.10"],
  ["BW-006", "Bolt M6 with washer", "0.45"],
  ["OE-010", "Engine oil, 0.1 l", "0.95"],
  ["OT-050", "Two-stroke oil, 0.5 l", "5.60"],
  ["GX-220", "Exhaust gasket", "4.75"],
  ["BU-TS2", "Bulb, tail and stop", "1.80"],
  ["BU-HL1", "Bulb, headlamp", "7.30"],
  ["BU-IN1", "Bulb, indicator", "1.25"],
  ["LE-R40", "Lens, rear", "11.60"],
] as const;

const numbers = new Map<string, string>(list.map(([number, name]) => [name, number]));

/** The number of a part of the list. */
export const numberOf = (name: string): string | undefined => numbers.get(name);

/** The firm says in which currency it counts and what an hour at the bench costs, and takes its supplier's list over. */
export async function setPrices(context: AppContext, manager: Actor): Promise<void> {
  await changePolicy(context, manager, (policy) => ({ ...policy, currency: "GBP", hourlyRateMinor: 4800 }));
  const rows = list.map(([number, name, price]) => `${number};${name};${price}`);
  await importParts(context, manager, ["number;name;price", ...rows].join("\n"));
}
