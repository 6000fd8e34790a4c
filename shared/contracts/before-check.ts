// What the rider of a check is told beside the answer: what was put right since the machine was last cleared, and who else checked it today.
import { z } from "zod";
import { clearanceSchema } from "./clearance.ts";
import { idSchema, instantSchema } from "./common.ts";

export const beforeCheckSchema = z
  .object({
    putRight: z
      .array(
        z.object({
          defectId: idSchema,
          itemId: z.string().nullable(),
          how: z.enum(["signed-off", "not-found"]),
          at: instantSchema,
          by: z.string(),
          campaign: z.string().optional().meta({ description: "the name of the campaign that it was the job of" }),
        }),
      )
      .meta({ description: "closed since the machine was last cleared for anybody, newest first, and who signed for it (49 CFR 396.13)" }),
    checkedToday: z
      .object({ at: instantSchema, decision: clearanceSchema.shape.decision })
      .nullable()
      .meta({ description: "the newest check that somebody else had made that day: it cleared them, not you" }),
  })
  .meta({ id: "BeforeCheck", description: "what its rider is told of the machine's time before the check" });
export type BeforeCheck = z.infer<typeof beforeCheckSchema>;
