// What the records say of legal holds, and of what was forgotten.
import { z } from "zod";
import { day, idOf, instant, text } from "./parts.ts";

export const holdPlaced = z.strictObject({
  submitted: z.strictObject({ id: idOf, machineId: idOf.optional(), depotId: idOf.optional(), reason: text }),
  depotId: idOf.nullable(),
  registrationMark: text.nullable(),
});

export const holdLifted = z.strictObject({ holdId: idOf, reason: text });

export const recordsForgotten = z.strictObject({
  /** the last day whose records went, and the moment at which it ended in every depot */
  untilDay: day,
  before: instant,
  keepMonths: z.number(),
  records: z.number(),
  /** how many of each class of records */
  classes: z.partialRecord(text, z.number()),
});

export const personForgotten = z.strictObject({ personId: idOf, reason: text, records: z.number() });
