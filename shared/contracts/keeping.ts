// Keeping and forgetting: legal holds, what is due to be forgotten and why, and people who have left.
import { z } from "zod";
import { daySchema, idSchema, instantSchema, pageOf, pageQuerySchema, textSchema } from "./common.ts";

const reasonSchema = textSchema(2000);

export const holdBodySchema = z
  .strictObject({
    id: idSchema,
    machineId: idSchema.optional(),
    depotId: idSchema.optional().meta({ description: "All records of the depot, and of the machines that are there now" }),
    reason: reasonSchema,
  })
  .refine(({ machineId, depotId }) => machineId === undefined || depotId === undefined, {
    path: ["depotId"],
    message: "is left out where a machine is named; without either the whole firm is held",
  });
export type HoldBody = z.infer<typeof holdBodySchema>;

export const holdParamsSchema = z.strictObject({ id: idSchema });
export const liftBodySchema = z.strictObject({ reason: reasonSchema });
export type LiftBody = z.infer<typeof liftBodySchema>;

export const holdSchema = z
  .object({
    id: idSchema,
    machineId: idSchema.nullable(),
    registrationMark: z.string().nullable(),
    depotId: idSchema.nullable().meta({ description: "null beside a null machine: the whole firm" }),
    reason: z.string(),
    placedBy: idSchema,
    placedAt: instantSchema,
    lifted: z.object({ by: idSchema, at: instantSchema, reason: z.string() }).nullable(),
  })
  .meta({ id: "LegalHold", description: "Nothing under a hold that is not lifted is forgotten" });
export type LegalHold = z.infer<typeof holdSchema>;

export const holdListQuerySchema = pageQuerySchema.extend({ state: z.enum(["standing", "lifted", "all"]).default("all") });
export const holdListSchema = pageOf(holdSchema);

export const retentionSchema = z
  .object({
    keepMonths: z.number().int().meta({ description: "The firm's choice, never below the published 15" }),
    untilDay: daySchema.meta({ description: "The last day whose records' time is over" }),
    classes: z.array(
      z.object({
        id: z.string(),
        name: z.string(),
        months: z.number().int().nullable().meta({ description: "null: kept while needed" }),
        reason: z.string(),
        kinds: z.array(z.string()),
        due: z.number().int().meta({ description: "Records that the next run forgets" }),
        held: z.number().int().meta({ description: "Records whose time is over and that a hold keeps" }),
      }),
    ),
    due: z.number().int(),
    held: z.number().int(),
    standingHolds: z.number().int(),
  })
  .meta({ id: "Retention" });
export type Retention = z.infer<typeof retentionSchema>;

export const anonymiseBodySchema = z.strictObject({
  reason: reasonSchema.meta({ description: "Who asked for it and when; it is kept, so the person is not named in it" }),
});
export type AnonymiseBody = z.infer<typeof anonymiseBodySchema>;
