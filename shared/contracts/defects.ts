// What is sent and answered about defects and their course.
import { z } from "zod";
import { reasonSchema } from "./clearance.ts";
import {
  categorySchema,
  competenceSchema,
  daySchema,
  idSchema,
  inOrder,
  instantSchema,
  listOf,
  pageOf,
  pageQuerySchema,
  periodShape,
  standingSchema,
  takenThoughNotValid,
  textSchema,
} from "./common.ts";
import { limits } from "./limits.ts";
import { secretBesideShape } from "./people.ts";
import { hungPhotoSchema } from "./photos.ts";
import { quantitySchema, readingSchema } from "./quantities.ts";

export const defectStatusSchema = z.enum(["open", "deferred", "repaired", "signed-off", "not-found"]).meta({ id: "DefectStatus" });

export const reportDefectBodySchema = z
  .strictObject({
    id: idSchema,
    machineId: idSchema,
    seenAt: instantSchema,
    itemId: textSchema(80).optional(),
    observationIds: z.array(textSchema(120)).max(limits.observations).optional(),
    note: textSchema(limits.note).optional(),
    photoIds: z.array(idSchema).max(limits.photos).optional(),
    paperId: idSchema.optional().meta({
      description:
        "the roadworthiness test of this machine on whose paper the examiner advised it, in words: it becomes an advisory. For mechanics and managers.",
    }),
  })
  .refine((body) => body.paperId === undefined || (body.note !== undefined && (body.observationIds ?? []).length === 0), {
    message: "give the examiner's own words as a note, without observations",
    path: ["note"],
  })
  .refine((body) => body.itemId !== undefined || (body.observationIds ?? []).length > 0 || body.note !== undefined, {
    message: "say what was seen: an item, an observation or a note",
    path: ["note"],
  })
  .meta({ id: "ReportDefectBody", description: takenThoughNotValid });
export type ReportDefectBody = z.infer<typeof reportDefectBodySchema>;

export const repairBodySchema = z
  .strictObject({
    id: idSchema,
    performedAt: instantSchema,
    workDone: textSchema(limits.workDone),
    minutes: z.number().int().min(0).max(limits.minutes).optional(),
    parts: z
      .array(
        z
          .strictObject({
            name: textSchema(limits.partName)
              .optional()
              .meta({ description: "left out beside a number: as the list of parts has it, or the number itself" }),
            quantity: z.number().positive().max(limits.partQuantity),
            number: textSchema(limits.partNumber).optional(),
          })
          .refine(({ name, number }) => name !== undefined || number !== undefined, { message: "say which part", path: ["name"] }),
      )
      .max(limits.parts)
      .optional(),
    reading: readingSchema.optional(),
  })
  .meta({ id: "RepairBody" });
export type RepairBody = z.infer<typeof repairBodySchema>;

export const signOffBodySchema = z
  .strictObject({ id: idSchema, statement: textSchema(limits.note).optional(), reading: readingSchema.optional() })
  .meta({ id: "SignOffBody" });
export type SignOffBody = z.infer<typeof signOffBodySchema>;

export const deferralBodySchema = z
  .strictObject({ id: idSchema, untilDay: daySchema, reason: textSchema(limits.note) })
  .meta({ id: "DeferralBody" });
export type DeferralBody = z.infer<typeof deferralBodySchema>;

export const waitForPartBodySchema = z
  .strictObject({
    id: idSchema,
    part: textSchema(limits.partName).meta({ description: "what it waits for, as the mechanic calls it" }),
    reason: textSchema(limits.note),
    expectedDay: daySchema.meta({ description: "the day on which the part is expected: from today to the policy's days from now" }),
  })
  .meta({ id: "WaitForPartBody" });
export type WaitForPartBody = z.infer<typeof waitForPartBodySchema>;

export const addDefectNoteBodySchema = z.strictObject({ id: idSchema, note: textSchema(limits.note) }).meta({ id: "AddDefectNoteBody" });
export type AddDefectNoteBody = z.infer<typeof addDefectNoteBodySchema>;

export const notFoundBodySchema = z
  .strictObject({ id: idSchema, reason: textSchema(limits.note), reading: readingSchema.optional() })
  .meta({ id: "NotFoundBody" });
export type NotFoundBody = z.infer<typeof notFoundBodySchema>;

export const regradeBodySchema = z
  .strictObject({ id: idSchema, category: categorySchema, reason: textSchema(limits.note) })
  .meta({ id: "RegradeBody" });
export type RegradeBody = z.infer<typeof regradeBodySchema>;

export const defectSchema = z
  .object({
    id: idSchema,
    machineId: idSchema,
    registrationMark: z.string(),
    depotId: idSchema,
    itemId: z.string().nullable(),
    item: z.string().nullable().meta({ description: "the item in words" }),
    observationIds: z.array(z.string()),
    observations: z.array(z.string()).meta({ description: "what was seen, in words" }),
    note: z.string().nullable(),
    category: categorySchema,
    grounds: z
      .boolean()
      .meta({ description: "It keeps its machine off the road: by its category, or as a minor one whose last day is over" }),
    status: defectStatusSchema,
    origin: z.enum(["daily-check", "weekly-inspection", "report", "campaign"]),
    originId: idSchema.meta({ description: "the check, the inspection, the report or the campaign" }),
    campaign: z
      .object({ id: idSchema, name: z.string() })
      .nullable()
      .meta({ description: "the campaign whose job it is: category and last day are the campaign's" }),
    reportedBy: idSchema,
    seenAt: instantSchema,
    recordedAt: instantSchema,
    competence: competenceSchema,
    secondPerson: z
      .boolean()
      .meta({ description: "who repaired it may not sign it off, and two have to look before it is closed without a repair" }),
    quantity: quantitySchema.nullable().meta({ description: "a reading of it is due after the repair" }),
    dueDay: daySchema.nullable(),
    waiting: z
      .object({ expectedDay: daySchema, part: z.string().nullable().meta({ description: "null once what its record said was forgotten" }) })
      .nullable()
      .meta({ description: "it waits for a part; a minor defect may be ridden until the day on which that is expected" }),
    firstLook: z
      .object({ finding: z.enum(["not-found", "minor"]), staffId: idSchema })
      .nullable()
      .meta({ description: "one mechanic looked and found that; a second who finds the same closes it, or lowers it to minor" }),
    recurringOf: idSchema.nullable(),
    signedOffBetween: idSchema.nullable(),
    sightings: z.number().int(),
    repairedBy: idSchema.nullable().meta({ description: "who of the firm repaired it last" }),
    repairedAt: z.string().nullable().meta({ description: "the other workshop that repaired it last, in place of somebody of the firm" }),
    closedBy: idSchema.nullable(),
    closedAt: instantSchema.nullable(),
  })
  .meta({ id: "Defect" });
export type Defect = z.infer<typeof defectSchema>;

export const courseStepSchema = z
  .object({
    id: idSchema,
    kind: z.enum(["raised", "sighting", "re-grade", "deferral", "waiting", "note", "repair", "sign-off", "not-found"]),
    sentence: z.string(),
    staffId: idSchema,
    performedAt: instantSchema,
    recordedAt: instantSchema,
    data: z.record(z.string(), z.unknown()).nullable().meta({ description: "null once what it said was forgotten" }),
    ...secretBesideShape,
  })
  .meta({ id: "CourseStep" });
export type CourseStep = z.infer<typeof courseStepSchema>;

export const defectWithCourseSchema = defectSchema
  .extend({
    course: z.array(courseStepSchema),
    photos: z.array(hungPhotoSchema),
    photosAwaited: z.array(idSchema).meta({ description: "named by its records and not arrived" }),
  })
  .meta({ id: "DefectWithCourse" });
export type DefectWithCourse = z.infer<typeof defectWithCourseSchema>;

export const defectListQuerySchema = inOrder(
  pageQuerySchema.extend({
    status: listOf(defectStatusSchema).optional().meta({ description: "one or more, separated by commas" }),
    machineId: idSchema.optional(),
    depotId: idSchema.optional(),
    category: categorySchema.optional(),
    ...periodShape,
  }),
);
export const defectListSchema = pageOf(defectSchema);

/** The answer to an act on a defect: the record, and where the defect and its machine stand now. */
export const courseReceiptSchema = z
  .object({
    record: z.object({
      id: idSchema,
      kind: z.string(),
      defectId: idSchema,
      staffId: idSchema,
      performedAt: instantSchema,
      recordedAt: instantSchema,
    }),
    defect: z.object({
      id: idSchema,
      status: defectStatusSchema,
      category: categorySchema,
      dueDay: daySchema.nullable(),
      secondLookNeeded: z
        .boolean()
        .meta({ description: "this look is on record; the defect stays as it was until a second mechanic looks too and says the same" }),
    }),
    machine: z.object({ id: idSchema, standing: standingSchema, reasons: z.array(reasonSchema) }),
    caution: z.string(),
  })
  .meta({ id: "CourseReceipt" });
export type CourseReceipt = z.infer<typeof courseReceiptSchema>;

export const reportReceiptSchema = courseReceiptSchema
  .extend({
    sighting: z.boolean(),
    recurringOf: idSchema.nullable(),
    signedOffBetween: idSchema.nullable(),
    flags: z.array(z.string()).meta({ description: "what was odd about the report; it counts all the same" }),
  })
  .meta({ id: "DefectReportReceipt" });
export type ReportReceipt = z.infer<typeof reportReceiptSchema>;
