// Whether a repair fitted a new part of the wearing kind or something else: a new tube leaves the tyre as old as it was.
import type { Handbook } from "../../shared/contracts/machine-model.ts";
import { factsOf, type WearingQuantity, wearValue, wornBetween } from "./stretches.ts";

/** Observations that only a new part of this kind can put right; a nail in the tread may need only a tube. Common practice, no source. */
const endOfLife: Readonly<Partial<Record<WearingQuantity, readonly string[]>>> = Object.fromEntries(
  (["front", "rear"] as const).flatMap((end) => [
    [
      `${end}-tread`,
      [
        ...["near-limit", "pattern-gone", "cut", "bulge", "cords-show"].map((seen) => `${end}-tyre-tread.${seen}`),
        ...["uneven", "fine-cracks", "cut", "bulge", "cords-show"].map((seen) => `${end}-tyre-tread-weekly.${seen}`),
      ],
    ],
    [`${end}-lining`, [`${end}-brake-hydraulic.pads-worn`]],
  ]),
);

export interface RepairedPart {
  readonly quantity: WearingQuantity;
  /** how many parts the repair names */
  readonly parts: number;
  /** the repair is at the item at which this part is measured, so a part fitted there is this part */
  readonly ownItem: boolean;
  readonly observationIds: readonly string[];
  /** the last reading before the work and the first after it; null: none */
  readonly before: number | null;
  readonly after: number | null;
}

/**
 * Whether the repair renewed the part. With a reading before and one after, the readings decide: it is new if it became better by more than the
 * gauge's error. Otherwise what the repair says decides: parts fitted at the part's own item, or for a finding that only a new part puts right.
 */
export function renewedPart(repair: RepairedPart, handbook: Handbook): boolean {
  const facts = factsOf(repair.quantity);
  const [before, after] = [repair.before, repair.after].map((value) =>
    value === null ? null : wearValue(repair.quantity, value, handbook),
  );
  if (before !== null && before !== undefined && after !== null && after !== undefined) {
    return wornBetween(facts, before, after) < -facts.gaugeError;
  }
  const isEnd = repair.observationIds.some((id) => endOfLife[repair.quantity]?.includes(id) === true);
  return repair.parts > 0 && (repair.ownItem || isEnd);
}
