// What the records say of a fall or a collision.
import { z } from "zod";
import { fromField, idOf, instant, photos, standingShape, text, texts } from "./parts.ts";

/** Recorded since 2026-11-30. It happened when the entry says that it was done. */
export const machineFell = z.strictObject({
  submitted: z.strictObject({
    id: idOf,
    machineId: idOf,
    happenedAt: instant,
    /** a word of shared/catalogue/falls.ts, or somebody's own; so with each that looks bent */
    hit: text,
    bent: texts.optional(),
    note: text.optional(),
    photoIds: z.array(idOf).optional(),
    odometerKm: z.number().optional(),
  }),
  photos,
  outcome: z.strictObject({
    ...standingShape,
    flags: texts,
    /** when an inspection was made after it that was on record before it: that one did not count as the one it asks for */
    inspectedBetween: instant.nullable(),
  }),
  ...fromField,
});
