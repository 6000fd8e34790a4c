// The board: every machine's standing with its reasons, and the totals.
import { z } from "zod";
import { reasonSchema } from "./clearance.ts";
import { daySchema, idSchema, instantSchema, standingSchema } from "./common.ts";

export const readinessQuerySchema = z.strictObject({ depotId: idSchema.optional(), at: instantSchema.optional() });

export const watchQuerySchema = readinessQuerySchema.pick({ depotId: true });

export const putRightOftenSchema = z
  .object({
    itemId: z.string(),
    observationId: z.string(),
    times: z.number().int(),
    sinceDay: daySchema.meta({ description: "of the first time within the last four weeks" }),
    lastAt: instantSchema,
    text: z.string(),
  })
  .meta({
    id: "PutRightOften",
    description: "Something that riders put right on the spot three times within four weeks, and nobody of the workshop has looked since",
  });
export type PutRightOftenSaid = z.infer<typeof putRightOftenSchema>;

export const readinessSchema = z
  .object({
    depotId: idSchema.nullable(),
    at: instantSchema,
    totals: z.record(standingSchema, z.number().int()),
    machines: z.array(
      z.object({
        machineId: idSchema,
        registrationMark: z.string(),
        depotId: idSchema,
        standing: standingSchema,
        reasons: z.array(reasonSchema),
        putRightOften: z.array(putRightOftenSchema).meta({ description: "questions to the workshop; they ground nothing" }),
        groundedAt: instantSchema
          .nullable()
          .meta({ description: "since when the first of what stands against it now grounds or withdraws it; null where nothing does" }),
      }),
    ),
    caution: z.string(),
  })
  .meta({ id: "Readiness" });
export type Readiness = z.infer<typeof readinessSchema>;
