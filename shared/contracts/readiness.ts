// The board: every machine's standing with its reasons, and the totals.
import { z } from "zod";
import { reasonSchema } from "./clearance.ts";
import { idSchema, instantSchema, standingSchema } from "./common.ts";

export const readinessQuerySchema = z.strictObject({ depotId: idSchema.optional(), at: instantSchema.optional() });

export const watchQuerySchema = readinessQuerySchema.pick({ depotId: true });

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
        groundedAt: instantSchema
          .nullable()
          .meta({ description: "since when the first of what stands against it now grounds or withdraws it; null where nothing does" }),
      }),
    ),
    caution: z.string(),
  })
  .meta({ id: "Readiness" });
export type Readiness = z.infer<typeof readinessSchema>;
