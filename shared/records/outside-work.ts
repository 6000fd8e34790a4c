// What the records say of a machine that was at another workshop.
import { z } from "zod";
import { arrival, day, idOf, instant, photos, standingShape, text, texts } from "./parts.ts";

const parts = z.array(z.strictObject({ name: text, quantity: z.number(), number: text.optional() }));

/** Recorded since 2026-11-30. It was done when the entry says so. */
export const machineSentOut = z.strictObject({
  submitted: z.strictObject({ id: idOf, machineId: idOf, since: instant, workshop: text, reason: text, expectedDay: day }),
  outcome: z.strictObject({ ...standingShape, flags: texts }),
  ...arrival,
});

/** Recorded since 2026-11-30. What they repaired of open defects has an entry of its own for each, behind this one. */
export const machineTakenBack = z.strictObject({
  submitted: z.strictObject({
    id: idOf,
    workId: idOf,
    returnedAt: instant,
    workDone: text.optional(),
    parts: parts.optional(),
    repaired: z.array(z.strictObject({ defectId: idOf, workDone: text.optional(), parts: parts.optional() })).optional(),
    photoIds: z.array(idOf).optional(),
    /** since 2026-11-30: the total of their invoice, in minor units of `currency` beside it */
    costMinor: z.number().optional(),
  }),
  /** since 2026-11-30, with an invoice: ISO 4217 */
  currency: text.exactOptional(),
  photos,
  outcome: z.strictObject({
    ...standingShape,
    flags: texts,
    workshop: text,
    /** they did more than repair open defects: an inspection comes before the next ride */
    inspectionDue: z.boolean(),
  }),
  ...arrival,
});
