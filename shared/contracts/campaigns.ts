// What is sent and answered about campaigns: a maker's recall, or a fault found in one machine of a model.
import { z } from "zod";
import { daySchema, idSchema, instantSchema, pageOf, pageQuerySchema, textSchema } from "./common.ts";
import { limits } from "./limits.ts";

const covers = (most: number) => z.array(idSchema).max(most).optional();

export const addCampaignBodySchema = z
  .strictObject({
    id: idSchema,
    name: textSchema(limits.campaignName).meta({ example: "Front brake hose: maker's notice 7/26" }),
    modelIds: covers(limits.campaignModels).meta({ description: "every machine of these models, also one that comes later" }),
    machineIds: covers(limits.campaignMachines).meta({ description: "machines one by one, also beside models" }),
    itemId: textSchema(80).optional().meta({
      description:
        "the item of the sheets that it is about: its competence signs, and where that item asks for a second person, so does the job",
      example: "front-hydraulics",
    }),
    job: textSchema(limits.note).meta({ description: "what is to be inspected or done on each, and why" }),
    grounds: z.boolean().meta({
      description: "true: each machine stands still until its job is signed off. false: it may be ridden until the last day",
    }),
    dueDay: daySchema.meta({ description: "the last day" }),
  })
  .refine(({ modelIds = [], machineIds = [] }) => modelIds.length + machineIds.length > 0, {
    message: "say which models or which machines it covers",
    path: ["modelIds"],
  })
  .meta({ id: "AddCampaignBody" });
export type AddCampaignBody = z.infer<typeof addCampaignBodySchema>;

export const endCampaignBodySchema = z.strictObject({ id: idSchema, reason: textSchema(limits.note) }).meta({ id: "EndCampaignBody" });
export type EndCampaignBody = z.infer<typeof endCampaignBodySchema>;

/** Where a campaign's job stands on one machine. */
export const jobStates = ["open", "waiting", "repaired", "done", "nothing-found", "left"] as const;
const jobStateSchema = z.enum(jobStates).meta({
  id: "CampaignJobState",
  description:
    "open; waiting for a part; repaired and waiting for a sign-off; done, which is signed off; nothing found when it was looked at; left: sold or scrapped before it was done",
});

const totalsSchema = z.object({
  ...{ machines: z.int(), open: z.int(), waiting: z.int(), repaired: z.int(), done: z.int(), "nothing-found": z.int(), left: z.int() },
  late: z.int().meta({ description: "not done, and the last day is over" }),
  grounded: z.int().meta({ description: "kept off the road by this campaign now" }),
});

export const campaignSchema = z
  .object({
    id: idSchema,
    name: z.string(),
    itemId: z.string().nullable().meta({ description: "the item of the sheets that it is about; null: any mechanic signs" }),
    job: z.string(),
    grounds: z.boolean(),
    dueDay: daySchema,
    models: z.array(z.object({ id: idSchema, name: z.string() })),
    machines: z.array(z.object({ id: idSchema, registrationMark: z.string() })).meta({ description: "those that were named one by one" }),
    depots: z
      .array(z.object({ id: idSchema, name: z.string() }))
      .nullable()
      .meta({ description: "the depots whose machines it covers: those of its author; null: all" }),
    addedBy: z.object({ staffId: idSchema, name: z.string() }),
    addedAt: instantSchema,
    ended: z
      .object({ staffId: idSchema, name: z.string(), at: instantSchema, reason: z.string() })
      .nullable()
      .meta({ description: "it covers no further machine; what was open on machines stays open there" }),
    totals: totalsSchema.meta({ description: "of the machines of your own depots" }),
  })
  .meta({ id: "Campaign" });
export type Campaign = z.infer<typeof campaignSchema>;

export const campaignJobSchema = z
  .object({
    machineId: idSchema,
    registrationMark: z.string(),
    model: z.string(),
    depotId: idSchema,
    depot: z.string(),
    defectId: idSchema.nullable().meta({ description: "null as long as the job is not open there, which takes a minute at most" }),
    state: jobStateSchema,
    expectedDay: daySchema.nullable().meta({ description: "the part for which it waits is expected on that day" }),
    doneDay: daySchema.nullable().meta({ description: "when it was signed off, or nothing was found" }),
    doneBy: z.string().nullable(),
    late: z.boolean(),
    grounded: z.boolean().meta({ description: "this campaign keeps it off the road now" }),
  })
  .meta({ id: "CampaignJob" });
export type CampaignJob = z.infer<typeof campaignJobSchema>;

export const campaignWithProgressSchema = campaignSchema
  .extend({ progress: z.array(campaignJobSchema).meta({ description: "the machines of your own depots, by mark" }) })
  .meta({ id: "CampaignWithProgress" });
export type CampaignWithProgress = z.infer<typeof campaignWithProgressSchema>;

export const campaignListQuerySchema = pageQuerySchema.extend({
  depotId: idSchema.optional(),
  state: z.enum(["running", "ended", "all"]).default("all"),
});
export const campaignListSchema = pageOf(campaignSchema);
