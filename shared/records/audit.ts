// What the records say of records: a correction, a photo that came later, a report that somebody took.
import { z } from "zod";
import { arrival, day, idOf, instant, photos, text, texts } from "./parts.ts";

/** A photo that arrived after the record which names it. */
export const photoAdded = z.strictObject({ submitted: z.strictObject({ photoId: idOf }), photos, ...arrival });

export const recordCorrected = z.strictObject({
  corrects: idOf,
  submitted: z.strictObject({
    id: idOf,
    corrects: idOf,
    pointer: text.optional(),
    right: z.union([text, z.number(), z.boolean()]),
    reason: text,
  }),
  /** what stands there in the record; null for the record as a whole */
  was: z.unknown(),
  ...arrival,
});

export const reportTaken = z.strictObject({
  paper: z.enum([
    "defect-report",
    // since 2026-11-30
    "fall-report",
    "campaign-report",
    // since 2026-12-01
    "daily-check-report",
    "weekly-inspection-report",
    "machine-notice",
    "machine-roadworthiness",
    "defect-summary",
    "fleet-roadworthiness",
    "fleet-review",
    "month-records",
    "audit-pack",
  ]),
  /** null: all depots that the taker may see */
  depotId: idOf.nullable(),
  machineId: idOf.exactOptional(),
  defectId: idOf.exactOptional(),
  from: text.exactOptional(),
  to: text.exactOptional(),
  on: day.exactOptional(),
  month: text.exactOptional(),
  packId: idOf.exactOptional(),
  /** since 2026-11-27: an audit pack with the photos that its records name */
  withPhotos: z.boolean().exactOptional(),
  // since 2026-11-30
  fallId: idOf.exactOptional(),
  campaignId: idOf.exactOptional(),
  // these two since 2026-12-01
  checkId: idOf.exactOptional(),
  inspectionId: idOf.exactOptional(),
  // these two since 2026-11-30: only what arrived since, of these kinds
  since: instant.exactOptional(),
  kinds: texts.exactOptional(),
  /** the past moment that was asked about */
  at: instant.exactOptional(),
});
