// Readings that come with a repair, a sign-off or a not-found record: of the right quantity, possible, and within this machine's limits.
import type { Reading } from "../../shared/contracts/quantities.ts";
import { type Closed, openDefect, type Within } from "../../shared/rules/course.ts";
import { doubtful } from "../../shared/rules/doubtful.ts";
import { readingWithinLimits } from "../../shared/rules/judge-reading.ts";
import { unitsFor } from "../../shared/units.ts";
import type { MachineFacts } from "../acts/index.ts";
import { type Actor, platformErrors } from "../platform/index.ts";
import type { DefectChangeRow } from "./row-store.ts";

/** Throws `not-valid` where a reading is given that is not of the defect's quantity, or that no gauge can show. */
export function mustBeItsReading(facts: MachineFacts, defectId: string, reading: Reading | undefined): void {
  const defect = openDefect(facts.state, defectId);
  if (!defect || reading === undefined) return;
  const message = wrongReading(defect.quantity, reading);
  if (message !== null)
    throw platformErrors.problem("not-valid", "The reading cannot be taken. Nothing was stored.", {
      issues: [{ pointer: "/reading", message }],
    });
}

function wrongReading(quantity: Reading["quantity"] | null, reading: Reading): string | null {
  if (quantity === null || quantity === undefined) return "no reading belongs to this defect";
  if (reading.quantity !== undefined && reading.quantity !== quantity) return `a reading of ${quantity} belongs here`;
  if (!unitsFor(quantity).includes(reading.unit)) return `this is read in ${unitsFor(quantity).join(" or ")}`;
  return doubtful(quantity, reading.value, reading.unit, reading.readTwice === true);
}

/** Within the limits of this machine; a tyre may be set for a solo or for a laden machine. */
export const withinLimitsOf =
  ({ model, depot }: MachineFacts): Within =>
  (quantity, { value, unit }) =>
    (["solo", "laden"] as const).some(
      (load) =>
        readingWithinLimits({
          quantity,
          value,
          unit,
          load,
          features: model.features,
          engineCc: model.engineCc,
          handbook: model.handbook,
          ruleSet: depot.ruleSet,
        }).ok,
    );

/** How the defect's row is closed. */
export const closingChange = (closed: Extract<Closed, { refused: null }>, actor: Actor, recordedAt: Date): Partial<DefectChangeRow> => ({
  status: closed.closed.how,
  closedBy: actor.staffId,
  closedAt: recordedAt,
  closingReading: closed.reading,
});
