// What is sent and answered about the papers of a machine, and how one is ended.
import { z } from "zod";
import { endingReasons, paperKinds } from "../rules/papers.ts";
import { reasonSchema } from "./clearance.ts";
import { daySchema, idSchema, instantSchema, pageOf, standingSchema, textSchema } from "./common.ts";
import { limits } from "./limits.ts";
import { hungPhotoSchema } from "./photos.ts";

export const paperKindSchema = z.enum(paperKinds).meta({ id: "PaperKind" });

export const paperBodySchema = z
  .strictObject({
    id: idSchema
      .optional()
      .meta({ description: "made by the client, where it may have to send this again: a repetition answers what was stored" }),
    kind: paperKindSchema,
    number: textSchema(limits.paperNumber),
    validFrom: daySchema.meta({ description: "it does not count before that" }),
    validTo: daySchema.meta({ description: "the last day of validity" }),
    photoIds: z
      .array(idSchema)
      .max(limits.photos)
      .optional()
      .meta({ description: "the paper itself, sent to /v1/photos as a picture of each page" }),
  })
  .refine((paper) => paper.validFrom <= paper.validTo, { message: "is before validFrom", path: ["validTo"] })
  .meta({ id: "PaperBody" });
export type PaperBody = z.infer<typeof paperBodySchema>;

export const endingReasonSchema = z.enum(endingReasons).meta({
  id: "PaperEndingReason",
  description:
    "`mistaken` counts for nothing from the start; `failed` is of a roadworthiness test only, and may ground by the depot's rule set",
});

export const paperEndingSchema = z
  .object({
    id: idSchema,
    day: daySchema.meta({ description: "the first day on which it counts no longer" }),
    reason: endingReasonSchema,
    note: z.string().nullable(),
    grounds: z.boolean().meta({ description: "a failed test that grounds until a test that begins on that day or later" }),
    staffId: idSchema,
    staffNumber: z.string().nullable().meta({ description: "who recorded it; null for riders, who need not know" }),
    staffName: z.string().nullable(),
    recordedAt: instantSchema,
  })
  .meta({ id: "PaperEnding" });

export const paperSchema = z
  .object({
    id: idSchema,
    machineId: idSchema,
    kind: paperKindSchema,
    number: z.string(),
    validFrom: daySchema,
    validTo: daySchema.meta({ description: "the last day of validity, as the paper says" }),
    recordedAt: instantSchema,
    lastDay: daySchema.nullable().meta({ description: "the last day on which it counts, with its ending; null: it never counted" }),
    ending: paperEndingSchema.nullable(),
    warnings: z
      .array(z.object({ code: z.enum(["unusually-long"]), message: z.string() }))
      .meta({ description: "odd but kept: compare it with the paper itself, and end one that was mistyped as `mistaken`" }),
  })
  .meta({ id: "Paper" });
export type Paper = z.infer<typeof paperSchema>;

/** A paper in the list: what its receipt says, and the pictures of it that have arrived since. */
const listedPaperSchema = paperSchema
  .extend({
    photos: z.array(hungPhotoSchema).meta({ description: "the paper itself" }),
    photosAwaited: z.array(idSchema).meta({ description: "pictures that its record names and that have not arrived" }),
  })
  .meta({ id: "ListedPaper" });
export type ListedPaper = z.infer<typeof listedPaperSchema>;
export const paperListSchema = pageOf(listedPaperSchema);

export const paperEndingBodySchema = z
  .strictObject({
    id: idSchema
      .optional()
      .meta({ description: "made by the client, where it may have to send this again: a repetition answers what was stored" }),
    day: daySchema.meta({
      description:
        "the first day on which it counts no longer, in the time zone of the machine's depot; of one entered by mistake, the day on which that was noticed",
    }),
    reason: endingReasonSchema,
    note: textSchema(limits.paperNote).optional(),
  })
  .meta({ id: "PaperEndingBody" });
export type PaperEndingBody = z.infer<typeof paperEndingBodySchema>;

/** What came of an ending: the paper with it, and where its machine stands. */
export const paperEndedSchema = z
  .object({
    ...paperEndingSchema.shape,
    paperId: idSchema,
    machineId: idSchema,
    paper: paperSchema,
    clearancesEnded: z.boolean().meta({ description: "from this moment on nobody is cleared to ride this machine" }),
    standing: standingSchema,
    reasons: z.array(reasonSchema),
    caution: z.string(),
  })
  .meta({ id: "PaperEnded" });
export type PaperEnded = z.infer<typeof paperEndedSchema>;
