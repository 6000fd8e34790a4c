// What an answer says of a machine: whether it may be ridden, until when, and each reason why not.
import { z } from "zod";
import { categorySchema, daySchema, idSchema, instantSchema } from "./common.ts";

export const reasonSchema = z
  .object({
    code: z.string().meta({ description: "stable; the text is for people" }),
    text: z.string(),
    defectId: idSchema.optional(),
    fallId: idSchema.optional().meta({ description: "the fall after which nobody has inspected it" }),
    itemId: z.string().nullable().optional(),
    words: z.string().optional().meta({ description: "where no item was named: the first words of what was written instead" }),
    category: categorySchema.optional(),
    day: daySchema.optional(),
    paperKind: z.string().optional(),
    observationIds: z.array(z.string()).optional().meta({ description: "what was seen of the rider" }),
    held: z.string().optional().meta({ description: "the rider's licence class" }),
    needed: z.string().optional().meta({ description: "the licence class that the machine takes" }),
    expectedDay: daySchema.optional().meta({ description: "the defect waits for a part, or the machine is away: expected on that day" }),
    workshop: z.string().optional().meta({ description: "where the machine is away" }),
    workId: idSchema.optional().meta({ description: "the record of that" }),
    campaign: z.string().optional().meta({ description: "the name of the campaign that the defect is the job of" }),
    campaignId: idSchema.optional(),
    part: z.string().optional().meta({ description: "the first words of what it waits for" }),
  })
  .meta({ id: "Reason" });

export const clearanceSchema = z
  .object({
    decision: z.enum(["ride", "ride-with-defects", "do-not-ride"]),
    validUntil: instantSchema.nullable(),
    reasons: z.array(reasonSchema),
    caution: z.string(),
  })
  .meta({ id: "Clearance" });
