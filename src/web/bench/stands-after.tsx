// Where a machine stands after an act, and why, in large type.
import type { ComponentChildren } from "preact";
import type { Standing } from "../../../shared/contracts/common.ts";
import { StandingMark } from "../frame/parts.tsx";
import { keyOf, sayWhy, type WhyNot } from "../frame/say-why.ts";

interface StandsAfterProps {
  readonly machine: { readonly standing: Standing; readonly reasons: readonly WhyNot[] };
  /** what was recorded, as a sentence above the standing */
  readonly said?: string;
  readonly children?: ComponentChildren;
}

export function StandsAfter({ machine: { standing, reasons }, said, children }: StandsAfterProps) {
  return (
    <div class="outcome" role="status">
      {said !== undefined && <p>{said}</p>}
      <p class="outcome-standing">
        <StandingMark standing={standing} />
      </p>
      <ul>
        {reasons.map((reason) => (
          <li key={keyOf(reason)}>{sayWhy(reason)}</li>
        ))}
      </ul>
      {children}
    </div>
  );
}
