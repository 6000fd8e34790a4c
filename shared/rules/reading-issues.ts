// What has to be asked again about the readings of an inspection, while the gauge is still in hand.
import type { Item } from "../catalogue/types.ts";
import type { WeeklyAnswer } from "../contracts/checks.ts";
import type { Handbook } from "../contracts/machine-model.ts";
import type { Quantity } from "../contracts/quantities.ts";
import { unitsFor } from "../units.ts";
import { judgeChainWear } from "./chain.ts";
import { doubtful } from "./doubtful.ts";
import { foundOf, wearsAway, worstPlaceOf } from "./places.ts";

export interface ReadingIssue {
  readonly index: number;
  readonly field: "asFound" | "asLeft" | "unit" | "places" | "celsius";
  readonly message: string;
}

/** What is wrong with, or missing from, the reading of one answer. */
export function readingIssues(answer: WeeklyAnswer, index: number, item: Item | undefined, handbook: Handbook): ReadingIssue[] {
  const issue = (field: ReadingIssue["field"], message: string): ReadingIssue[] => [{ index, field, message }];
  const quantity = item?.quantity;
  if (answer.celsius !== undefined && quantity?.endsWith("tyre-pressure") !== true) {
    return issue("celsius", "a temperature belongs to a tyre pressure");
  }
  if (quantity === undefined) {
    const given = (["asFound", "asLeft", "unit", "places"] as const).some((field) => answer[field] !== undefined);
    return given ? issue("asFound", "this item takes no reading") : [];
  }
  const usual = unitsFor(quantity).join(" or ");
  const worst = worstPlaceOf(quantity, handbook);
  if (answer.places !== undefined && worst === null) return issue("places", "this is read at one place");
  const asFound = foundOf(quantity, answer, handbook);
  if (asFound === undefined) {
    const needed = answer.asLeft !== undefined || (item?.quantityOptional !== true && answer.result !== "not-applicable");
    return needed ? issue("asFound", `a reading as found is needed, in ${usual}`) : [];
  }
  const { unit } = answer;
  if (unit === undefined) return issue("unit", `say the unit of the reading: ${usual}`);
  if (!unitsFor(quantity).includes(unit)) return issue("unit", `this is read in ${usual}`);
  const readings = [
    ...(answer.places ?? []).map((value) => ["places", value] as const),
    ...(answer.asFound === undefined ? [] : [["asFound", answer.asFound] as const]),
    ...(answer.asLeft === undefined ? [] : [["asLeft", answer.asLeft] as const]),
  ];
  const readTwice = answer.readTwice === true;
  const doubted = readings.flatMap(([field, value]) => {
    const message = doubtful(quantity, value, unit, readTwice) ?? (readTwice ? null : miscounted(quantity, value, handbook));
    return message === null ? [] : issue(field, message);
  });
  // One question for each field: three bad places are one thing to read again.
  const asked = doubted.filter((one, at) => doubted.findIndex((other) => other.field === one.field) === at);
  if (asked.length > 0) return asked;
  const decisive = foundOf(quantity, { places: answer.places }, handbook);
  if (decisive !== undefined && decisive !== asFound) {
    return issue("asFound", `the ${worst} of the places is ${decisive} ${unit}: send that, or the places alone`);
  }
  if (answer.actions?.includes("replaced") === true && answer.asLeft === undefined && wearsAway.has(quantity)) {
    return issue("asLeft", "it was renewed: measure the new part too, its wear is counted from there");
  }
  return [];
}

function miscounted(quantity: Quantity, value: number, { chain }: Handbook): string | null {
  if (quantity !== "chain-length" || chain === undefined || judgeChainWear(value, chain).measureAgain !== true) return null;
  const asNew = Number((chain.pitches * chain.pitchMm).toFixed(2));
  return `${value} mm is shorter than a new chain: ${chain.pitches} pitches of ${chain.pitchMm} mm, pin to pin, are ${asNew} mm. Count again`;
}
