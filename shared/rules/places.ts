// Something measured at several places: which of the readings decides.
import type { Handbook } from "../contracts/machine-model.ts";
import type { Quantity } from "../contracts/quantities.ts";

/**
 * Which of several readings is the worst: the least of tread, lining, rod or pressure, the most of run-out or chain length. Slack
 * counts at the tightest place, which is the least travel, or the largest gap to the swinging arm. Null for what is read at one place.
 */
export function worstPlaceOf(quantity: Quantity, { chainSlack }: Pick<Handbook, "chainSlack">): "least" | "most" | null {
  switch (quantity) {
    case "front-tread":
    case "rear-tread":
    case "front-lining":
    case "rear-lining":
    case "brake-rod-diameter":
    case "front-tyre-pressure":
    case "rear-tyre-pressure":
      return "least";
    case "front-wheel-run-out":
    case "rear-wheel-run-out":
    case "chain-length":
      return "most";
    case "chain-slack":
      return chainSlack?.method === "gap-to-swinging-arm" && chainSlack.run === "lower" ? "most" : "least";
    case "odometer":
    case "charge":
    case "front-brake-free-travel":
    case "rear-brake-free-travel":
    case "plug-gap":
    case "clutch-free-travel":
    case "throttle-free-play":
    case "engine-oil-level":
    case "gearcase-oil-level":
    case "brake-efficiency":
      return null;
    default:
      return quantity satisfies never;
  }
}

/** Parts that wear and are renewed: the wear of a new one is counted from its first reading, so that reading is needed. */
export const wearsAway: ReadonlySet<Quantity> = new Set<Quantity>([
  "front-tread",
  "rear-tread",
  "front-lining",
  "rear-lining",
  "chain-length",
  "brake-rod-diameter",
]);

/** The reading as found: as sent, or the worst of the places. Undefined where neither was sent. */
export function foundOf(
  quantity: Quantity,
  answer: { readonly asFound?: number | undefined; readonly places?: readonly number[] | undefined },
  handbook: Pick<Handbook, "chainSlack">,
): number | undefined {
  if (answer.asFound !== undefined || answer.places === undefined) return answer.asFound;
  const worst = worstPlaceOf(quantity, handbook);
  if (worst === null) return undefined;
  return worst === "least" ? Math.min(...answer.places) : Math.max(...answer.places);
}
