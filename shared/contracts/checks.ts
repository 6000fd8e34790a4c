// What is sent and answered about daily checks and weekly inspections.
import { z } from "zod";
import { beforeCheckSchema } from "./before-check.ts";
import { clearanceSchema, reasonSchema } from "./clearance.ts";
import {
  categorySchema,
  daySchema,
  idSchema,
  inOrder,
  instantSchema,
  pageOf,
  pageQuerySchema,
  periodShape,
  standingSchema,
  takenThoughNotValid,
  textSchema,
} from "./common.ts";
import { limits } from "./limits.ts";
import { quantitySchema, unitSchema } from "./quantities.ts";
import { limitSchema } from "./sheets.ts";

const answerShape = {
  itemId: textSchema(80),
  result: z.enum(["ok", "defect", "not-applicable"]),
  observationIds: z.array(textSchema(120)).max(limits.observations).optional(),
  note: textSchema(limits.note).optional(),
  photoIds: z.array(idSchema).max(limits.photos).optional(),
};

export const proofReadingSchema = z
  .strictObject({
    value: z.number().finite(),
    unit: unitSchema.optional().meta({ description: "of the gauge at hand; the unit that the sheet asks for where it is left out" }),
    readTwice: z.boolean().optional().meta({ description: "the reading was asked about and was read again: it stands as sent" }),
    load: z.enum(["solo", "laden"]).optional().meta({ description: "which handbook pressure the tyre is set to; solo unless said" }),
  })
  .meta({ id: "ProofReading" });

export const dailyAnswerSchema = z
  .strictObject({
    ...answerShape,
    result: z
      .enum(["ok", "defect", "put-right", "not-applicable"])
      .meta({ description: "`put-right`: done on the spot, where the sheet says `riderMayPutRight` of what was seen; no defect" }),
    reading: proofReadingSchema.optional().meta({ description: "taken after it was put right; judged as any reading is" }),
  })
  .meta({ id: "DailyAnswer" });
export type DailyAnswer = z.infer<typeof dailyAnswerSchema>;

const odometerKmSchema = z.number().int().min(0).max(limits.odometerKm);

export const dailyCheckBodySchema = z
  .strictObject({
    id: idSchema,
    machineId: idSchema,
    sheetVersion: textSchema(40),
    performedAt: instantSchema,
    durationSeconds: z.number().int().min(0).max(limits.checkSeconds),
    odometerKm: odometerKmSchema,
    answers: z.array(dailyAnswerSchema).max(100),
    proof: proofReadingSchema.optional(),
    odometerRead: z
      .boolean()
      .optional()
      .meta({ description: "false where the last known figure was confirmed and nobody read the odometer" }),
  })
  .meta({ id: "DailyCheckBody", description: takenThoughNotValid });
export type DailyCheckBody = z.infer<typeof dailyCheckBodySchema>;

export const actionSchema = z.enum(["adjusted", "lubricated", "topped-up", "cleaned", "tightened", "replaced"]).meta({ id: "Action" });

export const weeklyAnswerSchema = z
  .strictObject({
    ...answerShape,
    asFound: z.number().finite().optional(),
    asLeft: z.number().finite().optional(),
    unit: unitSchema.optional(),
    places: z
      .array(z.number().finite())
      .min(2)
      .max(limits.places)
      .optional()
      .meta({ description: "as found at several places; the worst of them decides, and is asFound where that is left out" }),
    celsius: z
      .number()
      .min(limits.celsius.least)
      .max(limits.celsius.most)
      .optional()
      .meta({ description: "of the air, for a tyre pressure: its trend is compared at one temperature" }),
    load: z.enum(["solo", "laden"]).optional().meta({ description: "which handbook pressure the tyre is set to; solo unless said" }),
    readTwice: z.boolean().optional().meta({ description: "the reading was asked about and was read again: it stands as sent" }),
    actions: z.array(actionSchema).max(6).optional(),
    advisories: z
      .array(z.strictObject({ defectId: idSchema, now: z.enum(["stays", "gone", "worse"]) }))
      .max(limits.observations)
      .optional()
      .meta({ description: "of the open advisories of this part: an inspection says of each how it is now" }),
  })
  .meta({ id: "WeeklyAnswer" });
export type WeeklyAnswer = z.infer<typeof weeklyAnswerSchema>;

export const weeklyInspectionBodySchema = z
  .strictObject({
    id: idSchema,
    machineId: idSchema,
    sheetVersion: textSchema(40),
    performedAt: instantSchema,
    durationSeconds: z.number().int().min(0).max(604_800).optional(),
    odometerKm: odometerKmSchema,
    answers: z.array(weeklyAnswerSchema).max(150),
  })
  .meta({ id: "WeeklyInspectionBody", description: takenThoughNotValid });
export type WeeklyInspectionBody = z.infer<typeof weeklyInspectionBodySchema>;

export const draftAnswerSchema = weeklyAnswerSchema
  .partial({ result: true })
  .meta({ id: "DraftAnswer", description: "as a weekly answer; without a result it is not given yet" });

/** Who, besides the signer, answered items of an inspection. */
const measuredBySchema = z.array(z.object({ staffId: idSchema, itemIds: z.array(z.string()) }));

export const inspectionDraftBodySchema = z
  .strictObject({
    machineId: idSchema,
    sheetVersion: textSchema(40),
    revision: z.number().int().min(0).max(1_000_000).meta({ description: "the revision that was read; 0 for a new draft" }),
    odometerKm: odometerKmSchema.optional(),
    answers: z.array(draftAnswerSchema).max(150),
    notes: textSchema(limits.draftNotes).optional(),
  })
  .meta({ id: "InspectionDraftBody" });
export type InspectionDraftBody = z.infer<typeof inspectionDraftBodySchema>;

export const inspectionDraftSchema = z
  .object({
    id: idSchema,
    machineId: idSchema,
    registrationMark: z.string(),
    depotId: idSchema,
    sheetVersion: z.string(),
    revision: z.number().int(),
    odometerKm: z.number().int().nullable(),
    answers: z.array(draftAnswerSchema),
    notes: z.string().nullable(),
    begunBy: idSchema,
    begunAt: instantSchema,
    savedBy: idSchema,
    savedAt: instantSchema,
    measuredBy: z
      .array(z.object({ staffId: idSchema, name: z.string(), itemIds: z.array(z.string()) }))
      .meta({ description: "who answered which items so far; their names stand in the record beside the one who signs" }),
    expiresAt: instantSchema.meta({ description: "it is gone then, unless it is saved again" }),
  })
  .meta({ id: "InspectionDraft" });
export type InspectionDraft = z.infer<typeof inspectionDraftSchema>;
export const inspectionDraftListSchema = pageOf(inspectionDraftSchema);
export const draftListQuerySchema = pageQuerySchema.extend({ machineId: idSchema.optional(), depotId: idSchema.optional() });

/** A defect in an answer to a check: what came of one finding. */
export const checkDefectSchema = z
  .object({
    id: idSchema,
    itemId: z.string().nullable(),
    observationIds: z.array(z.string()),
    category: categorySchema,
    status: z.enum(["open", "deferred", "repaired"]),
    dueDay: daySchema.nullable(),
    sighting: z.boolean().meta({ description: "true where an open defect was seen again" }),
    recurringOf: idSchema.nullable(),
    signedOffBetween: idSchema.nullable().meta({ description: "a sign-off made after this was seen and before it arrived" }),
  })
  .meta({ id: "CheckDefect" });

const sheetSha256Schema = z.string().nullable().meta({
  description: "SHA-256 of everything that this version of the sheet says; null in older records, and for a version that never was",
});

export const dailyCheckSchema = z
  .object({
    id: idSchema,
    machineId: idSchema,
    staffId: idSchema,
    sheetVersion: z.string(),
    sheetSha256: sheetSha256Schema,
    performedAt: instantSchema,
    recordedAt: instantSchema,
    durationSeconds: z.number().int(),
    odometerKm: z.number().int(),
    answers: z.array(dailyAnswerSchema),
    proof: proofReadingSchema.nullable(),
    odometerRead: z.boolean().nullable().meta({ description: "whether somebody read it; null where nobody said" }),
    flags: z.array(z.string()).meta({ description: "what was odd about it, kept with it" }),
    defectIds: z.array(idSchema),
    decision: clearanceSchema.shape.decision,
    validUntil: instantSchema.nullable(),
  })
  .meta({ id: "DailyCheck" });
export type DailyCheck = z.infer<typeof dailyCheckSchema>;

const valueVerdictSchema = z.object({
  outcome: z.enum(["within", "adjust", "renew-soon", "fails", "not-set"]),
  category: categorySchema.nullable(),
  limit: limitSchema,
  offBy: z.number(),
});

export const readingVerdictSchema = z
  .object({
    itemId: z.string(),
    quantity: quantitySchema,
    reading: z.object({ asFound: z.number(), asLeft: z.number().optional(), unit: unitSchema }),
    asFound: valueVerdictSchema,
    asLeft: valueVerdictSchema.nullable(),
    result: z.enum(["within", "corrected", "defect", "not-set"]),
    category: categorySchema.nullable(),
  })
  .meta({ id: "ReadingVerdict" });

export const putRightSchema = z
  .object({
    itemId: z.string(),
    observationIds: z.array(z.string()),
    note: z.string().nullable(),
    isRight: z.boolean().meta({ description: "false where the reading after it is outside its limits: a defect" }),
    load: z.enum(["solo", "laden"]).nullable(),
    verdict: readingVerdictSchema.nullable().meta({ description: "on the reading after it; null where none was taken" }),
  })
  .meta({ id: "PutRight" });

const riderOfCheckSchema = z
  .object({
    stopped: z
      .boolean()
      .meta({ description: "this rider may not ride, by what they wear or by their licence; the machine's standing is what it was" }),
    findings: z.array(
      z.object({ itemId: z.string(), observationIds: z.array(z.string()), category: categorySchema, note: z.string().nullable() }),
    ),
  })
  .meta({ id: "RiderOfCheck" });

const tookSchema = z
  .object({
    seconds: z.number().int(),
    usualSeconds: z.number().int().meta({ description: "what a practised rider takes: common practice" }),
    leastSeconds: z.number().int().meta({ description: "by the firm's policy, in less nobody looks at each item" }),
    quick: z.boolean(),
    text: z.string(),
  })
  .meta({ id: "CheckTook", description: "what the check took beside what it takes: a fact, no score, and no reason to refuse it" });

export const dailyCheckReceiptSchema = z
  .object({
    check: dailyCheckSchema,
    clearance: clearanceSchema,
    defects: z.array(checkDefectSchema),
    putRight: z
      .array(putRightSchema)
      .meta({ description: "what the rider did on the spot; what was sent as put right and is not here is among the defects" }),
    rider: riderOfCheckSchema,
    proof: readingVerdictSchema
      .nullable()
      .meta({ description: "the verdict on the reading of the day; null where there was nothing to judge" }),
    took: tookSchema.nullable().meta({ description: "null in older records" }),
    before: beforeCheckSchema,
  })
  .meta({ id: "DailyCheckReceipt" });
export type DailyCheckReceipt = z.infer<typeof dailyCheckReceiptSchema>;

export const weeklyInspectionSchema = z
  .object({
    id: idSchema,
    machineId: idSchema,
    staffId: idSchema.meta({ description: "who signed it" }),
    measuredBy: measuredBySchema.meta({ description: "others who looked and measured, and where; empty: the one who signed" }),
    sheetVersion: z.string(),
    sheetSha256: sheetSha256Schema,
    performedAt: instantSchema,
    recordedAt: instantSchema,
    odometerKm: z.number().int(),
    modelRevision: z.number().int().meta({ description: "the handbook figures that it was judged against" }),
    answers: z.array(weeklyAnswerSchema),
    verdicts: z.array(readingVerdictSchema),
    flags: z.array(z.string()),
    defectIds: z.array(idSchema),
  })
  .meta({ id: "WeeklyInspection" });
export type WeeklyInspection = z.infer<typeof weeklyInspectionSchema>;

export const guidanceSchema = z.object({ itemId: z.string(), code: z.string(), text: z.string() }).meta({ id: "Guidance" });

export const weeklyInspectionReceiptSchema = z
  .object({
    inspection: weeklyInspectionSchema,
    standing: standingSchema,
    reasons: z.array(reasonSchema),
    defects: z.array(checkDefectSchema),
    closed: z
      .array(z.object({ id: idSchema, itemId: z.string().nullable(), status: z.enum(["signed-off", "not-found"]) }))
      .meta({ description: "minor defects of parts that it left as they should be: closed by it" }),
    guidance: z.array(guidanceSchema),
    caution: z.string(),
  })
  .meta({ id: "WeeklyInspectionReceipt" });
export type WeeklyInspectionReceipt = z.infer<typeof weeklyInspectionReceiptSchema>;

export const reviewedDraftSchema = z
  .object({
    draft: inspectionDraftSchema,
    issues: z
      .array(z.object({ pointer: z.string(), message: z.string() }))
      .meta({ description: "what is still missing or has to be read again before it can be submitted" }),
    verdicts: z.array(readingVerdictSchema),
    guidance: z.array(guidanceSchema),
  })
  .meta({ id: "ReviewedDraft" });
export type ReviewedDraftAnswer = z.infer<typeof reviewedDraftSchema>;

export const checkListQuerySchema = inOrder(
  pageQuerySchema.extend({
    machineId: idSchema.optional(),
    depotId: idSchema.optional(),
    staffId: idSchema.optional(),
    ...periodShape,
  }),
);

export const forgottenBySchema = idSchema
  .nullable()
  .meta({ description: "The entry that records that its answers were forgotten when their time was over; what else it says is left" });

/** A list also shows a record whose answers were forgotten. */
export const listedDailyCheckSchema = dailyCheckSchema
  .extend({ sheetVersion: z.string().nullable(), forgottenBy: forgottenBySchema })
  .meta({ id: "ListedDailyCheck" });
export type ListedDailyCheck = z.infer<typeof listedDailyCheckSchema>;

export const dailyCheckListSchema = pageOf(listedDailyCheckSchema);
