// Audit packs: how one is asked for, how far it is, and how it is fetched.
import { z } from "zod";
import { idSchema, instantSchema, monthSchema } from "./common.ts";
import { sha256Schema } from "./records.ts";

export const auditPackBodySchema = z.strictObject({
  month: monthSchema,
  depotId: idSchema.optional().meta({ description: "Left out: the whole firm, for somebody of all depots" }),
  photos: z.boolean().optional().meta({ description: "With every photo that its records name: a much larger pack; left out: without" }),
});
export type AuditPackBody = z.infer<typeof auditPackBodySchema>;

/** Why a pack could not be made; the words are `audit.failure.<why>`. */
export const packFailureSchema = z.enum(["disk-full", "ended-each-time", "fault"]);
export type PackFailure = z.infer<typeof packFailureSchema>;

/** What a pack cannot prove; the words are `audit.cannot.<what>`. */
export const packCannotSchema = z.enum(["left-out"]);

export const auditPackSchema = z
  .object({
    id: idSchema,
    month: z.string(),
    depotId: idSchema.nullable(),
    photos: z.boolean(),
    state: z.enum(["waiting", "working", "ready", "failed"]),
    progress: z.number().min(0).max(1),
    counts: z
      .object({
        records: z.number().int(),
        chains: z.number().int(),
        gaps: z.number().int().meta({
          description:
            "Records that lie between those of the pack in their chains: of another month or, in the pack of one depot, of another depot",
        }),
      })
      .nullable(),
    cannotProve: z
      .array(z.object({ code: packCannotSchema, text: z.string() }))
      .meta({ description: "Beside what no pack proves (read-me.txt says it): what this one leaves open, and another would prove" }),
    checkpoint: z.number().int().nullable().meta({ description: "The checkpoint that its proofs lead to" }),
    bytes: z.number().int().nullable(),
    sha256: sha256Schema.nullable().meta({ description: "Of the ZIP as it is fetched" }),
    failure: z.string().nullable(),
    failureCode: packFailureSchema.nullable(),
    requestedBy: idSchema,
    requestedAt: instantSchema,
    endedAt: instantSchema.nullable(),
  })
  .meta({ id: "AuditPack" });
export type AuditPack = z.infer<typeof auditPackSchema>;
export const auditPackParamsSchema = z.strictObject({ id: idSchema });
