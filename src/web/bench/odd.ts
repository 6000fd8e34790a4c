// The question about an odd reading, for the person with the gauge in hand. By the same plausible ranges as at the service.
import type { Quantity, Unit } from "../../../shared/contracts/quantities.ts";
import { doubtful } from "../../../shared/rules/doubtful.ts";
import { looksLikeOtherUnit, plausibleWindow, possibleWindow } from "../../../shared/units.ts";
import { say, sayNumber } from "../frame/words.ts";

/** Null if nothing is odd, or if the value is possible and was read twice. */
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
