// What is sent and answered about a machine that is away at another workshop.
import { z } from "zod";
import { reasonSchema } from "./clearance.ts";
import { daySchema, idSchema, instantSchema, standingSchema, textSchema } from "./common.ts";
import { limits } from "./limits.ts";
import { currencySchema, minorSchema } from "./parts.ts";
import { hungPhotoSchema } from "./photos.ts";

export const sendOutBodySchema = z
  .strictObject({
    id: idSchema,
    since: instantSchema.meta({ description: "when it left" }),
    workshop: textSchema(limits.workshop).meta({ description: "where it is, as it is called", example: "Harbour Street workshop" }),
    reason: textSchema(limits.note).meta({ description: "what for" }),
    expectedDay: daySchema.meta({ description: "the day on which it is expected back" }),
  })
  .meta({ id: "SendOutBody" });
export type SendOutBody = z.infer<typeof sendOutBodySchema>;

const partsSchema = z
  .array(
    z.strictObject({
      name: textSchema(limits.partName),
      quantity: z.number().positive().max(limits.partQuantity),
      number: textSchema(limits.partNumber).optional(),
    }),
  )
  .max(limits.parts);

export const takeBackBodySchema = z
  .strictObject({
    id: idSchema,
    returnedAt: instantSchema,
    workDone: textSchema(limits.workDone)
      .optional()
      .meta({ description: "what they did besides repairing open defects; a weekly inspection then comes before the next ride" }),
    parts: partsSchema.optional().meta({ description: "what they fitted with that" }),
    repaired: z
      .array(z.strictObject({ defectId: idSchema, workDone: textSchema(limits.workDone).optional(), parts: partsSchema.optional() }))
      .max(limits.repairedThere)
      .optional()
      .meta({ description: "open defects that they repaired: each then waits for a sign-off by a mechanic of your own" }),
    photoIds: z
      .array(idSchema)
      .max(limits.photos)
      .optional()
      .meta({ description: "their invoice or certificate, sent to /v1/photos as a picture" }),
    costMinor: minorSchema
      .optional()
      .meta({ description: "the total of their invoice, in the firm's currency: the cost of the whole stay, parts included" }),
  })
  .refine(({ repaired = [] }) => new Set(repaired.map(({ defectId }) => defectId)).size === repaired.length, {
    message: "a defect is named twice",
    path: ["repaired"],
  })
  .refine(({ parts, workDone }) => parts === undefined || parts.length === 0 || workDone !== undefined, {
    message: "say what they did with these parts",
    path: ["workDone"],
  })
  .meta({ id: "TakeBackBody" });
export type TakeBackBody = z.infer<typeof takeBackBodySchema>;

const machineAfter = z.object({ id: idSchema, standing: standingSchema, reasons: z.array(reasonSchema) });
const flags = z.array(z.string()).meta({ description: "what was odd about it; it counts all the same" });
const sent = { workshop: z.string(), reason: z.string(), expectedDay: daySchema };

export const sendOutReceiptSchema = z
  .object({
    outsideWork: z.object({
      ...{ id: idSchema, machineId: idSchema, staffId: idSchema, since: instantSchema, recordedAt: instantSchema },
      ...sent,
    }),
    ...{ machine: machineAfter, flags, caution: z.string() },
  })
  .meta({ id: "SendOutReceipt" });
export type SendOutReceipt = z.infer<typeof sendOutReceiptSchema>;

const answeredParts = z.array(z.object({ name: z.string(), quantity: z.number(), number: z.string().optional() }));
const doneThere = {
  workDone: z.string().nullable(),
  parts: answeredParts,
  repaired: z.array(z.object({ defectId: idSchema, workDone: z.string().nullable(), parts: answeredParts })),
  invoice: z.object({ costMinor: minorSchema, currency: currencySchema }).nullable().meta({ description: "null: no total was given" }),
};

export const takeBackReceiptSchema = z
  .object({
    return: z.object({
      ...{ id: idSchema, workId: idSchema, staffId: idSchema, workshop: z.string(), returnedAt: instantSchema, recordedAt: instantSchema },
      ...doneThere,
      inspectionDue: z.boolean().meta({ description: "an inspection comes before the next ride, for what they did besides" }),
    }),
    ...{ machine: machineAfter, flags, caution: z.string() },
  })
  .meta({ id: "TakeBackReceipt" });
export type TakeBackReceipt = z.infer<typeof takeBackReceiptSchema>;

export const outsideWorkSchema = z
  .object({
    ...{
      id: idSchema,
      machineId: idSchema,
      registrationMark: z.string(),
      sentBy: idSchema,
      since: instantSchema,
      recordedAt: instantSchema,
    },
    depotId: idSchema.meta({ description: "where the machine was when it left" }),
    told: z.object(sent).nullable().meta({ description: "null once what was said was forgotten" }),
    late: z.boolean().meta({ description: "it is not back, and the day is over on which it was expected" }),
    back: z
      .object({
        ...{ id: idSchema, takenBy: idSchema, returnedAt: instantSchema, recordedAt: instantSchema },
        told: z
          .object({ ...doneThere, inspectionDue: z.boolean() })
          .nullable()
          .meta({ description: "null once what was said was forgotten" }),
        photos: z.array(hungPhotoSchema),
        photosAwaited: z.array(idSchema).meta({ description: "named by its record and not arrived" }),
      })
      .nullable()
      .meta({ description: "null as long as it is away" }),
  })
  .meta({ id: "OutsideWork" });
export type OutsideWork = z.infer<typeof outsideWorkSchema>;
