// What to ask about a reading that is odd, in words for the one with the gauge in hand. The same windows as the service asks by.
import type { Quantity, Unit } from "../../../shared/contracts/quantities.ts";
import { doubtful } from "../../../shared/rules/doubtful.ts";
import { looksLikeOtherUnit, plausibleWindow, possibleWindow } from "../../../shared/units.ts";
import { say, sayNumber } from "../frame/words.ts";

/** Null where nothing is odd, or where it was read twice and can be. */
export function sayOdd(quantity: Quantity, value: number, unit: Unit, readTwice: boolean): string | null {
  if (doubtful(quantity, value, unit, readTwice) === null) return null;
  const about = { value: sayNumber(value, 2), unit: say(`unit.${unit}`) };
  const other = readTwice ? null : looksLikeOtherUnit(quantity, value, unit);
  if (other !== null) return say("bench.odd.unit", { ...about, other: say(`unit.${other}`) });
  const possible = possibleWindow(quantity, unit);
  const cannotBe = value < possible.min || value > possible.max;
  const { min, max } = cannotBe ? possible : plausibleWindow(quantity, unit);
  return say(cannotBe ? "bench.odd.impossible" : "bench.odd.unusual", { ...about, min: sayNumber(min, 2), max: sayNumber(max, 2) });
}
