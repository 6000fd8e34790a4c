// What a sum of costs does not hold, since nobody knows it, and what else is to be known of it.
import type { CostLine } from "../../../shared/contracts/costs.ts";
import { unknownKinds } from "../../../shared/rules/costs.ts";
import { sayAmount } from "./say-amount.ts";
import { say, sayCounted } from "./words.ts";

type Told = Pick<CostLine, "unknown" | "pricedLater">;

export function NotKnown({ costs: { unknown, pricedLater } }: { costs: Told }) {
  const told = unknownKinds.filter((why) => unknown[why] > 0);
  return (
    <>
      {told.length > 0 && (
        <div class="notice">
          <p>{say("costs.not-known")}:</p>
          <ul>
            {told.map((why) => (
              <li key={why}>{sayCounted(`costs.not-known.${why}`, unknown[why])}</li>
            ))}
          </ul>
        </div>
      )}
      {pricedLater > 0 && <p class="small">{sayCounted("costs.later", pricedLater)}</p>}
    </>
  );
}

/** A sum as far as it is known. */
export const sayTotal = ({ totalMinor, isAtLeast }: Pick<CostLine, "totalMinor" | "isAtLeast">, currency: string | null): string => {
  const amount = sayAmount(totalMinor, currency);
  return isAtLeast && currency !== null ? say("costs.at-least", { amount }) : amount;
};
