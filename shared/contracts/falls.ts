// What is sent and answered about falls and collisions.
import { z } from "zod";
import { partsBent, waysOfFalling } from "../catalogue/falls.ts";
import { reasonSchema } from "./clearance.ts";
import { idSchema, instantSchema, standingSchema, takenThoughNotValid, textSchema } from "./common.ts";
import { limits } from "./limits.ts";
import { hungPhotoSchema } from "./photos.ts";

export const fallBodySchema = z
  .strictObject({
    id: idSchema,
    happenedAt: instantSchema,
    hit: textSchema(limits.fallWords).meta({
      description: `what it struck or how it went down: ${waysOfFalling.join(", ")}, or in own words`,
      example: "slid",
    }),
    bent: z
      .array(textSchema(limits.fallWords))
      .max(limits.partsBent)
      .optional()
      .meta({
        description: `what looks bent or broken: ${partsBent.join(", ")}, or in own words`,
        example: ["handlebar", "footrest"],
      }),
    note: textSchema(limits.note).optional(),
    photoIds: z.array(idSchema).max(limits.photos).optional(),
    odometerKm: z.number().int().min(0).max(limits.odometerKm).optional(),
  })
  .meta({ id: "ReportFallBody", description: takenThoughNotValid });
export type ReportFallBody = z.infer<typeof fallBodySchema>;

/** What was said of a fall, in words as they were sent. */
const told = {
  hit: z.string(),
  bent: z.array(z.string()),
  note: z.string().nullable(),
  odometerKm: z.number().int().nullable(),
};

const inspectedBetween = instantSchema
  .nullable()
  .meta({ description: "an inspection made after the fall and on record before its report: it does not count as the one that is due" });

export const fallReceiptSchema = z
  .object({
    fall: z.object({ id: idSchema, machineId: idSchema, staffId: idSchema, happenedAt: instantSchema, recordedAt: instantSchema, ...told }),
    machine: z.object({ id: idSchema, standing: standingSchema, reasons: z.array(reasonSchema) }),
    inspectedBetween,
    flags: z.array(z.string()).meta({ description: "what was odd about the report; it counts all the same" }),
    caution: z.string(),
  })
  .meta({ id: "FallReceipt" });
export type FallReceipt = z.infer<typeof fallReceiptSchema>;

export const fallSchema = z
  .object({
    id: idSchema,
    machineId: idSchema,
    registrationMark: z.string(),
    depotId: idSchema.meta({ description: "where the machine was when it was reported" }),
    reportedBy: idSchema,
    happenedAt: instantSchema,
    recordedAt: instantSchema,
    told: z.object(told).nullable().meta({ description: "null once what was said was forgotten" }),
    flags: z.array(z.string()),
    inspectedBetween,
    inspection: z
      .object({ id: idSchema, staffId: idSchema, performedAt: instantSchema })
      .nullable()
      .meta({ description: "the inspection after it; null as long as there is none" }),
    photos: z.array(hungPhotoSchema),
    photosAwaited: z.array(idSchema).meta({ description: "named by its report and not arrived" }),
  })
  .meta({ id: "Fall" });
export type Fall = z.infer<typeof fallSchema>;
