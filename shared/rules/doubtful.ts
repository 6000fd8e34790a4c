// What is odd about one value, whoever read it. A file of its own, since a phone needs it but not the questions of the bench.
import type { Quantity, Unit } from "../contracts/quantities.ts";
import { looksLikeOtherUnit, plausibleWindow, possibleWindow, type Window } from "../units.ts";

/**
 * What to ask about a value, naming the window; null where nothing is odd. A value whose unit looks mixed up, or that is not plausible, is
 * asked about once and stands when it was read twice: a flat tyre is a reading too. It is never converted.
 */
export function doubtful(quantity: Quantity, value: number, unit: Unit, readTwice: boolean): string | null {
  const other = readTwice ? null : looksLikeOtherUnit(quantity, value, unit);
  if (other !== null) {
    return `${value} ${unit} is hardly possible: was it read in ${other}? Send the unit of the gauge, or readTwice if it is right`;
  }
  const outside = ({ min, max }: Window): boolean => value < min || value > max;
  const possible = possibleWindow(quantity, unit);
  if (outside(possible))
    return `${value} ${unit} is not possible here: between ${possible.min} and ${possible.max} ${unit} is. Read it again`;
  const usual = plausibleWindow(quantity, unit);
  if (readTwice || !outside(usual)) return null;
  return `${value} ${unit} is unusual: between ${usual.min} and ${usual.max} ${unit} is usual. Read it again, and send readTwice if it is right`;
}
