// What the records say of campaigns. Recorded since 2026-11-30.
import { z } from "zod";
import { day, idOf, text } from "./parts.ts";

export const campaignAdded = z.strictObject({
  submitted: z.strictObject({
    id: idOf,
    name: text,
    modelIds: z.array(idOf).optional(),
    machineIds: z.array(idOf).optional(),
    itemId: text.optional(),
    job: text,
    grounds: z.boolean(),
    dueDay: day,
  }),
  /** the depots whose machines it covers: those that its author sees; null: all, also later ones */
  depotIds: z.array(idOf).nullable(),
  /** how many machines it covered when it was added */
  machines: z.number(),
});

/** It covers no further machine from then on. */
export const campaignEnded = z.strictObject({
  campaignId: idOf,
  name: text,
  submitted: z.strictObject({ id: idOf, reason: text }),
  /** on how many machines its job was still to be done */
  left: z.number(),
});
