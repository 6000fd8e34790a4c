// Shapes that several kinds of records share. These schemas describe everything that was ever written, and read it back as it is: unlike a
// contract, they clean, fill in and limit nothing, since a contract may change and a record may not.
// Every object is closed: a member that no schema knows is a fault of the writer or of the schema.
import { z } from "zod";
import { categorySchema, standingSchema } from "../contracts/common.ts";
import { quantitySchema, unitSchema } from "../contracts/quantities.ts";

export const idOf = z.guid();
export const text = z.string();
export const texts = z.array(text);
/** As it was sent, with any offset; the service's own instants are in UTC with milliseconds. */
export const instant = z.iso.datetime({ offset: true });
export const day = z.iso.date();
export const sha256 = z.string().regex(/^[0-9a-f]{64}$/);

/** One reading of a gauge, as an act on a defect gives it. */
export const reading = z.strictObject({
  quantity: quantitySchema.optional(),
  value: z.number(),
  unit: unitSchema,
  readTwice: z.boolean().optional(),
});

/** Photos that had arrived before the entry, with their hashes, which the entry's own hash so covers. */
export const photos = z.array(z.strictObject({ id: idOf, sha256 }));

/**
 * Any entry of a machine's chain may have this: when it really arrived, where the entry before it was dated in the future by a wrong clock.
 */
export const arrival = { arrivedAt: instant.exactOptional() };

/** What an act from the field may say of its arrival. */
export const fromField = {
  ...arrival,
  /** since 2026-11-29, where its sender is not of the machine's depot now: where the machine was when it was done, null for nowhere yet */
  depotIdThen: idOf.nullable().exactOptional(),
  /** since 2026-11-29, where the body was mended so that it could be taken: its digest as it was sent, and what stood where */
  asSent: z.strictObject({ sha256: text, parts: z.array(z.strictObject({ pointer: text, was: text })) }).exactOptional(),
};

/** One thing that stood against a machine or its rider. A code is never renamed: `ReasonCode` in shared/rules/standing.ts grows with it. */
export const reason = z.strictObject({
  code: z.enum([
    ...(["withdrawn", "grounding-defect", "minor-defect-overdue", "papers-expired", "inspection-overdue", "first-use-inspection"] as const),
    ...(["return-inspection", "unchecked", "minor-defect", "grounded-since-check", "check-incomplete", "check-too-old"] as const),
    // since 2026-11-29
    ...(["test-failed", "moved-since-check", "other-depot", "check-unreadable", "rider-not-equipped", "licence-class"] as const),
    // since 2026-11-30
    ...(["cannot-be-judged", "fall-inspection", "sold", "scrapped"] as const),
    ...(["away", "away-late", "outside-inspection"] as const),
  ]),
  defectId: idOf.exactOptional(),
  itemId: text.nullable().exactOptional(),
  category: categorySchema.exactOptional(),
  day: day.exactOptional(),
  paperKind: text.exactOptional(),
  note: text.exactOptional(),
  // these three since 2026-11-29
  observationIds: texts.exactOptional(),
  held: text.exactOptional(),
  needed: text.exactOptional(),
  // these six since 2026-11-30
  expectedDay: day.exactOptional(),
  fallId: idOf.exactOptional(),
  workshop: text.exactOptional(),
  workId: idOf.exactOptional(),
  campaign: text.exactOptional(),
  campaignId: idOf.exactOptional(),
});

/** Where a machine stood after an act. */
export const standingShape = { standing: standingSchema, reasons: z.array(reason) };
